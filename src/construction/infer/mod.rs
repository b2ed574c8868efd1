//! What the job itself shows of the shop's way of building: for each choice and
//! each unstated size, the answer most cabinets agree on, with those that do not.
//!
//! What is inferred from a list never excuses that list: everything that rests on
//! it carries [`Origin::Inferred`].

mod ask;
mod hypotheses;

use super::rows::Rows;
use super::standing::Read;
use super::{Origin, Rules, cabinet_key, choices};
use crate::cabinet::MeasuredCabinet;
use crate::cutlist::CutList;
use crate::length::Length;
use crate::plain::in_parallel;
use crate::trade::{Axis, Role};
use ask::{Say, ask};
use hypotheses::{Hypothesis, hypotheses};
use std::collections::BTreeMap;

/// A parameter's value as the job itself shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct Inference {
    pub value: Length,
    /// Cabinets that show it.
    pub support: Vec<String>,
    /// Cabinets that show something else, and what where one figure stands for it.
    pub against: Vec<(String, Option<Length>)>,
}

/// An answer to a choice as the job itself shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct InferredAnswer {
    pub word: &'static str,
    pub support: Vec<String>,
    pub against: Vec<String>,
}

impl Rules {
    /// Looks through the listed sizes for what the job itself shows. Only choices
    /// and sizes that are neither stated nor drawn are filled in.
    pub fn infer(&mut self, cabinets: &[MeasuredCabinet], lists: &[CutList]) {
        let rows = Rows::of(lists);
        let cabinets: Vec<Named<'_>> = cabinets.iter().flat_map(Named::all).collect();
        let mut votes: BTreeMap<&'static str, Vec<Vote>> = BTreeMap::new();
        let mut gaps: Vec<(&'static str, Vote)> = Vec::new();
        for (hypothesis, sizes) in hypotheses() {
            let second = hypothesis.is_gap();
            if second {
                // The gap of a pair is looked for once the way of the fronts is known.
                self.settle(&mut votes, &["front"]);
                let other = |word: &'static str| word != hypothesis.answer;
                if self
                    .inferred_answers
                    .get("front")
                    .is_some_and(|front| other(front.word))
                {
                    continue;
                }
            }
            let Some(vote) = self.poll(hypothesis, sizes, &cabinets, &rows) else {
                continue;
            };
            if second || hypothesis.choice.is_empty() {
                if let Some((name, _)) = hypothesis.parameter {
                    gaps.push((name, vote));
                }
            } else {
                votes.entry(hypothesis.choice).or_default().push(vote);
            }
        }
        let choices: Vec<&'static str> = votes.keys().copied().collect();
        self.settle(&mut votes, &choices);
        for (name, vote) in gaps {
            self.take_parameter(name, &vote);
        }
    }

    /// Settles these choices on the hypothesis with most cabinets behind it. A draw
    /// settles nothing.
    fn settle(&mut self, votes: &mut BTreeMap<&'static str, Vec<Vote>>, choices: &[&'static str]) {
        for choice in choices {
            let Some(mut votes) = votes.remove(choice) else {
                continue;
            };
            votes.sort_by_key(|vote| std::cmp::Reverse(vote.support.len()));
            let best = match votes.as_slice() {
                [best, next, ..] if best.support.len() > next.support.len() => best,
                [best] => best,
                _ => continue,
            };
            if best.support.is_empty() {
                continue;
            }
            let stated = self.job.answers.contains_key(choice) || self.job.preset.is_some();
            if !stated
                && let Some(word) = choices::choice(choice).and_then(|c| c.answer(best.answer))
            {
                self.inferred_answers.insert(
                    choice,
                    InferredAnswer {
                        word,
                        support: best.support.clone(),
                        against: best.against.iter().map(|(name, _)| name.clone()).collect(),
                    },
                );
            }
            if let Some(parameter) = best.parameter {
                let best = best.clone();
                self.take_parameter(parameter, &best);
            }
        }
    }

    fn take_parameter(&mut self, name: &'static str, vote: &Vote) {
        let Some(value) = vote.value else { return };
        if vote.support.is_empty() || self.job.parameters.contains_key(name) {
            return;
        }
        let inference = Inference {
            value,
            support: vote.support.clone(),
            against: vote.against.clone(),
        };
        // Several choices may use one size (grooves): the one most cabinets show stays.
        let stronger = self
            .inferences
            .get(name)
            .is_none_or(|known| known.support.len() < inference.support.len());
        if stronger {
            self.inferences.insert(name.to_owned(), inference);
        }
    }

