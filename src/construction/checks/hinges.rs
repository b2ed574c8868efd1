//! Hinge bores on a boring list: from one edge, alike on doors of one size,
//! symmetrical where that is stated, inside the door, on its hinge side, and clear of
//! fixed shelves and rails.

use super::{Cell, Check, Desk, Topic, Verdict};
use crate::cabinet::{DrawnPart, MeasuredCabinet};
use crate::construction::Origin;
use crate::cutlist::{BoringRow, FromEdge, SizeCell};
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};
use std::collections::BTreeMap;

/// What a boring row says, worked out.
pub(super) struct Bored<'a> {
    pub row: &'a BoringRow,
    /// Of the door.
    height: Option<Length>,
    width: Option<Length>,
    /// Bore centres from the door's lower end, rising; `None` when the edge they are
    /// measured from or the height is not known.
    rising: Option<Vec<Length>>,
}

pub(super) fn check(facts: &Desk<'_>, found: &mut Vec<Check>) {
    let mut bored: Vec<Bored<'_>> = facts.borings().map(|row| read(facts, row)).collect();
    bored.sort_by(|a, b| a.row.source.cmp(&b.row.source));
    from_one_edge(&bored, found);
    alike(facts, &bored, found);
    let paired = || {
        let several = |door: &&Bored<'_>| door.rising.as_ref().is_some_and(|r| r.len() > 1);
        bored.iter().filter(several)
    };
    let evens = paired().filter(|door| even(facts, door)).count();
    let usually_even = 2 * evens > paired().count();
    for door in &bored {
        inside(facts, door, found);
        from_end(facts, door, usually_even, found);
        centre(facts, door, found);
        clear(facts, door, found);
    }
    super::boring::check(facts, &bored, found);
    super::bores::check(facts, &bored_heights(&bored), found);
}

