//! Sizes as the drawing shows them.

use super::Origin;
use super::expression::Value;
use super::number::Ratio;
use super::scope::{Known, Scope, length};
use crate::cabinet::{Measured, Span};
use crate::length::Length;
use crate::trade::{Axis, Role};

/// Two drawn sizes this near are one size: the drawing's own noise.
pub(super) const SAME: Length = Length::from_ticks(Length::TICKS_PER_MM / 10);

impl Scope<'_> {
    /// A size the drawing shows under this name; else why not (empty when there is
    /// nothing particular to say).
    pub fn drawn(&self, name: &str) -> Result<Known, String> {
        let sizes = |measured: &Measured| match measured {
            Measured::Known(measure) => from_span(&measure.span),
            Measured::Unknown { reason } => Err(reason.clone()),
        };
        let cabinet = self.cabinet;
        match name {
            "overall.width" => return sizes(&cabinet.overall.width),
            "overall.height" => return sizes(&cabinet.overall.height),
            "overall.depth" => return sizes(&cabinet.overall.depth),
            "interior.width" => return sizes(&cabinet.interior.width),
            "interior.height" => return sizes(&cabinet.interior.height),
            "interior.depth" => return sizes(&cabinet.interior.depth),
            "opening.width" => return self.opening_span(Axis::Across),
            "opening.height" => return self.opening_span(Axis::High),
            "bay.width" => {
                return self.bay.clone().map_or_else(
                    || self.look_up("interior.width").map_err(|lack| lack.reason),
                    Ok,
                );
            }
            "floor.height" => {
                if let Some(measure) = cabinet.interior.height.known() {
                    return position(measure.span.lo.at);
                }
            }
            _ if name.starts_with("cover.") => return self.cover(name),
            _ => {}
        }
        let mut named = cabinet.named.iter().filter(|size| size.name == name);
        if let Some(first) = named.next() {
            let known = from_span(&first.measure.span)?;
            for other in named {
                if !same(&known, &from_span(&other.measure.span)?) {
                    return Err("the drawing shows it in more than one size".to_owned());
                }
            }
            return Ok(known);
        }
        let parts: &[(Role, Axis)] = match name {
            "stile.width" => &[(Role::Stile, Axis::Across)],
            "rail.width" => &[(Role::Rail, Axis::High)],
            "mid-stile.width" => &[(Role::MidStile, Axis::Across)],
            "frame.height" => &[(Role::Stile, Axis::High)],
            "frame.thickness" => &[(Role::Stile, Axis::Deep)],
            "side.thickness" => &[(Role::Side, Axis::Across)],
            "bottom.thickness" => &[(Role::Bottom, Axis::High)],
            "top.thickness" => &[(Role::Top, Axis::High)],
            "stretcher.thickness" => &[(Role::Stretcher, Axis::High)],
            "stretcher.width" => &[(Role::Stretcher, Axis::Deep)],
            "divider.thickness" => &[(Role::Divider, Axis::Across)],
            "shelf.thickness" => &[
                (Role::AdjustableShelf, Axis::High),
                (Role::FixedShelf, Axis::High),
            ],
            "back.thickness" => &[(Role::Back, Axis::Deep)],
            "base.height" => &[(Role::BaseRail, Axis::High), (Role::BaseEnd, Axis::High)],
            "door-stile.width" => &[(Role::DoorStile, Axis::Across)],
            "door-rail.width" => &[(Role::DoorRail, Axis::High)],
            _ => return Err(String::new()),
        };
        for (role, axis) in parts {
            match self.drawn_part(*role, *axis) {
                Err(reason) if reason.is_empty() => {}
                found => return found,
            }
        }
        Err(String::new())
    }

    /// Whether the cabinet stands on the floor with a toe space or a base: so drawn, or
    /// so stated for this very cabinet.
    pub(super) fn has_toe(&self) -> bool {
        let cabinet = self.cabinet;
        let named = |name: &str| name.starts_with("toe.") || name.starts_with("base.");
        cabinet.named.iter().any(|size| named(&size.name))
            || cabinet
                .parts
                .iter()
                .any(|part| matches!(part.role, Role::ToeKick | Role::BaseRail | Role::BaseEnd))
            || self
                .rules
                .own(cabinet)
                .is_some_and(|own| own.parameters.keys().any(|name| named(name)))
    }

    /// Whether the drawing shows that there is neither: an end or a section without them,
    /// or the bottom at the lower end of the case. A front alone may hide a toe space.
    pub(super) fn has_no_toe(&self) -> bool {
        /// The bottom lies at the lower end when it is no higher than this.
        const LOW_MM: f64 = 20.0;
        let cabinet = self.cabinet;
        let sided = || cabinet.named.iter().any(|size| size.name == "case.height");
        let lowest = |part: &crate::cabinet::DrawnPart| {
            let high = part.high.as_ref();
            part.role == Role::Bottom && high.is_some_and(|high| high.lo.at < LOW_MM)
        };
        !self.has_toe() && (sided() || cabinet.parts.iter().any(lowest))
    }

    fn opening_span(&self, axis: Axis) -> Result<Known, String> {
        let openings = &self.cabinet.openings;
        let index = match (self.opening, openings.len()) {
            (Some(index), _) => index,
            (None, 1) => 0,
            (None, 0) => return Err("no opening is drawn".to_owned()),
            (None, _) => return Err("it depends on which opening is meant".to_owned()),
        };
        let opening = openings.get(index).ok_or_else(String::new)?;
        if axis == Axis::High && self.stacked(index) {
            return Err(format!(
                "several fronts stand one above the other in the {}, and nothing shows where one's \
                 share ends",
                opening.name
            ));
        }
        let span = match axis {
            Axis::Across => opening.across.as_ref(),
            Axis::High => opening.high.as_ref(),
            Axis::Deep => None,
        };
        span.map_or_else(
            || Err(format!("the {} is not drawn that way", opening.name)),
            from_span,
        )
    }

    /// Whether fronts stand one above the other in an opening.
    fn stacked(&self, opening: usize) -> bool {
        let mut heights: Vec<(f64, f64)> = self
            .cabinet
            .parts
            .iter()
            .filter(|part| part.opening == Some(opening))
            .filter_map(|part| part.high.as_ref())
            .map(|span| (span.lo.at, span.hi.at))
            .collect();
        heights.sort_by(|a, b| a.0.total_cmp(&b.0));
        heights
            .iter()
            .zip(heights.iter().skip(1))
            .any(|(below, above)| above.0 >= below.1)
    }

    /// The size all drawn parts of a role share along an axis.
    pub(super) fn drawn_part(&self, role: Role, axis: Axis) -> Result<Known, String> {
        let mut shared: Option<Known> = None;
        let at_opening = self.cabinet.parts.iter().any(|part| {
            part.role == role && part.opening.is_some() && part.opening == self.opening
        });
        for part in &self.cabinet.parts {
            // A flat part's drawing does not say how the part lies.
            if part.role != role || part.flat || (at_opening && part.opening != self.opening) {
                continue;
            }
            let Some(span) = part.span(axis) else {
                continue;
            };
            let known = from_span(span)?;
            match &shared {
                Some(first) if !same(first, &known) => {
                    return Err(format!(
                        "the drawing shows {}s of more than one size",
                        role.word()
                    ));
                }
                Some(_) => {}
                None => shared = Some(known),
            }
        }
        shared.ok_or_else(String::new)
    }

    /// How far a full-overlay front reaches past its opening on one edge: to
    /// `reveal` from the outside of the case, or to half a `gap` from the middle
    /// of the member it shares with the next opening.
    fn cover(&self, name: &str) -> Result<Known, String> {
        let index = self
            .opening
            .or((self.cabinet.openings.len() == 1).then_some(0))
            .ok_or_else(|| "it depends on which opening is meant".to_owned())?;
        let member = self.member(index, name)?;
        let allowance = if member.shared { "gap" } else { "reveal" };
        let allowance = self
            .look_up(allowance)
            .map_err(|lack| format!("`{}` is not known: {}", lack.name, lack.reason))?;
        let rest = Ratio::ticks(member.width)
            .minus(allowance.value.value)
            .ok_or_else(String::new)?;
        let value = if member.shared {
            rest.divided_by(Ratio::whole(2)).ok_or_else(String::new)?
        } else {
            rest
        };
        Ok(Known {
            value: Value {
                value,
                is_length: true,
            },
            origin: allowance.origin,
        })
    }
}

pub(super) fn from_span(span: &Span) -> Result<Known, String> {
    if span.is_lower_bound() {
        return Err("only the part of it that is not hidden is drawn".to_owned());
    }
    position(span.mm())
}

fn position(mm: f64) -> Result<Known, String> {
    Length::from_mm(mm)
        .map(|ticks| Known {
            value: length(ticks),
            origin: Origin::Drawn,
        })
        .ok_or_else(|| "it is beyond any size a cabinet can have".to_owned())
}

fn same(a: &Known, b: &Known) -> bool {
    match (a.value.value.to_length(), b.value.value.to_length()) {
        (Some(a), Some(b)) => (a - b).abs() <= SAME,
        _ => false,
    }
}
