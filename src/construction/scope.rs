//! What a name stands for in one cabinet: measured in the drawing, stated by the
//! shop, or worked out from other names.

use super::expression::{Expr, Failure, Value, evaluate};
use super::names::{self, Meaning, NameKind, PartName};
use super::number::Ratio;
use super::seen::SAME;
use super::standing::{self, Each};
use super::{Origin, PartSize, Rules};
use crate::cabinet::{MeasuredCabinet, Style};
use crate::length::Length;
use crate::trade::Role;
use std::cell::{Cell, RefCell};

/// Most look-ups for one relation: bounds what a tangle of parameters can cost.
const MOST_STEPS: u32 = 2_000;

/// A name's value in a cabinet.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Known {
    pub value: Value,
    pub origin: Origin,
}

/// Why a name has no value in a cabinet.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Lack {
    /// The name that is missing at the bottom of it.
    pub name: String,
    pub reason: String,
    /// What would make it known.
    pub advice: String,
}

pub(super) struct Scope<'a> {
    pub rules: &'a Rules,
    pub cabinet: &'a MeasuredCabinet,
    pub opening: Option<usize>,
    /// How many fronts share the opening.
    pub fronts: Option<u32>,
    /// Clear width between two neighbouring uprights.
    pub bay: Option<Known>,
    /// Which of several bays.
    pub bay_index: Option<usize>,
    /// Sizes taken for granted, whatever is stated or drawn.
    assumed: RefCell<Vec<(&'static str, Value)>>,
    trail: RefCell<Vec<&'static str>>,
    steps: Cell<u32>,
}

impl<'a> Scope<'a> {
    pub fn new(rules: &'a Rules, cabinet: &'a MeasuredCabinet) -> Self {
        Scope {
            rules,
            cabinet,
            opening: None,
            fronts: None,
            bay: None,
            bay_index: None,
            assumed: RefCell::new(Vec::new()),
            trail: RefCell::new(Vec::new()),
            steps: Cell::new(0),
        }
    }

    pub fn at_opening(mut self, opening: usize, fronts: Option<u32>) -> Self {
        self.opening = Some(opening);
        self.fronts = fronts;
        self
    }

    /// Takes a size for granted where nothing states or draws it.
    pub fn assume(&mut self, name: &'static str, value: Value) {
        if self.look_up(name).is_err() {
            self.reassume(name, value);
        }
    }

    /// Takes a size for granted.
    pub fn reassume(&self, name: &'static str, value: Value) {
        self.forget(name);
        self.assumed.borrow_mut().push((name, value));
        self.steps.set(0);
    }

    /// No longer takes a size for granted.
    pub fn forget(&self, name: &str) {
        self.assumed
            .borrow_mut()
            .retain(|(known, _)| *known != name);
    }

    /// The value of an expression and the weakest origin of what it used.
    pub fn value(&self, expr: &Expr) -> Result<Known, Failure<Lack>> {
        self.value_by(expr, |_, _| ())
    }

    /// As [`Scope::value`], telling each name with what it stands for.
    pub fn value_by<'e>(
        &self,
        expr: &'e Expr,
        mut tell: impl FnMut(&'e str, &Known),
    ) -> Result<Known, Failure<Lack>> {
        let mut weakest = Origin::Drawn;
        let value = evaluate(expr, self.rules.units, &mut |name| {
            let known = self.look_up(name)?;
            tell(name, &known);
            if known.origin > weakest {
                weakest = known.origin;
            }
            Ok(known.value)
        })?;
        Ok(Known {
            value,
            origin: weakest,
        })
    }

    /// The value of a name.
    pub fn look_up(&self, name: &str) -> Result<Known, Lack> {
        let steps = self.steps.get() + 1;
        self.steps.set(steps);
        if steps > MOST_STEPS {
            return Err(lack(
                name,
                "working it out takes too many steps",
                "give some of the parameters it is made of as plain sizes",
            ));
        }
        if let Some((_, value)) = self
            .assumed
            .borrow()
            .iter()
            .find(|(known, _)| *known == name)
        {
            return Ok(Known {
                value: *value,
                origin: Origin::Drawn,
            });
        }
        let Some((name, meaning)) = names::look_up(name) else {
            return Err(lack(
                name,
                "no size goes by this name",
                "see `dryfit explain job-file`",
            ));
        };
        if self.trail.borrow().contains(&name) {
            return Err(lack(
                name,
                "it is defined by itself",
                &format!("state `{name}` as a size"),
            ));
        }
        self.trail.borrow_mut().push(name);
        let known = self.find(name, meaning);
        self.trail.borrow_mut().pop();
        known
    }

    fn find(&self, name: &str, meaning: Meaning) -> Result<Known, Lack> {
        let entry = match meaning {
            Meaning::Part(part) => return self.part(name, part),
            Meaning::Named(entry) => entry,
        };
        match entry.kind {
            NameKind::Count => self.count(name),
            NameKind::Parameter => self.parameter(name),
            NameKind::Measured => self.measured(name),
        }
    }