/// Rising bore centres by cabinet and door height, for drawn bores.
fn bored_heights(bored: &[Bored<'_>]) -> Vec<super::bores::Listed> {
    bored
        .iter()
        .filter_map(|door| {
            Some(super::bores::Listed {
                marks: rows(door).collect(),
                centre: door
                    .row
                    .centre_from_edge
                    .as_ref()
                    .map(|size| (cell(door, size), size.value)),
                cabinets: door.row.cabinets.clone(),
                height: door.height?,
                rising: door.rising.clone()?,
            })
        })
        .collect()
}

fn read<'a>(facts: &Desk<'a>, row: &'a BoringRow) -> Bored<'a> {
    let own = |wanted: [Dimension; 2]| -> Option<Length> {
        wanted
            .into_iter()
            .find_map(|d| row.sizes.iter().find(|cell| cell.dimension == d))
            .map(|cell| cell.value)
    };
    let height = own([Dimension::Height, Dimension::Length]).or_else(|| listed_height(facts, row));
    let rising = row
        .marks
        .iter()
        .map(|mark| match mark.from {
            FromEdge::Bottom => Some(mark.size.value),
            FromEdge::Top => Some(height? - mark.size.value),
            FromEdge::Unstated => None,
        })
        .collect::<Option<Vec<_>>>()
        .map(|mut marks| {
            marks.sort();
            marks
        });
    Bored {
        row,
        height,
        width: own([Dimension::Width, Dimension::Width]),
        rising,
    }
}

/// The height all doors listed for the row's cabinets share.
fn listed_height(facts: &Desk<'_>, row: &BoringRow) -> Option<Length> {
    let mut heights = row
        .cabinets
        .iter()
        .flat_map(|name| facts.rows_of(name, Role::Door))
        .filter_map(|door| {
            door.size(Dimension::Height)
                .or_else(|| door.size(Dimension::Length))
        })
        .map(|cell| cell.value);
    let first = heights.next()?;
    heights.all(|height| height == first).then_some(first)
}

pub(super) fn rows(door: &Bored<'_>) -> impl Iterator<Item = Cell> {
    door.row.marks.iter().map(|mark| cell(door, &mark.size))
}

pub(super) fn cell(door: &Bored<'_>, size: &SizeCell) -> Cell {
    super::listed(&door.row.source, &door.row.part, size)
}

/// The marks that stand at this height above the door's lower end.
fn marks_at(door: &Bored<'_>, height: Length, at: Length) -> Vec<Cell> {
    door.row
        .marks
        .iter()
        .filter(|mark| match mark.from {
            FromEdge::Bottom => mark.size.value == at,
            FromEdge::Top => height - mark.size.value == at,
            FromEdge::Unstated => false,
        })
        .map(|mark| cell(door, &mark.size))
        .collect()
}

pub(super) fn name(door: &Bored<'_>) -> String {
    if door.row.cabinet_text.is_empty() {
        format!("'{}'", door.row.part)
    } else {
        format!("{} '{}'", door.row.cabinet_text, door.row.part)
    }
}

/// Every row of one list measures its bores from the same edges.
fn from_one_edge(bored: &[Bored<'_>], found: &mut Vec<Check>) {
    let mut lists: BTreeMap<(&str, usize), Vec<&Bored<'_>>> = BTreeMap::new();
    for door in bored {
        let key = (&*door.row.source.file, door.row.marks.len());
        lists.entry(key).or_default().push(door);
    }
    for doors in lists.into_values() {
        let edges = |door: &Bored<'_>| -> Vec<FromEdge> {
            door.row.marks.iter().map(|mark| mark.from).collect()
        };
        let Some(usual) = most_common(doors.iter().map(|door| edges(door))) else {
            continue;
        };
        for door in doors {
            if edges(door) == usual {
                continue;
            }
            found.push(
                Check::new(
                    Topic::HingeBores,
                    Verdict::Disagrees,
                    format!(
                        "{}: its bores are measured from the {}, those of the other doors from the {}",
                        name(door),
                        said(&edges(door)),
                        said(&usual)
                    ),
                )
                .of(door.row.cabinets.iter().map(String::as_str))
                .at_rows(rows(door)),
            );
        }
    }
}

fn said(edges: &[FromEdge]) -> String {
    let words: Vec<&str> = edges
        .iter()
        .map(|edge| match edge {
            FromEdge::Top => "top",
            FromEdge::Bottom => "bottom",
            FromEdge::Unstated => "edge not stated",
        })
        .collect();
    let mut words = words;
    words.dedup();
    words.join(", then the ")
}

/// The value that comes most often; of several, the smallest.
fn most_common<T: Ord>(values: impl Iterator<Item = T>) -> Option<T> {
    let mut counts: BTreeMap<T, usize> = BTreeMap::new();
    for value in values {
        *counts.entry(value).or_default() += 1;
    }
    let most = counts.values().copied().max()?;
    counts
        .into_iter()
        .find(|(_, count)| *count == most)
        .map(|(value, _)| value)
}

/// Doors of one size have their bores at the same places.
fn alike(facts: &Desk<'_>, bored: &[Bored<'_>], found: &mut Vec<Check>) {
    let mut sizes: BTreeMap<(Length, Option<Length>), Vec<&Bored<'_>>> = BTreeMap::new();
    for door in bored {
        if let (Some(height), Some(_)) = (door.height, &door.rising) {
            sizes.entry((height, door.width)).or_default().push(door);
        }
    }
    for ((height, _), doors) in sizes {
        let Some(usual) = most_common(doors.iter().filter_map(|door| door.rising.clone())) else {
            continue;
        };
        let tolerance = facts.tolerance(height);
        for door in &doors {
            let Some(own) = &door.rising else { continue };
            let same = own.len() == usual.len()
                && own
                    .iter()
                    .zip(&usual)
                    .all(|(own, usual)| (*own - *usual).abs() <= tolerance);
            if same {
                continue;
            }
            let show = |marks: &[Length]| -> String {
                let marks: Vec<String> = marks.iter().map(|mark| facts.show(*mark)).collect();
                marks.join(", ")
            };
            found.push(
                Check::new(
                    Topic::HingeBores,
                    Verdict::Disagrees,
                    format!(
                        "{}: its bores are {} above its lower end, those of other doors of its size {}",
                        name(door),
                        show(own),
                        show(&usual)
                    ),
                )
                .of(door.row.cabinets.iter().map(String::as_str))
                .at_rows(rows(door)),
            );
        }
    }
}

