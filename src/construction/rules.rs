//! All shop rules in force: what the job file states, the preset it names, what
//! the drawing shows by itself, and what was inferred.

use super::choices::Preset;
use super::expression::{Expr, Value};
use super::infer::{Inference, InferredAnswer};
use super::job::{Accessibility, Run, Stack, Use};
use super::names::PartName;
use super::number::Ratio;
use super::scope::{Known, Scope};
use super::standing::UNANSWERED;
use super::tolerance::{Allowed, Tolerances};
use super::{Expected, Origin, PartSize, Used, print};
use crate::cabinet::{MeasuredCabinet, Style};
use crate::length::{Length, Notation, Unit};
use crate::trade::Role;
use std::collections::BTreeMap;

/// Name of the origin of relations that hold by the drawing alone.
pub const DRAWN_GEOMETRY: &str = "drawn geometry";

/// A parameter the job file states.
#[derive(Clone, Debug, PartialEq)]
pub struct Stated {
    pub expr: Expr,
    pub origin: Origin,
}

/// An answer the job file gives to one of `choices::CHOICES`.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    pub word: &'static str,
    pub origin: Origin,
}

/// What holds for the whole job, or for one cabinet in place of it.
#[derive(Clone, Debug, Default)]
pub struct Settings {
    pub style: Option<Style>,
    pub preset: Option<(&'static Preset, Origin)>,
    pub answers: BTreeMap<&'static str, Answer>,
    pub parameters: BTreeMap<String, Stated>,
    pub relations: Vec<Relation>,
}

/// A relation the job file gives.
#[derive(Clone, Debug, PartialEq)]
pub struct Relation {
    pub part: PartName,
    pub expr: Expr,
    pub origin: Origin,
}

/// All shop rules in force for a job.
#[derive(Clone, Debug, Default)]
pub struct Rules {
    /// Unit of plain numbers and of printed sizes.
    pub units: Option<Unit>,
    /// How sizes are printed; by the unit when not stated.
    pub notation: Option<Notation>,
    pub tolerances: Tolerances,
    pub job: Settings,
    /// By cabinet name, upper case.
    pub cabinets: BTreeMap<String, Settings>,
    /// Sizes as the job itself shows them, by name.
    pub inferences: BTreeMap<String, Inference>,
    /// Answers as the job itself shows them, by choice.
    pub inferred_answers: BTreeMap<&'static str, InferredAnswer>,
    /// What cabinets are, by name as [`cabinet_key`] has it.
    pub uses: BTreeMap<String, Use>,
    pub runs: Vec<Run>,
    pub stacks: Vec<Stack>,
    pub accessibility: Accessibility,
}

/// How a cabinet is looked up, whatever its spelling.
pub fn cabinet_key(name: &str) -> String {
    name.trim().to_uppercase()
}

impl Rules {
    /// What a part size of this cabinet should be, strongest origin first; empty
    /// when no relation applies or a size it needs is not known. A part that
    /// depends on an opening has an entry for each opening it may belong to.
    pub fn expect(&self, cabinet: &MeasuredCabinet, size: PartSize) -> Vec<Expected<'_>> {
        let mut expected: Vec<Expected<'_>> = Vec::new();
        for candidate in self.candidates(cabinet, size) {
            for (scope, count) in self.scopes(cabinet, candidate.each) {
                let mut used: Vec<Used<'_>> = Vec::new();
                let known = scope.value_by(candidate.expr, |name, known| {
                    if !used.iter().any(|other| other.name == name) {
                        used.push(Used {
                            name,
                            value: known.value,
                            origin: known.origin.clone(),
                        });
                    }
                });
                let Ok(Known {
                    value,
                    origin: weakest,
                }) = known
                else {
                    continue;
                };
                let Some(value) = self.length_of(value) else {
                    continue;
                };
                // A size no part can have says that the relation does not fit here.
                if value <= Length::ZERO {
                    continue;
                }
                let as_drawn = scope
                    .with_boards_as_drawn(candidate.expr)
                    .and_then(|value| self.length_of(value))
                    .filter(|drawn| *drawn != value);
                let entry = Expected {
                    size,
                    value,
                    expr: candidate.expr,
                    units: self.units,
                    notation: self.notation(),
                    origin: weakest.max(candidate.origin.clone()),
                    used,
                    opening: scope.opening,
                    bay: scope.bay_index,
                    count,
                    as_drawn,
                };
                if !expected.contains(&entry) {
                    expected.push(entry);
                }
            }
        }
        expected.sort_by(|a, b| {
            let key = |e: &'_ Expected| (e.opening, e.bay, e.count, e.value);
            a.origin.cmp(&b.origin).then_with(|| key(a).cmp(&key(b)))
        });
        expected
    }

    /// Largest difference that still passes, inclusive. Where the job file
    /// chooses a tolerance class, ask [`Rules::tolerance_at`] with the size.
    pub fn tolerance(&self, role: Option<Role>) -> Length {
        self.tolerances.at(role, None).value
    }

    /// Largest difference that still passes for a part of this size, and which
    /// setting says so.
    pub fn tolerance_at(&self, role: Option<Role>, size: Length) -> Allowed {
        self.tolerances.at(role, Some(size))
    }

