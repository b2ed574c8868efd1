//! All shop rules in force: what the job file states, the preset it names, what
//! the drawing shows by itself, and what was inferred.

use super::bays::bays;
use super::choices::{self, Preset};
use super::expression::{Expr, Failure};
use super::infer::{Inference, InferredAnswer};
use super::job::{Accessibility, Run, Stack, Use};
use super::names::{self, PartName};
use super::number::Ratio;
use super::scope::{Lack, Scope};
use super::standing::{self, Each, FrontKind, Ground, Guard, UNANSWERED};
use super::tolerance::{Allowed, Tolerances};
use super::{Expected, Origin, PartSize};
use crate::cabinet::{MeasuredCabinet, Style};
use crate::length::{Length, Notation, Unit};
use crate::trade::{Axis, Role};
use std::collections::BTreeMap;

/// Name of the origin of relations that hold by the drawing alone.
pub const DRAWN_GEOMETRY: &str = "drawn geometry";

/// A parameter the job file states.
#[derive(Clone, Debug, PartialEq)]
pub struct Stated {
    pub expr: Expr,
    pub origin: Origin,
}

/// An answer the job file gives to one of [`choices::CHOICES`].
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

/// A relation that may give a part size in a cabinet.
pub(super) struct Candidate<'a> {
    pub expr: &'a Expr,
    pub each: Each,
    pub origin: Origin,
    /// The answers it rests on.
    pub when: &'static [(&'static str, &'static [&'static str])],
}

/// How a cabinet is looked up, whatever its spelling.
pub fn cabinet_key(name: &str) -> String {
    name.trim().to_uppercase()
}