    /// Asks every cabinet about a hypothesis.
    fn poll(
        &self,
        hypothesis: &Hypothesis,
        sizes: &[(Role, Axis, Vec<&'static Read>)],
        cabinets: &[Named<'_>],
        rows: &Rows<'_>,
    ) -> Option<Vote> {
        let says = in_parallel(cabinets, |own| -> Option<(String, Say)> {
            let say = ask(self, hypothesis, sizes, own.cabinet, &own.key, rows);
            say.heard.then(|| (own.name.to_owned(), say))
        });
        let mut says: Vec<(String, Say)> = says.into_iter().flatten().collect();
        if says.is_empty() {
            return None;
        }
        says.sort_by(|a, b| a.0.cmp(&b.0));
        let value = hypothesis.parameter.and_then(|_| favourite(&says));
        let mut vote = Vote {
            answer: hypothesis.answer,
            parameter: hypothesis.parameter.map(|(name, _)| name),
            value,
            support: Vec::new(),
            against: Vec::new(),
        };
        for (name, say) in says {
            let supports = !say.refuted
                && match value {
                    Some(value) => say.allows(value),
                    None => hypothesis.parameter.is_none(),
                };
            if supports {
                vote.support.push(name);
            } else {
                let own = match say.needs.as_slice() {
                    [first, ..] => first.first().copied(),
                    [] => None,
                };
                vote.against.push((name, own));
            }
        }
        Some(vote)
    }
}

/// A cabinet by one of its names.
struct Named<'a> {
    cabinet: &'a MeasuredCabinet,
    name: &'a str,
    key: String,
}

impl<'a> Named<'a> {
    fn all(cabinet: &'a MeasuredCabinet) -> impl Iterator<Item = Self> {
        std::iter::once(&cabinet.id)
            .chain(&cabinet.same_as)
            .map(move |name| Self {
                cabinet,
                name,
                key: cabinet_key(name),
            })
    }
}

/// What the cabinets made of a hypothesis.
#[derive(Clone, Debug)]
struct Vote {
    answer: &'static str,
    parameter: Option<&'static str>,
    value: Option<Length>,
    support: Vec<String>,
    against: Vec<(String, Option<Length>)>,
}

/// The value most cabinets allow; of several, the one shown most often, then the
/// smallest.
fn favourite(says: &[(String, Say)]) -> Option<Length> {
    let mut count: BTreeMap<Length, usize> = BTreeMap::new();
    for (_, say) in says {
        for value in say.needs.iter().flatten() {
            *count.entry(*value).or_default() += 1;
        }
    }
    count
        .iter()
        .map(|(value, times)| {
            let behind = says
                .iter()
                .filter(|(_, say)| !say.refuted && say.allows(*value))
                .count();
            (behind, *times, *value)
        })
        .max_by(|a, b| (a.0, a.1).cmp(&(b.0, b.1)).then(b.2.cmp(&a.2)))
        .filter(|(behind, _, _)| *behind > 0)
        .map(|(_, _, value)| ruled(value))
}

/// The figure of a rule that a drawn size with a drawing's noise stands for.
fn ruled(value: Length) -> Length {
    let noise = Length::from_ticks(Length::TICKS_PER_MM / 16);
    let steps = [
        Length::TICKS_PER_INCH / 16,
        Length::TICKS_PER_MM,
        Length::TICKS_PER_INCH / 32,
        Length::TICKS_PER_MM / 2,
        Length::TICKS_PER_INCH / 64,
        Length::TICKS_PER_MM / 10,
    ];
    steps
        .into_iter()
        .map(|step| {
            let count = (value.ticks() + step / 2).div_euclid(step);
            Length::from_ticks(count * step)
        })
        .find(|ruled| (*ruled - value).abs() <= noise)
        .unwrap_or(value)
}

impl Inference {
    pub fn origin(&self) -> Origin {
        Origin::Inferred {
            support: self.support.len(),
            against: self.against.len(),
        }
    }
}

impl InferredAnswer {
    pub fn origin(&self) -> Origin {
        Origin::Inferred {
            support: self.support.len(),
            against: self.against.len(),
        }
    }
}