    /// A named size of a cabinet with where it came from; `None` when it is not known
    /// or only inferred.
    pub fn size(&self, cabinet: &MeasuredCabinet, name: &str) -> Option<(Length, Origin)> {
        let known = Scope::new(self, cabinet).look_up(name).ok()?;
        if matches!(known.origin, Origin::Inferred { .. }) || !known.value.is_length {
            return None;
        }
        Some((known.value.value.to_length()?, known.origin))
    }

    /// Boards the job file gives another thickness than the drawing: name, drawn and
    /// stated thickness.
    pub fn other_boards(&self, cabinet: &MeasuredCabinet) -> Vec<(&'static str, Length, Length)> {
        let scope = Scope::new(self, cabinet);
        scope
            .other_boards()
            .into_iter()
            .filter_map(|(name, drawn)| {
                let stated = scope.look_up(name).ok()?.value.value.to_length()?;
                Some((name, drawn.value.to_length()?, stated))
            })
            .collect()
    }

    /// The unit to print sizes in when the job file states none.
    pub fn print_in(&mut self, unit: Unit) {
        if self.units.is_none() && self.notation.is_none() {
            self.notation = Some(if unit.is_imperial() {
                Notation::SIXTY_FOURTHS
            } else {
                Notation::Millimetre
            });
        }
    }

    /// One tolerance for everything, as the call says, in place of the job file's.
    pub fn overrule_tolerance(&mut self, tolerance: Length) {
        self.tolerances = Tolerances {
            general: tolerance,
            ..Tolerances::default()
        };
    }

    /// Prints a length in the job's unit.
    pub fn print(&self, ticks: Ratio) -> String {
        print(ticks, self.notation())
    }

    /// As [`Rules::print`], written so that a job file reads the very size back.
    pub fn print_exactly(&self, length: Length) -> String {
        let printed = length.show(self.notation());
        if printed.starts_with('\u{2248}') {
            format!("{} mm", length.mm())
        } else {
            printed
        }
    }

    /// How sizes are printed in this job.
    pub fn notation(&self) -> Notation {
        self.notation.unwrap_or(match self.units {
            Some(unit) if !unit.is_imperial() => Notation::Millimetre,
            _ => Notation::SIXTY_FOURTHS,
        })
    }

    /// The style of a cabinet: as the job file says, else as recognised.
    pub fn style(&self, cabinet: &MeasuredCabinet) -> Style {
        self.settings(cabinet)
            .find_map(|settings| settings.style)
            .unwrap_or(cabinet.style)
    }

    /// The settings that bear on a cabinet, its own first.
    pub(super) fn settings(&self, cabinet: &MeasuredCabinet) -> impl Iterator<Item = &Settings> {
        self.own(cabinet).into_iter().chain([&self.job])
    }

    pub(super) fn stated(&self, cabinet: &MeasuredCabinet, name: &str) -> Option<&Stated> {
        self.settings(cabinet)
            .find_map(|settings| settings.parameters.get(name))
    }

    /// True when a size is stated for the job and not for this cabinet itself.
    pub(super) fn stated_for_all(&self, cabinet: &MeasuredCabinet, name: &str) -> bool {
        self.job.parameters.contains_key(name)
            && !self
                .own(cabinet)
                .is_some_and(|own| own.parameters.contains_key(name))
    }

    /// What is stated for this cabinet itself.
    pub(super) fn own(&self, cabinet: &MeasuredCabinet) -> Option<&Settings> {
        self.cabinets.get(&cabinet_key(&cabinet.id))
    }

    pub(super) fn inferred(&self, name: &str) -> Option<(Length, Origin)> {
        self.inferences
            .get(name)
            .map(|inference| (inference.value, inference.origin()))
    }

    /// The answer to a choice, and where it was given or that it was inferred.
    pub fn answer(&self, cabinet: &MeasuredCabinet, key: &str) -> Option<Answer> {
        self.given(cabinet, key).or_else(|| {
            self.inferred_answers.get(key).map(|inferred| Answer {
                word: inferred.word,
                origin: inferred.origin(),
            })
        })
    }

    /// The answer the job file gives, itself or through a preset.
    pub(super) fn given(&self, cabinet: &MeasuredCabinet, key: &str) -> Option<Answer> {
        self.settings(cabinet).find_map(|settings| {
            settings.answers.get(key).cloned().or_else(|| {
                let (preset, _) = settings.preset.as_ref()?;
                Some(Answer {
                    word: preset.answer(key)?,
                    origin: Origin::Preset {
                        name: preset.name.to_owned(),
                    },
                })
            })
        })
    }

    /// `None` when the conditions are not all met; else the weakest origin of the
    /// answers that met them.
    pub(super) fn answered(
        &self,
        cabinet: &MeasuredCabinet,
        when: &[(&str, &[&str])],
    ) -> Option<Option<Origin>> {
        let mut weakest = None;
        for (key, answers) in when {
            let answer = self.answer(cabinet, key);
            let word = answer.as_ref().map_or(UNANSWERED, |answer| answer.word);
            if !answers.contains(&word) {
                return None;
            }
            weakest = weakest.max(answer.map(|answer| answer.origin));
        }
        Some(weakest)
    }

    pub(super) fn length_of(&self, known: Value) -> Option<Length> {
        if known.is_length {
            known.value.to_length()
        } else {
            let unit = Ratio::whole(i128::from(self.units?.ticks()));
            known.value.times(unit)?.to_length()
        }
    }
}