impl Rules {
    /// What a part size of this cabinet should be, strongest origin first; empty
    /// when no relation applies or a size it needs is not known. A part that
    /// depends on an opening has an entry for each opening it may belong to.
    pub fn expect(&self, cabinet: &MeasuredCabinet, size: PartSize) -> Vec<Expected> {
        let mut expected: Vec<Expected> = Vec::new();
        for candidate in self.candidates(cabinet, size) {
            for (scope, count) in self.scopes(cabinet, candidate.each) {
                let mut used = Vec::new();
                let Ok((worked, weakest)) = scope.work_out(candidate.expr, &mut used) else {
                    continue;
                };
                let Some(value) = self.length_of(&worked) else {
                    continue;
                };
                // A size no part can have says that the relation does not fit here.
                if value <= Length::ZERO {
                    continue;
                }
                let entry = Expected {
                    size,
                    value,
                    worked: if worked.numbers == self.print(worked.value) {
                        worked.numbers
                    } else {
                        format!("{} = {}", worked.numbers, self.print(Ratio::ticks(value)))
                    },
                    relation: worked.relation,
                    origin: weakest.max(candidate.origin.clone()),
                    used,
                    opening: scope.opening,
                    bay: scope.bay_index,
                    count,
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

    /// What setting or view would make a size of this cabinet checkable; `None`
    /// when it is checkable already. What is only inferred checks nothing.
    pub fn missing(&self, cabinet: &MeasuredCabinet, size: PartSize) -> Option<String> {
        let expected = self.expect(cabinet, size);
        if let Some(first) = expected.first() {
            if !matches!(first.origin, Origin::Inferred { .. }) {
                return None;
            }
            return Some(self.only_inferred(cabinet, first));
        }
        let mut lacks: Vec<Lack> = Vec::new();
        let mut unplaced: Vec<Lack> = Vec::new();
        for candidate in self.candidates(cabinet, size) {
            let scopes = self.scopes(cabinet, candidate.each);
            if scopes.is_empty() {
                unplaced.push(Lack {
                    name: "opening".to_owned(),
                    reason: match candidate.each {
                        Each::Bay => "the dividers are not drawn across".to_owned(),
                        Each::Front(FrontKind::Door, _) => {
                            "no opening with a door is drawn".to_owned()
                        }
                        _ => "no opening with a drawer is drawn".to_owned(),
                    },
                    advice: "a front elevation with the openings".to_owned(),
                });
            }
            for (scope, _) in scopes {
                match scope.work_out(candidate.expr, &mut Vec::new()) {
                    Err(Failure::Name { why, .. }) => lacks.push(why),
                    Err(Failure::Arithmetic(error)) => lacks.push(Lack {
                        name: names::size_key(size.role, size.axis),
                        reason: error.message,
                        advice: "correct the relation in the job file".to_owned(),
                    }),
                    Ok(_) => {}
                }
            }
        }
        // A relation that applies and lacks something says more than one that does not.
        lacks.extend(unplaced);
        if let Some(lack) = lacks.first() {
            return Some(format!(
                "needs `{}`: {}; {}",
                lack.name, lack.reason, lack.advice
            ));
        }
        Some(self.unanswered(size))
    }

    /// Which settings would turn an inferred relation into a stated one.
    fn only_inferred(&self, cabinet: &MeasuredCabinet, expected: &Expected) -> String {
        let inferred = |origin: &Origin| matches!(origin, Origin::Inferred { .. });
        let mut settings: Vec<String> = self
            .candidates(cabinet, expected.size)
            .into_iter()
            .flat_map(|candidate| candidate.when.iter().map(|(key, _)| *key))
            .filter_map(|key| {
                let answer = self.answer(cabinet, key)?;
                inferred(&answer.origin).then(|| format!("`{key} = \"{}\"`", answer.word))
            })
            .collect();
        settings.dedup();
        let sizes = expected.used.iter().filter(|(.., origin)| inferred(origin));
        settings.extend(sizes.map(|(name, value, _)| {
            format!("`{name} = \"{}\"`", self.print(Ratio::ticks(*value)))
        }));
        format!(
            "only this job itself shows it; state {} in the job file if that is the shop's way",
            settings.join(" and ")
        )
    }

    /// Which answer would bring a relation for this size.
    fn unanswered(&self, size: PartSize) -> String {
        let key = names::size_key(size.role, size.axis);
        let mut choices: Vec<&'static str> = Vec::new();
        for read in standing::standing() {
            if read.part == PartName::Size(size.role, size.axis) {
                for (choice, _) in read.standing.when {
                    if !choices.contains(choice) {
                        choices.push(choice);
                    }
                }
            }
        }
        let said: Vec<String> = choices
            .iter()
            .filter_map(|key| choices::choice(key))
            .map(|choice| format!("`{}` ({})", choice.key, choice.meaning))
            .collect();
        if said.is_empty() {
            format!(
                "no relation gives {} of a {}; draw the part, or write a relation `{key} = ...` \
                 under [relations] in the job file",
                direction(size.axis),
                size.role.word()
            )
        } else {
            format!(
                "how it is built is not stated; answer {} under [construction] in the job file, \
                 or write a relation `{key} = ...` under [relations]",
                said.join(", ")
            )
        }
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
        match ticks.to_length() {
            Some(length) => length.show(self.notation()),
            None => "beyond any size".to_owned(),
        }
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
        self.cabinets
            .get(&cabinet_key(&cabinet.id))
            .into_iter()
            .chain([&self.job])
    }

    pub(super) fn stated(&self, cabinet: &MeasuredCabinet, name: &str) -> Option<&Stated> {
        self.settings(cabinet)
            .find_map(|settings| settings.parameters.get(name))
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
    fn given(&self, cabinet: &MeasuredCabinet, key: &str) -> Option<Answer> {
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

    /// The relations that may give a part size: the job file's for this cabinet, else
    /// the job file's for all, else those that come with the answers given and the
    /// drawn geometry.
    pub(super) fn candidates(
        &self,
        cabinet: &MeasuredCabinet,
        size: PartSize,
    ) -> Vec<Candidate<'_>> {
        let part = PartName::Size(size.role, size.axis);
        for settings in self.settings(cabinet) {
            let own: Vec<Candidate<'_>> = settings
                .relations
                .iter()
                .filter(|relation| relation.part == part)
                .map(|relation| Candidate {
                    expr: &relation.expr,
                    each: each_of(size.role, &relation.expr),
                    origin: relation.origin.clone(),
                    when: &[],
                })
                .collect();
            if !own.is_empty() {
                return own;
            }
        }
        standing::for_part(part)
            .filter(|read| {
                read.standing
                    .style
                    .is_none_or(|style| style == self.style(cabinet))
            })
            .filter_map(|read| {
                let answers = self.answered(cabinet, read.standing.when)?;
                let origin = match read.standing.ground {
                    Ground::Geometry(guard) => {
                        self.shown(cabinet, guard).then(|| Origin::Preset {
                            name: DRAWN_GEOMETRY.to_owned(),
                        })?
                    }
                    // With nothing to answer the relation rests on its parameters.
                    Ground::Answer => answers.unwrap_or(Origin::Drawn),
                };
                Some(Candidate {
                    expr: &read.expr,
                    each: read.standing.each,
                    origin,
                    when: read.standing.when,
                })
            })
            .collect()
    }

    /// Whether the drawing shows what a relation by geometry rests on.
    fn shown(&self, cabinet: &MeasuredCabinet, guard: Guard) -> bool {
        // Ends at or in the sides: shorter than the case by more than a hair.
        let ends_inside = |role: Role| {
            let case = Scope::new(self, cabinet).look_up("case.width").ok()?;
            let case = case.value.value.to_length()?;
            let mut parts = cabinet
                .parts
                .iter()
                .filter(|part| part.role == role && !part.flat)
                .filter_map(|part| part.across.as_ref())
                .filter(|span| !span.is_lower_bound())
                .peekable();
            parts.peek()?;
            Some(parts.all(|span| span.mm() < case.mm() - 1.0))
        };
        let drawn = |role: Role| cabinet.parts.iter().any(|part| part.role == role);
        match guard {
            Guard::SidesRunThrough => {
                let upper = [ends_inside(Role::Top), ends_inside(Role::Stretcher)];
                ends_inside(Role::Bottom) == Some(true)
                    && upper.contains(&Some(true))
                    && !upper.contains(&Some(false))
                    && !drawn(Role::BaseRail)
                    && !drawn(Role::BaseEnd)
            }
            Guard::BackInsideSides => ends_inside(Role::Back) == Some(true),
            Guard::Frame => self.style(cabinet) == Style::FaceFrame && drawn(Role::Stile),
        }
    }

    /// Where in the cabinet a relation applies, with how many fronts to an opening.
    pub(super) fn scopes<'a>(
        &'a self,
        cabinet: &'a MeasuredCabinet,
        each: Each,
    ) -> Vec<(Scope<'a>, Option<u32>)> {
        match each {
            Each::Cabinet => vec![(Scope::new(self, cabinet), None)],
            Each::Bay => {
                let bays = bays(cabinet);
                let several = bays.len() > 1;
                bays.into_iter()
                    .enumerate()
                    .map(|(index, bay)| {
                        let mut scope = Scope::new(self, cabinet);
                        scope.bay = bay;
                        scope.bay_index = several.then_some(index);
                        (scope, None)
                    })
                    .collect()
            }
            Each::Front(kind, count) => fronts(cabinet, kind)
                .into_iter()
                .filter(|(_, drawn)| count.is_none() || drawn.is_none() || *drawn == count)
                .flat_map(|(opening, drawn)| {
                    // With neither drawn fronts nor a count in the relation, the
                    // relation is tried for one front and for a pair.
                    let counts = match (drawn.or(count), kind) {
                        (Some(count), _) => vec![Some(count)],
                        (None, FrontKind::Drawer) => vec![None],
                        (None, FrontKind::Door) => vec![Some(1), Some(2)],
                    };
                    counts.into_iter().map(move |count| {
                        let scope = Scope::new(self, cabinet).at_opening(opening, count);
                        (scope, count)
                    })
                })
                .collect(),
        }
    }

    fn length_of(&self, worked: &super::expression::Worked) -> Option<Length> {
        if worked.is_length {
            worked.value.to_length()
        } else {
            let unit = Ratio::whole(i128::from(self.units?.ticks()));
            worked.value.times(unit)?.to_length()
        }
    }
}

fn direction(axis: Axis) -> &'static str {
    match axis {
        Axis::Across => "the size across",
        Axis::Deep => "the size front to back",
        Axis::High => "the height",
    }
}

/// How often a relation of the job file applies: for each opening when it speaks
/// of one or of a part that belongs to one.
fn each_of(role: Role, expr: &Expr) -> Each {
    let drawer = matches!(
        role,
        Role::DrawerFront
            | Role::DrawerBox
            | Role::BoxSide
            | Role::BoxFront
            | Role::BoxBack
            | Role::BoxBottom
    );
    let names = expr.names();
    let of_door = |name: &str| {
        matches!(
            names::part_name(name),
            Some(PartName::Size(
                Role::Door | Role::DoorStile | Role::DoorRail | Role::DoorPanel,
                _
            ))
        )
    };
    let of_opening =
        |name: &str| name.starts_with("opening.") || name.starts_with("cover.") || name == "fronts";
    if names.iter().any(|(name, _)| *name == "bay.width") {
        Each::Bay
    } else if drawer {
        Each::Front(FrontKind::Drawer, None)
    } else if names
        .iter()
        .any(|(name, _)| of_opening(name) || of_door(name))
    {
        Each::Front(FrontKind::Door, None)
    } else {
        Each::Cabinet
    }
}

/// The openings a kind of front may belong to, with how many are drawn there.
/// When fronts are drawn only those openings count; when none are drawn, any
/// opening may hold one.
fn fronts(cabinet: &MeasuredCabinet, kind: FrontKind) -> Vec<(usize, Option<u32>)> {
    let of = |role: Role, opening: Option<usize>| {
        cabinet
            .parts
            .iter()
            .filter(|part| part.role == role && part.opening.is_some())
            .filter(|part| opening.is_none() || part.opening == opening)
            .count()
    };
    let any_drawn = of(Role::Door, None) + of(Role::DrawerFront, None) > 0;
    let role = match kind {
        FrontKind::Door => Role::Door,
        FrontKind::Drawer => Role::DrawerFront,
    };
    (0..cabinet.openings.len())
        .filter_map(|opening| {
            if !any_drawn {
                return Some((opening, None));
            }
            let count = u32::try_from(of(role, Some(opening))).ok()?;
            (count > 0).then_some((opening, Some(count)))
        })
        .collect()
}
