//! Hinge bores as drawn: circles on drawings of doors, and plate holes on drawings of
//! sides.

use super::{Cell, Check, Desk, Topic, Verdict};
use crate::cabinet::{DrawnPart, MeasuredCabinet};
use crate::construction::Origin;
use crate::length::Length;
use crate::trade::{Axis, Role};
use crate::view::View;
use std::collections::BTreeMap;

/// Bores as a boring list has them.
pub(super) struct Listed {
    pub marks: Vec<Cell>,
    /// Their centre from the hinge edge.
    pub centre: Option<(Cell, Length)>,
    pub cabinets: Vec<String>,
    pub height: Length,
    /// From the door's lower end.
    pub rising: Vec<Length>,
}

/// Circles this near in diameter are the stated bore, millimetres.
const NEAR_DIAMETER: f64 = 0.3;
/// Smallest and largest hinge cup, millimetres.
const CUPS: (f64, f64) = (25.5, 41.0);
/// Plate and system holes are 5 mm across (32 mm system).
const PLATE_HOLE_MM: f64 = 5.0;

/// A circle on a part's own drawing, from the part's left and lower edges.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hole {
    pub x: f64,
    pub y: f64,
}

pub(super) fn check(facts: &Desk<'_>, listed: &[Listed], found: &mut Vec<Check>) {
    let mut by_cabinet: BTreeMap<String, Vec<&Listed>> = BTreeMap::new();
    for row in listed {
        for name in &row.cabinets {
            by_cabinet
                .entry(super::cabinet_key(name))
                .or_default()
                .push(row);
        }
    }
    let mut doors: Vec<Door<'_>> = Vec::new();
    for (name, cabinet) in facts.named() {
        let stated = facts.size(cabinet, "hinge.bore");
        let listed = by_cabinet
            .get(&super::cabinet_key(name))
            .map_or(&[][..], Vec::as_slice);
        let mut drawn_rising: Option<(Length, Vec<f64>)> = None;
        for (part, view) in part_drawings(facts, cabinet, Role::Door) {
            let (Some(across), Some(high)) = (part.span(Axis::Across), part.span(Axis::High))
            else {
                continue;
            };
            let drawn = || cup(view).map(|bore| (bore, Origin::Drawn));
            let Some((bore, origin)) = stated.clone().or_else(drawn) else {
                continue;
            };
            let holes = holes(view, bore.mm());
            // Edge distances need the outline to be the door's own.
            let alone = (view.extents.width() - across.mm()).abs() < 1.0
                && (view.extents.height() - high.mm()).abs() < 1.0;
            if holes.is_empty() || !alone {
                continue;
            }
            let door = Door {
                name,
                part,
                width: across.mm(),
                height: high.mm(),
                holes,
                origin,
                bore: bore.mm(),
                edge_stated: facts.scope(cabinet).look_up("hinge.edge").is_ok(),
                title: view.title.as_ref().map_or("", |title| title.text.as_str()),
            };
            door.in_one_line(facts, found);
            door.centre(facts, cabinet, bore, found);
            door.as_listed(facts, listed, found);
            drawn_rising = drawn_rising.or_else(|| door.rising());
            doors.push(door);
        }
        let from_list = || {
            let own = listed.first()?;
            let rising = own.rising.iter().map(|mark| mark.mm()).collect();
            Some((own.height, rising))
        };
        if let Some((height, rising)) = drawn_rising.or_else(from_list) {
            plates(facts, name, cabinet, height, &rising, found);
        }
    }
    super::cups::check(facts, &doors, found);
}

/// The diameter of the bores of a door where none is stated: that of the one kind of
/// large circle on its drawing (cups are 26, 35 or 40 mm across).
fn cup(view: &View) -> Option<Length> {
    let mut cups = view
        .arcs
        .iter()
        .map(|arc| (arc.full, 2.0 * arc.radius))
        .filter(|(full, across)| *full && (CUPS.0..=CUPS.1).contains(across))
        .map(|(_, across)| across);
    let first = cups.next()?;
    cups.all(|other| (other - first).abs() <= NEAR_DIAMETER)
        .then(|| Length::from_mm(first))?
}