    fn count(&self, name: &str) -> Result<Known, Lack> {
        let of = |role: Role| {
            self.cabinet
                .parts
                .iter()
                .filter(|part| part.role == role && !part.flat)
                .count()
        };
        let count = match name {
            "openings" => self.cabinet.openings.len(),
            "fronts" => self
                .fronts
                .and_then(|n| usize::try_from(n).ok())
                .unwrap_or(0),
            "doors" => of(Role::Door),
            _ => of(Role::DrawerFront),
        };
        if count == 0 {
            return Err(lack(
                name,
                "none are drawn",
                "draw them in the front elevation",
            ));
        }
        Ok(Known {
            value: Value {
                value: Ratio::whole(i128::try_from(count).unwrap_or_default()),
                is_length: false,
            },
            origin: Origin::Drawn,
        })
    }

    fn parameter(&self, name: &str) -> Result<Known, Lack> {
        // A toe space stated for all cabinets is not one of a cabinet that hangs.
        if name.starts_with("toe.")
            && !self.has_toe()
            && self.rules.stated_for_all(self.cabinet, name)
        {
            return Err(lack(
                name,
                "no toe space is drawn here",
                &format!(
                    "state it under [cabinet.{}.sizes] if there is one",
                    self.cabinet.id
                ),
            ));
        }
        if let Some(stated) = self.rules.stated(self.cabinet, name) {
            let known = self.value(&stated.expr).map_err(|failure| match failure {
                Failure::Name { why, .. } => why,
                Failure::Arithmetic(error) => lack(
                    name,
                    &error.message,
                    &format!("correct `{name}` in the job file"),
                ),
            })?;
            let value = self.as_length(name, known.value)?;
            return Ok(Known {
                value,
                origin: known.origin.max(stated.origin.clone()),
            });
        }
        // A stated board goes before what is drawn: drawings show nominal board.
        if let Some(board) = uses_board(name)
            && self.rules.stated(self.cabinet, board).is_some()
        {
            return self.look_up(board);
        }
        let mut reason = match self.drawn(name) {
            Ok(known) => return Ok(known),
            Err(reason) => reason,
        };
        if let Some(known) = self.derived(name) {
            return Ok(known);
        }
        if let Some((value, origin)) = self.rules.inferred(name) {
            return Ok(Known {
                value: length(value),
                origin,
            });
        }
        if reason.is_empty() {
            reason = "it is neither drawn nor stated".to_owned();
        }
        Err(lack(
            name,
            &reason,
            &format!("state `{name}` under [sizes] in the job file"),
        ))
    }

    /// A plain number as a length in the job's unit.
    fn as_length(&self, name: &str, known: Value) -> Result<Value, Lack> {
        let value = if known.is_length {
            Some(known.value)
        } else {
            let unit = self.rules.units.ok_or_else(|| {
                lack(
                    name,
                    "it is stated without a unit",
                    "give it a unit, or state `units` under [job]",
                )
            })?;
            known.value.times(Ratio::whole(i128::from(unit.ticks())))
        };
        value
            .map(|value| Value {
                value,
                is_length: true,
            })
            .ok_or_else(|| {
                lack(
                    name,
                    "the number is too large",
                    "correct it in the job file",
                )
            })
    }

    fn measured(&self, name: &str) -> Result<Known, Lack> {
        // Board of another thickness than drawn moves the inner faces: then the
        // drawn interior is not what will be built.
        let moved = match name {
            "interior.width" => self.board_differs("side.thickness"),
            "interior.height" => {
                self.board_differs("top.thickness")
                    || self.board_differs("stretcher.thickness")
                    || self.board_differs("bottom.thickness")
            }
            "interior.depth" => self.board_differs("back.thickness"),
            _ => false,
        };
        if moved && let Some(known) = self.derived(name) {
            return Ok(known);
        }
        if name == "floor.height"
            && self.board_differs("bottom.thickness")
            && let Some(known) = self.floor_on_board()
        {
            return Ok(known);
        }
        let reason = match self.drawn(name) {
            Ok(known) => return Ok(known),
            Err(reason) => reason,
        };
        if let Some(known) = self.derived(name) {
            return Ok(known);
        }
        let reason = if reason.is_empty() {
            "no view shows it".to_owned()
        } else {
            reason
        };
        Err(lack(
            name,
            &reason,
            &format!(
                "draw a view that shows the {}",
                super::expression::spoken(name)
            ),
        ))
    }

    /// True when the job file states a thickness for this part that is not the drawn one.
    fn board_differs(&self, name: &str) -> bool {
        let stated = self.rules.stated(self.cabinet, name).is_some()
            || self.rules.stated(self.cabinet, "board.thickness").is_some();
        let (true, Ok(drawn)) = (stated, self.drawn(name)) else {
            return false;
        };
        let Ok(known) = self.look_up(name) else {
            return false;
        };
        match (known.value.value.to_length(), drawn.value.value.to_length()) {
            (Some(stated), Some(drawn)) => (stated - drawn).abs() > SAME,
            _ => false,
        }
    }

