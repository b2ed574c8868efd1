//! Which relations may give a size of a cabinet, and where in it they apply.

use super::bays::bays;
use super::expression::Expr;
use super::names::{self, PartName};
use super::scope::Scope;
use super::standing::{self, Each, FrontKind, Ground, Guard};
use super::{DRAWN_GEOMETRY, Origin, PartSize, Rules};
use crate::cabinet::{MeasuredCabinet, Style};
use crate::trade::Role;

/// A relation that may give a part size in a cabinet.
pub(super) struct Candidate<'a> {
    pub expr: &'a Expr,
    pub each: Each,
    pub origin: Origin,
    /// The answers it rests on.
    pub when: &'static [(&'static str, &'static [&'static str])],
}

impl Rules {
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
            .filter(|read| {
                read.standing.toe.is_none_or(|toe| {
                    let scope = Scope::new(self, cabinet);
                    if toe {
                        scope.has_toe()
                    } else {
                        scope.has_no_toe()
                    }
                })
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
                    && (ends_inside(Role::ToeKick) == Some(true)
                        || self.told_what_it_stands_on(cabinet))
            }
            // A back that stands in from the rear leaves the rear to the sides.
            Guard::BackInsideSides => {
                let mut named = cabinet.named.iter();
                ends_inside(Role::Back) == Some(true)
                    || named.any(|n| n.name == "back.inset" && n.measure.span.mm() > 1.0)
            }
            Guard::Frame => self.style(cabinet) == Style::FaceFrame && drawn(Role::Stile),
        }
    }

    /// Whether the drawing, or the job file, tells what the sides stand on. A front alone
    /// may show the rail of a base as it shows a toe kick; the bottom high up tells only
    /// that there is one of the two.
    fn told_what_it_stands_on(&self, cabinet: &MeasuredCabinet) -> bool {
        let named = |name: &str| cabinet.named.iter().any(|size| size.name == name);
        Scope::new(self, cabinet).has_no_toe()
            // An end or a section was read.
            || ["case.height", "base.height", "toe.height"].into_iter().any(named)
            || self.given(cabinet, "side").is_some()
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
                // Several drawers may share an opening that nothing divides.
                .filter(|(opening, drawn)| {
                    kind == FrontKind::Door
                        || count.is_none()
                        || drawn.is_some()
                        || is_divided(cabinet, *opening)
                })
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

/// True when frame members part this opening from another.
fn is_divided(cabinet: &MeasuredCabinet, opening: usize) -> bool {
    cabinet.openings.len() > 1
        && cabinet
            .openings
            .get(opening)
            .is_some_and(|opening| opening.in_frame)
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