/// Drawings of single parts of a role, with their views.
fn part_drawings<'a>(
    facts: &Desk<'a>,
    cabinet: &'a MeasuredCabinet,
    role: Role,
) -> impl Iterator<Item = (&'a DrawnPart, &'a View)> {
    let views = &facts.views.views;
    cabinet
        .parts
        .iter()
        .filter(move |part| part.role == role && part.flat)
        .filter_map(move |part| {
            let span = part.span(Axis::High).or_else(|| part.span(Axis::Across))?;
            Some((part, views.get(span.view)?))
        })
}

/// Full circles of a diameter, from the lower left corner of the view's lines.
fn holes(view: &View, diameter: f64) -> Vec<Hole> {
    let corner = view.extents.min();
    let mut holes: Vec<Hole> = view
        .arcs
        .iter()
        .filter(|arc| arc.full && (2.0 * arc.radius - diameter).abs() <= NEAR_DIAMETER)
        .map(|arc| Hole {
            x: arc.centre.x - corner.x,
            y: arc.centre.y - corner.y,
        })
        .collect();
    holes.sort_by(|a, b| a.y.total_cmp(&b.y).then(a.x.total_cmp(&b.x)));
    // The same circle drawn twice is one bore.
    holes.dedup_by(|a, b| (a.x - b.x).abs() < 0.05 && (a.y - b.y).abs() < 0.05);
    holes
}

/// A door with bores on a drawing of its own; millimetres.
pub(super) struct Door<'a> {
    pub name: &'a str,
    pub part: &'a DrawnPart,
    pub width: f64,
    pub height: f64,
    /// Rising.
    pub holes: Vec<Hole>,
    pub bore: f64,
    /// How far the bores are from the edge is stated.
    pub edge_stated: bool,
    pub title: &'a str,
    origin: Origin,
}

impl Door<'_> {
    pub fn check(&self, verdict: Verdict, sentence: String) -> Check {
        Check::new(Topic::HingeBores, verdict, sentence)
            .of([self.name])
            .resting_on(self.origin.clone())
    }

    /// Distance of a bore from the nearer upright edge.
    pub fn to_edge(&self, hole: Hole) -> f64 {
        hole.x.min(self.width - hole.x)
    }

    fn rising(&self) -> Option<(Length, Vec<f64>)> {
        let height = Length::from_mm(self.height)?;
        Some((height, self.holes.iter().map(|hole| hole.y).collect()))
    }

    /// All bores of a door are on one side, in one line.
    fn in_one_line(&self, facts: &Desk<'_>, found: &mut Vec<Check>) {
        let Some(first) = self.holes.first() else {
            return;
        };
        let tolerance = facts.rules.tolerance(Some(Role::Door)).mm();
        for hole in &self.holes {
            if (hole.x - first.x).abs() <= tolerance {
                continue;
            }
            let sentence = format!(
                "{}: the bores of the {} are drawn {} and {} from its left edge, not in one line",
                self.name,
                self.part.name,
                self.show(facts, first.x),
                self.show(facts, hole.x)
            );
            found.push(self.check(Verdict::Disagrees, sentence));
            return;
        }
    }

    pub fn show(&self, facts: &Desk<'_>, mm: f64) -> String {
        facts.show(Length::from_mm(mm).unwrap_or_default())
    }

    /// Centre from the hinge edge is the edge distance and half the bore.
    fn centre(
        &self,
        facts: &Desk<'_>,
        cabinet: &MeasuredCabinet,
        bore: Length,
        found: &mut Vec<Check>,
    ) {
        let known = facts.scope(cabinet).look_up("hinge.edge").ok();
        let Some(edge) = known.and_then(|known| known.value.value.to_length()) else {
            return;
        };
        let wanted = edge + bore / 2;
        let tolerance = facts.rules.tolerance(Some(Role::Door));
        for hole in &self.holes {
            let Some(own) = Length::from_mm(self.to_edge(*hole)) else {
                continue;
            };
            let same = (own - wanted).abs() <= tolerance;
            let sentence = format!(
                "{}: a bore of the {} is drawn {} from the edge; edge distance {} and half of {} \
                 make {}",
                self.name,
                self.part.name,
                facts.show(own),
                facts.show(edge),
                facts.show(bore),
                facts.show(wanted)
            );
            let verdict = Verdict::of(same);
            found.push(self.check(verdict, sentence).sizes(wanted, own, tolerance));
        }
    }

    /// Drawn bores are where the boring list has them.
    fn as_listed(&self, facts: &Desk<'_>, listed: &[&Listed], found: &mut Vec<Check>) {
        let tolerance = facts.rules.tolerance(Some(Role::Door)).mm();
        for row in listed {
            let same_door = (row.height.mm() - self.height).abs() <= 2.0;
            if !same_door || row.rising.is_empty() {
                continue;
            }
            let as_drawn = |turned: bool| {
                let mut drawn: Vec<f64> = self
                    .holes
                    .iter()
                    .map(|hole| if turned { self.height - hole.y } else { hole.y })
                    .collect();
                drawn.sort_by(f64::total_cmp);
                drawn.len() == row.rising.len()
                    && drawn
                        .iter()
                        .zip(&row.rising)
                        .all(|(drawn, listed)| (drawn - listed.mm()).abs() <= tolerance)
            };
            // A drawing of a door alone does not say which end is up.
            let same = as_drawn(false) || as_drawn(true);
            let drawn: Vec<String> = self
                .holes
                .iter()
                .map(|hole| self.show(facts, hole.y))
                .collect();
            let listed_marks: Vec<String> =
                row.rising.iter().map(|mark| facts.show(*mark)).collect();
            let sentence = format!(
                "{}: the bores of the {} are drawn {} from an end and listed {}",
                self.name,
                self.part.name,
                drawn.join(", "),
                listed_marks.join(", ")
            );
            let verdict = Verdict::of(same);
            found.push(
                self.check(verdict, sentence)
                    .at_rows(row.marks.iter().cloned()),
            );
            if self.edge_stated {
                continue;
            }
            let own = self.holes.first().map(|hole| self.to_edge(*hole));
            let drawn = own.and_then(Length::from_mm);
            let (Some((cell, listed)), Some(drawn)) = (&row.centre, drawn) else {
                continue;
            };
            let sentence = format!(
                "{}: the bores of the {} are drawn {} from the edge and listed {}",
                self.name,
                self.part.name,
                facts.show(drawn),
                facts.show(*listed)
            );
            let tolerance = facts.rules.tolerance(Some(Role::Door));
            let same = (drawn - *listed).abs() <= tolerance;
            found.push(
                self.check(Verdict::of(same), sentence)
                    .at_rows([cell.clone()])
                    .sizes(drawn, *listed, tolerance),
            );
        }
    }
}