/// Bores lie on the door.
fn inside(facts: &Desk<'_>, door: &Bored<'_>, found: &mut Vec<Check>) {
    let Some(height) = door.height else {
        found.push(
            Check::new(
                Topic::HingeBores,
                Verdict::Unchecked,
                format!(
                    "{}: the height of this door is neither in the row nor the same for all doors \
                     of its cabinet, so its bores are only held against each other",
                    name(door)
                ),
            )
            .of(door.row.cabinets.iter().map(String::as_str))
            .at_rows(rows(door)),
        );
        return;
    };
    for mark in &door.row.marks {
        if mark.size.value > Length::ZERO && mark.size.value < height {
            continue;
        }
        found.push(
            Check::new(
                Topic::HingeBores,
                Verdict::Disagrees,
                format!(
                    "{}: a bore {} from the end is not on a door {} high",
                    name(door),
                    facts.show(mark.size.value),
                    facts.show(height)
                ),
            )
            .of(door.row.cabinets.iter().map(String::as_str))
            .at_rows([cell(door, &mark.size)]),
        );
    }
}

/// True when the outer bores of a door are as far from its ends; a single bore is.
fn even(facts: &Desk<'_>, door: &Bored<'_>) -> bool {
    let (Some(height), Some(rising)) = (door.height, &door.rising) else {
        return true;
    };
    match (rising.first(), rising.last()) {
        (Some(first), Some(last)) if rising.len() > 1 => {
            (*first - (height - *last)).abs() <= facts.tolerance(height)
        }
        _ => true,
    }
}

/// The outer bores are the stated distance from both ends. Where none is stated and
/// most doors have theirs even, an uneven door is pointed at.
fn from_end(facts: &Desk<'_>, door: &Bored<'_>, usually_even: bool, found: &mut Vec<Check>) {
    let (Some(height), Some(rising)) = (door.height, &door.rising) else {
        return;
    };
    let (Some(first), Some(last)) = (rising.first(), rising.last()) else {
        return;
    };
    let (lower, upper) = (*first, height - *last);
    let mut ends = vec![("lower", lower, *first), ("upper", upper, *last)];
    if rising.len() == 1 {
        // A single mark says how far it is from the edge it is measured from.
        let from_top = door.row.marks.iter().all(|mark| mark.from == FromEdge::Top);
        ends.retain(|(end, ..)| (*end == "upper") == from_top);
    }
    let stated = stated(facts, door, "hinge.from-end");
    let tolerance = facts.tolerance(height);
    let Some((wanted, origin)) = stated else {
        if usually_even && !even(facts, door) {
            found.push(
                Check::new(
                    Topic::HingeBores,
                    Verdict::Unchecked,
                    format!(
                        "{}: its outer bores are {} and {} from its ends, where other doors have \
                         theirs even; if that is meant for all, state `hinge.from-end` under [sizes]",
                        name(door),
                        facts.show(lower),
                        facts.show(upper)
                    ),
                )
                .of(door.row.cabinets.iter().map(String::as_str))
                .at_rows(rows(door)),
            );
        }
        return;
    };
    for (end, distance, at) in ends {
        let same = (distance - wanted).abs() <= tolerance;
        found.push(
            Check::new(
                Topic::HingeBores,
                Verdict::of(same),
                format!(
                    "{}: its {end} bore is {} from the end; the shop bores at {}",
                    name(door),
                    facts.show(distance),
                    facts.show(wanted)
                ),
            )
            .of(door.row.cabinets.iter().map(String::as_str))
            .resting_on(origin.clone())
            .at_rows(marks_at(door, height, at))
            .sizes(wanted, distance, tolerance),
        );
    }
}

/// A size of the shop for the row's first drawn cabinet.
fn stated(facts: &Desk<'_>, door: &Bored<'_>, size: &str) -> Option<(Length, Origin)> {
    door.row
        .cabinets
        .iter()
        .find_map(|name| facts.size(facts.cabinet(name)?, size))
}