    /// Boards with another thickness than drawn, as drawn.
    pub fn other_boards(&self) -> Vec<(&'static str, Value)> {
        const BOARDS: [&str; 8] = [
            "side.thickness",
            "bottom.thickness",
            "top.thickness",
            "stretcher.thickness",
            "divider.thickness",
            "shelf.thickness",
            "back.thickness",
            "frame.thickness",
        ];
        let stated = self.rules.settings(self.cabinet).any(|settings| {
            settings
                .parameters
                .keys()
                .any(|key| key.ends_with(".thickness"))
        });
        if !stated {
            return Vec::new();
        }
        BOARDS
            .into_iter()
            .filter(|name| self.board_differs(name))
            .filter_map(|name| Some((name, self.drawn(name).ok()?.value)))
            .collect()
    }

    /// What an expression comes to with every board as thick as it is drawn; `None`
    /// where none is stated to be another.
    pub fn with_boards_as_drawn(&self, expr: &Expr) -> Option<Value> {
        let boards = self.other_boards();
        if boards.is_empty() {
            return None;
        }
        for (name, value) in &boards {
            self.reassume(name, *value);
        }
        let known = self.value(expr).ok();
        for (name, _) in &boards {
            self.forget(name);
        }
        Some(known?.value)
    }

    /// Top of a bottom that lies on the floor, a base or at the height of the toe space,
    /// with the board on hand. Above a bottom rail it stays level with the rail.
    fn floor_on_board(&self) -> Option<Known> {
        if self.rules.style(self.cabinet) != Style::Frameless {
            return None;
        }
        let bottom = self
            .cabinet
            .parts
            .iter()
            .filter(|part| part.role == Role::Bottom && !part.flat)
            .find_map(|part| part.high.as_ref())?;
        let board = self.look_up("bottom.thickness").ok()?;
        let under = Length::from_mm(bottom.lo.at)?;
        Some(Known {
            value: length(under + board.value.value.to_length()?),
            origin: board.origin,
        })
    }

    fn derived(&self, name: &str) -> Option<Known> {
        standing::derivations()
            .iter()
            .filter(|(derived, _)| derived.name == name)
            .filter(|(derived, _)| {
                derived
                    .style
                    .is_none_or(|s| s == self.rules.style(self.cabinet))
            })
            .find_map(|(derived, expr)| {
                let answered = self.rules.answered(self.cabinet, derived.when)?;
                let known = self.value(expr).ok()?;
                Some(Known {
                    origin: known.origin.max(answered.unwrap_or(Origin::Drawn)),
                    ..known
                })
            })
    }

    fn part(&self, name: &str, part: PartName) -> Result<Known, Lack> {
        let (role, axis) = match part {
            PartName::Size(role, axis) => (role, axis),
            PartName::Count(role) => {
                return Err(lack(
                    name,
                    &format!("how many {}s there are is not a size", role.word()),
                    "use `openings`, `doors` or `drawers`",
                ));
            }
        };
        let reason = match self.drawn_part(role, axis) {
            Ok(known) => return Ok(known),
            Err(reason) => reason,
        };
        let size = PartSize { role, axis };
        let mut first_lack = None;
        for candidate in self.rules.candidates(self.cabinet, size) {
            let count = match candidate.each {
                Each::Front(_, count) => count,
                Each::Cabinet | Each::Bay => None,
            };
            if count.is_some() && self.fronts.is_some() && count != self.fronts {
                continue;
            }
            match self.value(candidate.expr) {
                Ok(known) => {
                    return Ok(Known {
                        origin: known.origin.max(candidate.origin),
                        ..known
                    });
                }
                Err(Failure::Name { why, .. }) => first_lack = first_lack.or(Some(why)),
                Err(Failure::Arithmetic(_)) => {}
            }
        }
        Err(first_lack.unwrap_or_else(|| {
            let reason = if reason.is_empty() {
                "it is not drawn and no relation gives it".to_owned()
            } else {
                reason
            };
            lack(
                name,
                &reason,
                &format!("draw it, or give a relation for `{name}`"),
            )
        }))
    }
}

fn lack(name: &str, reason: &str, advice: &str) -> Lack {
    Lack {
        name: name.to_owned(),
        reason: reason.to_owned(),
        advice: advice.to_owned(),
    }
}

/// The size that stands in for a part's own thickness.
fn uses_board(name: &str) -> Option<&'static str> {
    matches!(
        name,
        "side.thickness"
            | "bottom.thickness"
            | "top.thickness"
            | "stretcher.thickness"
            | "divider.thickness"
            | "shelf.thickness"
    )
    .then_some("board.thickness")
}

pub(super) fn length(value: Length) -> Value {
    Value {
        value: Ratio::ticks(value),
        is_length: true,
    }
}