/// Plate holes on the sides at the height of the hinges, half their spacing above and
/// below. Only where the row of plate holes is stated and drawn.
fn plates(
    facts: &Desk<'_>,
    name: &str,
    cabinet: &MeasuredCabinet,
    height: Length,
    rising: &[f64],
    found: &mut Vec<Check>,
) {
    let Some(door) = super::hinges::lower_end(cabinet, Some(height)) else {
        return;
    };
    let side_foot = facts
        .size(cabinet, "base.height")
        .map_or(0.0, |(height, _)| height.mm());
    let (Some((row, origin)), Some((spacing, _))) = (
        facts.size(cabinet, "plate.row"),
        facts.size(cabinet, "plate.spacing"),
    ) else {
        let centres: Vec<f64> = rising.iter().map(|mark| door + mark - side_foot).collect();
        plates_unstated(facts, name, cabinet, &centres, found);
        return;
    };
    let tolerance = facts.rules.tolerance(Some(Role::Side)).mm();
    for (part, view) in part_drawings(facts, cabinet, Role::Side) {
        let (width, length) = (
            view.extents.max().x - view.extents.min().x,
            view.extents.max().y - view.extents.min().y,
        );
        let holes = holes(view, PLATE_HOLE_MM);
        if holes.is_empty() {
            continue;
        }
        let wanted: Vec<f64> = rising
            .iter()
            .flat_map(|mark| {
                let centre = door + mark - side_foot;
                [centre - spacing.mm() / 2.0, centre + spacing.mm() / 2.0]
            })
            .collect();
        // The side may be drawn standing or lying, either way up, either face.
        let along = |lying: bool, turned: bool, mirrored: bool| -> Vec<f64> {
            holes
                .iter()
                .filter_map(|hole| {
                    let (across, up, deep, high) = if lying {
                        (hole.y, hole.x, length, width)
                    } else {
                        (hole.x, hole.y, width, length)
                    };
                    let across = if mirrored { deep - across } else { across };
                    let up = if turned { high - up } else { up };
                    ((across - row.mm()).abs() <= tolerance).then_some(up)
                })
                .collect()
        };
        let ways = [false, true].into_iter().flat_map(|lying| {
            [false, true].into_iter().flat_map(move |turned| {
                [false, true]
                    .into_iter()
                    .map(move |mirrored| (lying, turned, mirrored))
            })
        });
        let missing_in = |way: (bool, bool, bool)| -> usize {
            let holes = along(way.0, way.1, way.2);
            wanted
                .iter()
                .filter(|wanted| {
                    !holes
                        .iter()
                        .any(|hole| (hole - **wanted).abs() <= tolerance)
                })
                .count()
        };
        let Some(missing) = ways.map(missing_in).min() else {
            continue;
        };
        let show = |mm: &f64| facts.show(Length::from_mm(*mm).unwrap_or_default());
        let marks: Vec<String> = wanted.iter().map(show).collect();
        let mut check = Check::new(
            Topic::HingeBores,
            Verdict::of(missing == 0),
            format!(
                "{name}: plate holes for its hinges belong {} above the lower end of the {}, {} from \
                 its front edge; {}",
                marks.join(", "),
                part.name,
                facts.show(row),
                if missing == 0 {
                    "they are drawn there".to_owned()
                } else {
                    format!("{missing} of {} are not drawn there", wanted.len())
                }
            ),
        )
        .of([name])
        .resting_on(origin.clone());
        check.drawn = part.span(Axis::High).cloned().into_iter().collect();
        found.push(check);
    }
}