/// The bore's centre is its edge distance and half its diameter from the hinge edge,
/// and nearer to that edge than to the other.
fn centre(facts: &Desk<'_>, door: &Bored<'_>, found: &mut Vec<Check>) {
    let Some(centre) = &door.row.centre_from_edge else {
        return;
    };
    let mut judge = |verdict, sentence, origin| {
        let mut check = Check::new(Topic::HingeBores, verdict, sentence)
            .of(door.row.cabinets.iter().map(String::as_str))
            .resting_on(origin)
            .at_rows([cell(door, centre)]);
        check.found = Some(centre.value);
        found.push(check);
    };
    if let Some(width) = door.width
        && centre.value > width / 2
    {
        judge(
            Verdict::Disagrees,
            format!(
                "{}: a bore {} from the hinge edge of a door {} wide lies towards the other edge, \
                 {} from it",
                name(door),
                facts.show(centre.value),
                facts.show(width),
                facts.show(width - centre.value)
            ),
            Origin::Drawn,
        );
    }
    if let Some(((rim, a), (bore, b))) = rim_and_bore(facts, door) {
        let wanted = rim + bore / 2;
        let same = (centre.value - wanted).abs() <= facts.tolerance(wanted);
        judge(
            Verdict::of(same),
            format!(
                "{}: the bore's centre is listed {} from the hinge edge; edge distance {} and half \
                 of {} make {}",
                name(door),
                facts.show(centre.value),
                facts.show(rim),
                facts.show(bore),
                facts.show(wanted)
            ),
            a.max(b),
        );
    }
}

/// A door's edge distance and the diameter of its bores, listed or stated.
pub(super) fn rim_and_bore(
    facts: &Desk<'_>,
    door: &Bored<'_>,
) -> Option<((Length, Origin), (Length, Origin))> {
    let value = |cell: &Option<SizeCell>| cell.as_ref().map(|cell| (cell.value, Origin::Drawn));
    let rim = value(&door.row.rim_from_edge).or_else(|| stated(facts, door, "hinge.edge"));
    let bore = value(&door.row.diameter).or_else(|| stated(facts, door, "hinge.bore"));
    rim.zip(bore)
}

/// Hinges do not meet fixed shelves or rails of the case.
fn clear(facts: &Desk<'_>, door: &Bored<'_>, found: &mut Vec<Check>) {
    let Some(rising) = &door.rising else { return };
    let Some((bore, origin)) = stated(facts, door, "hinge.bore") else {
        return;
    };
    for cabinet_name in &door.row.cabinets {
        let Some(cabinet) = facts.cabinet(cabinet_name) else {
            continue;
        };
        let Some(low) = lower_end(cabinet, door.height) else {
            continue;
        };
        for mark in rising {
            let Some(part) = met(cabinet, low + mark.mm(), bore.mm()) else {
                continue;
            };
            let mut check = Check::new(
                Topic::HingeBores,
                Verdict::Disagrees,
                format!(
                    "{}: the bore {} above the door's lower end meets the {}",
                    name(door),
                    facts.show(*mark),
                    part.name
                ),
            )
            .of([cabinet_name.as_str()])
            .resting_on(origin.clone())
            .at_rows(rows(door));
            check.drawn = part.span(Axis::High).cloned().into_iter().collect();
            found.push(check);
        }
    }
}

/// The fixed shelf, stretcher or rail that a hinge at this height meets, millimetres.
pub(super) fn met(cabinet: &MeasuredCabinet, at: f64, bore: f64) -> Option<&DrawnPart> {
    cabinet.parts.iter().find(|part| {
        let solid = matches!(part.role, Role::FixedShelf | Role::Rail | Role::Stretcher);
        solid
            && !part.flat
            && part
                .span(Axis::High)
                .is_some_and(|high| at + bore / 2.0 > high.lo.at && at - bore / 2.0 < high.hi.at)
    })
}

/// Where the lower end of the cabinet's doors of this height is drawn, millimetres;
/// `None` when doors of that height stand at different heights.
pub(super) fn lower_end(cabinet: &MeasuredCabinet, height: Option<Length>) -> Option<f64> {
    let height = height?;
    let mut ends = cabinet
        .parts
        .iter()
        .filter(|part| part.role == Role::Door && !part.flat)
        .filter_map(|part| part.span(Axis::High))
        .filter(|span| (span.mm() - height.mm()).abs() < 2.0)
        .map(|span| span.lo.at);
    let first = ends.next()?;
    ends.all(|end| (end - first).abs() < 0.5).then_some(first)
}