/// Plate holes where neither their row nor their spacing is stated: a side whose only
/// holes are pairs in one line, as many as the door has hinges, has them half above and
/// half below each hinge.
fn plates_unstated(
    facts: &Desk<'_>,
    name: &str,
    cabinet: &MeasuredCabinet,
    centres: &[f64],
    found: &mut Vec<Check>,
) {
    let tolerance = facts.rules.tolerance(Some(Role::Side)).mm();
    for (part, view) in part_drawings(facts, cabinet, Role::Side) {
        let (wide, high) = (view.extents.width(), view.extents.height());
        let mut holes = holes(view, PLATE_HOLE_MM);
        let length = high.max(wide);
        if wide > high {
            for hole in &mut holes {
                std::mem::swap(&mut hole.x, &mut hole.y);
            }
            holes.sort_by(|a, b| a.y.total_cmp(&b.y));
        }
        let in_line = holes
            .windows(2)
            .all(|pair| matches!(pair, [a, b] if (a.x - b.x).abs() <= tolerance));
        if !in_line || centres.is_empty() || holes.len() != 2 * centres.len() {
            continue;
        }
        let pairs: Vec<(f64, f64)> = holes
            .chunks(2)
            .filter_map(|pair| match pair {
                [a, b] => Some((f64::midpoint(a.y, b.y), b.y - a.y)),
                _ => None,
            })
            .collect();
        let alike = pairs
            .windows(2)
            .all(|pair| matches!(pair, [a, b] if (a.1 - b.1).abs() <= tolerance));
        if !alike {
            continue;
        }
        let at = |turned: bool| -> Vec<f64> {
            let mut middles: Vec<f64> = pairs
                .iter()
                .map(|(middle, _)| if turned { length - middle } else { *middle })
                .collect();
            middles.sort_by(f64::total_cmp);
            middles
        };
        let fits = |turned: bool| {
            let middles = at(turned);
            let mut both = middles.iter().zip(centres);
            both.all(|(own, wanted)| (own - wanted).abs() <= tolerance)
        };
        let same = fits(false) || fits(true);
        let show = |marks: &[f64]| -> String {
            let marks: Vec<String> = marks
                .iter()
                .map(|mm| facts.show(Length::from_mm(*mm).unwrap_or_default()))
                .collect();
            marks.join(", ")
        };
        let sentence = format!(
            "{name}: the hinges are {} above the lower end of the {}, and its pairs of plate holes \
             are drawn around {}",
            show(centres),
            part.name,
            show(&at(false))
        );
        let mut check = Check::new(Topic::HingeBores, Verdict::of(same), sentence).of([name]);
        check.drawn = part.span(Axis::High).cloned().into_iter().collect();
        found.push(check);
    }
}
