//! How many fronts and drawer parts the openings of a cabinet ask for, and whether the
//! fronts of an undivided opening fill it. For what is not drawn part by part: drawn
//! fronts are counted one by one elsewhere.

mod bank;

use super::{Check, Desk, Topic, Verdict, at, per_cabinet, some};
use crate::cabinet::MeasuredCabinet;
use crate::construction::{Expected, Origin, PartSize};
use crate::cutlist::{Row, SizeCell};
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};
use std::collections::BTreeSet;

/// Openings, by their place among the cabinet's.
type Openings = BTreeSet<usize>;

pub(super) fn check(facts: &Desk<'_>, found: &mut Vec<Check>) {
    for (name, cabinet) in facts.named() {
        let here = Here {
            facts,
            name,
            cabinet,
        };
        let drawers = here.fronts(found);
        here.door_parts(found);
        here.boxes(&drawers, found);
    }
}

/// The drawers of a cabinet.
enum Drawers {
    /// Nothing says how many there are.
    Unknown,
    /// So many, in these openings where that is known.
    Known {
        count: u32,
        places: Option<Vec<usize>>,
        /// "drawn" or "listed".
        by: &'static str,
    },
}

struct Here<'a> {
    facts: &'a Desk<'a>,
    name: &'a str,
    cabinet: &'a MeasuredCabinet,
}

/// A listed front or drawer part and the openings its sizes fit.
struct Placed<'a> {
    row: &'a Row,
    listed: u32,
    openings: Openings,
    /// How many of it share an opening.
    sharing: u32,
}

impl<'a> Here<'a> {
    /// Fronts that are not drawn: their openings follow from their sizes.
    fn fronts(&self, found: &mut Vec<Check>) -> Drawers {
        let drawn: Vec<Option<usize>> = self
            .cabinet
            .parts
            .iter()
            .filter(|part| part.role == Role::DrawerFront && !part.flat)
            .map(|part| part.opening)
            .collect();
        let any_drawn = !drawn.is_empty()
            || self
                .cabinet
                .parts
                .iter()
                .any(|part| part.role == Role::Door && !part.flat);
        if any_drawn {
            let count = u32::try_from(drawn.len()).unwrap_or(u32::MAX);
            let mut places: Option<Vec<usize>> = drawn.into_iter().collect();
            let several =
                |places: &Vec<usize>| places.iter().collect::<BTreeSet<_>>().len() < places.len();
            if places.as_ref().is_some_and(several) {
                places = None;
            }
            return if count == 0 {
                Drawers::Unknown
            } else {
                Drawers::Known {
                    count,
                    places,
                    by: "drawn",
                }
            };
        }
        if let Some(drawers) = self.bank(found) {
            return drawers;
        }
        let mut groups: Vec<(Openings, Vec<Placed<'a>>)> = Vec::new();
        for role in [Role::Door, Role::DrawerFront] {
            for row in self.facts.rows_of(self.name, role) {
                let Some(placed) = self.place(row, role) else {
                    continue;
                };
                match groups.iter_mut().find(|(at, _)| *at == placed.openings) {
                    Some((_, rows)) => rows.push(placed),
                    None => groups.push((placed.openings.clone(), vec![placed])),
                }
            }
        }
        let mut drawers: Vec<usize> = Vec::new();
        let mut too_many = 0_u32;
        for (openings, rows) in &groups {
            let apart = groups
                .iter()
                .all(|(other, _)| other == openings || other.is_disjoint(openings));
            let filled = if apart {
                self.filled(openings, rows, found)
            } else {
                None
            };
            let only_drawers = rows
                .iter()
                .all(|placed| placed.row.role() == Some(Role::DrawerFront));
            if only_drawers && filled.is_some() {
                drawers.extend(openings);
            }
            // More fronts than their openings take: the openings say how many drawers.
            let room = u32::try_from(openings.len()).unwrap_or(u32::MAX);
            let count = rows
                .iter()
                .map(|placed| placed.listed)
                .fold(0, u32::saturating_add);
            if only_drawers && apart && count > room {
                too_many = too_many.saturating_add(count - room);
            }
        }
        self.left_open(&groups, found);
        let listed = self.facts.listed(self.name, Role::DrawerFront);
        match listed {
            Some((count, _)) if count > 0 => Drawers::Known {
                count: count.saturating_sub(too_many),
                places: (usize::try_from(count) == Ok(drawers.len())).then_some(drawers),
                by: if too_many > 0 {
                    "that its openings take"
                } else {
                    "listed"
                },
            },
            _ => Drawers::Unknown,
        }
    }

    /// Openings of a face frame without any front, in a job whose fronts are listed and
    /// not drawn: open, or forgotten.
    fn left_open(&self, groups: &[(Openings, Vec<Placed<'_>>)], found: &mut Vec<Check>) {
        let is_front = |role: Role| matches!(role, Role::Door | Role::DrawerFront);
        let drawn = self
            .facts
            .cabinets
            .iter()
            .flat_map(|cabinet| &cabinet.parts)
            .any(|part| is_front(part.role));
        let listed = self
            .facts
            .rows()
            .any(|row| row.role().is_some_and(is_front) && !row.cabinets.is_empty());
        let own = [Role::Door, Role::DrawerFront]
            .into_iter()
            .any(|role| self.facts.rows_of(self.name, role).next().is_some());
        let framed = self.cabinet.openings.iter().any(|opening| opening.in_frame);
        if drawn || !listed || own || !framed || !groups.is_empty() {
            return;
        }
        found.push(
            Check::new(
                Topic::Fronts,
                Verdict::Unchecked,
                format!(
                    "{}: a front for its openings is in no row; they may be open: draw the fronts",
                    self.name
                ),
            )
            .of([self.name]),
        );
    }

    /// Fronts of one size against the openings of that size: whether they fill them.
    fn filled(
        &self,
        openings: &Openings,
        rows: &[Placed<'_>],
        found: &mut Vec<Check>,
    ) -> Option<()> {
        let room = u32::try_from(openings.len()).ok()?;
        let cells = || {
            rows.iter()
                .map(|placed| at(placed.row, Dimension::Quantity))
        };
        let counted = rows.iter().all(|placed| placed.row.quantity.column > 0);
        if !counted {
            return None;
        }
        let what: Vec<String> = rows
            .iter()
            .map(|placed| {
                format!(
                    "{} '{}'{}",
                    placed.listed,
                    placed.row.part,
                    if placed.sharing == 2 {
                        ", sized as one of a pair"
                    } else {
                        ""
                    }
                )
            })
            .collect();
        // Halves of openings, so that one door of a pair shows.
        let halves: u32 = rows
            .iter()
            .map(|placed| placed.listed.saturating_mul(2) / placed.sharing)
            .fold(0, u32::saturating_add);
        let (verdict, end) = if halves == 2 * room {
            (Verdict::Agrees, "fill")
        } else if halves > 2 * room {
            (Verdict::Disagrees, "are more than belong in")
        } else if !halves.is_multiple_of(2) {
            (Verdict::Disagrees, "leave half a pair missing in")
        } else {
            (Verdict::Unchecked, "do not fill")
        };
        let sentence = format!(
            "{}: {} {end} the {} drawn{}",
            self.name,
            what.join(" and "),
            if room == 1 {
                "opening of that size that is".to_owned()
            } else {
                format!("{room} openings of that size that are")
            },
            if verdict == Verdict::Unchecked {
                "; the rest may be open: draw the fronts"
            } else {
                ""
            },
        );
        let mut check = Check::new(Topic::Fronts, verdict, sentence)
            .of([self.name])
            .at_rows(cells());
        if let ([only], Verdict::Disagrees) = (rows, verdict) {
            check.counts = Some((room.saturating_mul(only.sharing), only.listed));
        }
        found.push(check);
        (verdict == Verdict::Agrees).then_some(())
    }

    /// The openings a row's sizes fit, where stated relations say so.
    fn place(&self, row: &'a Row, role: Role) -> Option<Placed<'a>> {
        let known = |axis: Axis| -> Vec<Expected> {
            let mut known = self
                .facts
                .rules
                .expect(self.cabinet, PartSize { role, axis });
            known.retain(|expected| {
                expected.opening.is_some() && !matches!(expected.origin, Origin::Inferred { .. })
            });
            known
        };
        let (across, high) = (known(Axis::Across), known(Axis::High));
        let listed = per_cabinet(row)?;
        let mut sharing: BTreeSet<u32> = BTreeSet::new();
        let mut openings = Openings::new();
        for (wide, tall) in across
            .iter()
            .flat_map(|wide| high.iter().map(move |tall| (wide, tall)))
        {
            let together = wide.opening == tall.opening
                && (wide.count.is_none() || tall.count.is_none() || wide.count == tall.count);
            if together && self.has(row, role, wide.value, tall.value) {
                openings.extend(wide.opening);
                sharing.insert(wide.count.unwrap_or(1).max(1));
            }
        }
        let sharing: Vec<u32> = sharing.into_iter().collect();
        let [sharing] = sharing.as_slice() else {
            return None;
        };
        Some(Placed {
            row,
            listed,
            openings,
            sharing: *sharing,
        })
    }

    /// Whether a row's faces have these two sizes, in either order.
    fn has(&self, row: &Row, role: Role, a: Length, b: Length) -> bool {
        let fits = |cell: &SizeCell, wanted: Length| {
            let tolerance = self.facts.rules.tolerance_at(Some(role), wanted).value;
            (cell.value - wanted).abs() <= tolerance
        };
        let faces = faces(row);
        faces.iter().enumerate().any(|(first, cell)| {
            fits(cell, a)
                && faces
                    .iter()
                    .enumerate()
                    .any(|(second, other)| second != first && fits(other, b))
        })
    }

    /// Stiles, rails and panels of made doors against the doors.
    fn door_parts(&self, found: &mut Vec<Check>) {
        let drawn = self
            .cabinet
            .parts
            .iter()
            .filter(|part| part.role == Role::Door && !part.flat)
            .count();
        let (doors, by) = match u32::try_from(drawn) {
            Ok(0) | Err(_) => match self.facts.listed(self.name, Role::Door) {
                Some((listed, _)) if listed > 0 => (listed, "listed"),
                _ => return,
            },
            Ok(drawn) => (drawn, "drawn"),
        };
        for (role, each) in [
            (Role::DoorStile, 2),
            (Role::DoorRail, 2),
            (Role::DoorPanel, 1),
        ] {
            let Some((listed, rows)) = self.facts.listed(self.name, role) else {
                continue;
            };
            let counted = rows.iter().all(|row| row.quantity.column > 0);
            let others = [Role::DoorStile, Role::DoorRail].into_iter().any(|other| {
                other != role && self.facts.rows_of(self.name, other).next().is_some()
            });
            if listed == 0 && others {
                found.push(
                    Check::new(
                        Topic::Fronts,
                        Verdict::Unchecked,
                        format!(
                            "{}: a {} for its {} is in no row, and other parts of them are listed",
                            self.name,
                            role.word(),
                            some(doors, Role::Door)
                        ),
                    )
                    .of([self.name]),
                );
            }
            let seen = self
                .cabinet
                .parts
                .iter()
                .any(|part| part.role == role && !part.flat);
            if listed == 0 || seen || !counted {
                continue;
            }
            let needed = doors.saturating_mul(each);
            // A door may have middle rails, each with one panel more; never a third stile.
            let count = |role| self.facts.listed(self.name, role).map_or(0, |(n, _)| n);
            let (rails, panels) = (count(Role::DoorRail), count(Role::DoorPanel));
            let middle = rails > doors.saturating_mul(2) && panels == rails - doors;
            let verdict = match role {
                _ if listed == needed => Verdict::Agrees,
                Role::DoorRail | Role::DoorPanel if middle => Verdict::Agrees,
                Role::DoorRail if listed > needed && panels == 0 => Verdict::Unchecked,
                Role::DoorPanel if listed > needed && rails == 0 => Verdict::Unchecked,
                _ => Verdict::Disagrees,
            };
            let sentence = format!(
                "{}: {} listed; {} {by}, with {each} each, make {needed}",
                self.name,
                some(listed, role),
                some(doors, Role::Door),
            );
            let rows = repeated(&rows, listed, needed).map_or(rows, |row| vec![row]);
            let mut check = Check::new(Topic::Fronts, verdict, sentence)
                .of([self.name])
                .at_rows(rows.iter().map(|row| at(row, Dimension::Quantity)));
            check.counts = Some((needed, listed));
            found.push(check);
        }
    }

    /// Drawer boxes, their parts and slides against the drawers.
    fn boxes(&self, drawers: &Drawers, found: &mut Vec<Check>) {
        let Drawers::Known { count, places, by } = drawers else {
            return;
        };
        // A front with nothing behind it asks for no box.
        let false_fronts: u32 = self
            .facts
            .rows_of(self.name, Role::DrawerFront)
            .filter(|row| is_false(row))
            .filter_map(per_cabinet)
            .sum();
        let count = count.saturating_sub(false_fronts);
        let places = places.as_ref().filter(|_| false_fronts == 0);
        if *by == "listed" && self.fronts_odd(count, found) {
            return;
        }
        let no_backs = self
            .facts
            .rows_of(self.name, Role::BoxBack)
            .next()
            .is_none();
        for (role, each) in [
            (Role::DrawerBox, 1),
            (Role::BoxSide, 2),
            (Role::BoxFront, 1),
            (Role::BoxBack, 1),
            (Role::BoxBottom, 1),
            (Role::Slide, 1),
        ] {
            let Some((listed, rows)) = self.facts.listed(self.name, role) else {
                continue;
            };
            // Drawn parts are counted one by one.
            let drawn = self
                .cabinet
                .parts
                .iter()
                .any(|part| part.role == role && !part.flat);
            if listed == 0 || drawn || rows.iter().any(|row| row.quantity.column == 0) {
                continue;
            }
            let needed = count.saturating_mul(each);
            // Fronts and backs in one row; slides by the piece or by the pair.
            let double = matches!(role, Role::BoxFront if no_backs) || role == Role::Slide;
            let each = if double && listed == needed.saturating_mul(2) {
                each * 2
            } else {
                each
            };
            let right = listed == count.saturating_mul(each);
            let groups = places.and_then(|places| self.by_size(&rows, role, places));
            let wrong: Vec<&Row> = groups
                .iter()
                .flatten()
                .filter(|(openings, rows)| {
                    let room = u32::try_from(openings.len()).unwrap_or(u32::MAX);
                    let sum: u32 = rows.iter().filter_map(|row| per_cabinet(row)).sum();
                    sum != room.saturating_mul(each)
                })
                .flat_map(|(_, rows)| rows.iter().copied())
                .collect();
            if right && wrong.is_empty() {
                found.push(
                    Check::new(
                        Topic::Drawers,
                        Verdict::Agrees,
                        format!(
                            "{}: {} for {} {by}",
                            self.name,
                            some(listed, role),
                            some(count, Role::DrawerFront)
                        ),
                    )
                    .of([self.name])
                    .at_rows(rows.iter().map(|row| at(row, Dimension::Quantity))),
                );
                continue;
            }
            // The rows there are fill their own openings: another row is missing.
            let row_missing = listed < needed && groups.is_some() && wrong.is_empty();
            let blamed: Vec<&Row> = if row_missing {
                Vec::new()
            } else if let Some(row) = repeated(&rows, listed, count.saturating_mul(each)) {
                vec![row]
            } else if wrong.is_empty() {
                rows
            } else {
                wrong
            };
            let sentence = if right {
                format!(
                    "{}: {} are as many as its drawers need, but not of the sizes its openings need",
                    self.name,
                    some(listed, role)
                )
            } else {
                format!(
                    "{}: {} {} listed for {} {by}, which need {}{}",
                    self.name,
                    some(listed, role),
                    if listed == 1 { "is" } else { "are" },
                    some(count, Role::DrawerFront),
                    count.saturating_mul(each),
                    if listed < needed {
                        " (call a front with no drawer behind it a false front)"
                    } else {
                        ""
                    }
                )
            };
            let mut check = Check::new(Topic::Drawers, Verdict::Disagrees, sentence)
                .of([self.name])
                .at_rows(blamed.iter().map(|row| at(row, Dimension::Quantity)));
            if !right {
                check.counts = Some((count.saturating_mul(each), listed));
            }
            found.push(check);
        }
    }

    /// Where all parts of drawer boxes are listed for another number of drawers than the
    /// fronts, the fronts are wrong. True when it said so.
    fn fronts_odd(&self, count: u32, found: &mut Vec<Check>) -> bool {
        let mut makes: Vec<Option<u32>> = Vec::new();
        for (role, each) in [
            (Role::DrawerBox, 1),
            (Role::BoxSide, 2),
            (Role::BoxFront, 1),
            (Role::BoxBack, 1),
            (Role::BoxBottom, 1),
        ] {
            match self.facts.listed(self.name, role) {
                Some((0, _)) | None => {}
                Some((listed, _)) => {
                    makes.push(listed.is_multiple_of(each).then_some(listed / each));
                }
            }
        }
        let Some(drawers) = makes.first().copied().flatten() else {
            return false;
        };
        let agreed = makes.len() >= 2 && makes.iter().all(|made| *made == Some(drawers));
        if !agreed || drawers == count {
            return false;
        }
        let fronts: Vec<&Row> = self.facts.rows_of(self.name, Role::DrawerFront).collect();
        let unfilled = |row: &&&Row| {
            let placed = self.place(row, Role::DrawerFront);
            placed.is_some_and(|placed| usize::try_from(placed.listed) != Ok(placed.openings.len()))
        };
        let odd: Vec<&Row> = fronts.iter().filter(unfilled).copied().collect();
        let blamed = if odd.len() == 1 { odd } else { fronts };
        let mut check = Check::new(
            Topic::Drawers,
            Verdict::Disagrees,
            format!(
                "{}: {} {} listed, and the parts of drawer boxes make {drawers} drawers",
                self.name,
                some(count, Role::DrawerFront),
                if count == 1 { "is" } else { "are" },
            ),
        )
        .of([self.name])
        .at_rows(blamed.iter().map(|row| at(row, Dimension::Quantity)));
        check.counts = Some((drawers, count));
        found.push(check);
        true
    }

    /// Rows of one part by the openings their heights fit; `None` where heights are not
    /// known or do not tell the rows apart.
    fn by_size<'r>(
        &self,
        rows: &[&'r Row],
        role: Role,
        places: &[usize],
    ) -> Option<Vec<(Openings, Vec<&'r Row>)>> {
        let expected = self.facts.rules.expect(
            self.cabinet,
            PartSize {
                role,
                axis: Axis::High,
            },
        );
        let mut groups: Vec<(Openings, Vec<&Row>)> = Vec::new();
        for row in rows {
            let openings: Openings = expected
                .iter()
                .filter(|one| !matches!(one.origin, Origin::Inferred { .. }))
                .filter(|one| {
                    let tolerance = self.facts.rules.tolerance_at(Some(role), one.value).value;
                    faces(row)
                        .iter()
                        .any(|cell| (cell.value - one.value).abs() <= tolerance)
                })
                .filter_map(|one| one.opening)
                .filter(|opening| places.contains(opening))
                .collect();
            if openings.is_empty() {
                return None;
            }
            match groups.iter_mut().find(|(at, _)| *at == openings) {
                Some((_, rows)) => rows.push(row),
                None => groups.push((openings, vec![row])),
            }
        }
        let apart = groups.iter().enumerate().all(|(index, (one, _))| {
            groups
                .iter()
                .skip(index + 1)
                .all(|(other, _)| one.is_disjoint(other))
        });
        apart.then_some(groups)
    }
}

/// The later of two like rows, where the count is right without it.
fn repeated<'r>(rows: &[&'r Row], listed: u32, needed: u32) -> Option<&'r Row> {
    let over = listed.checked_sub(needed).filter(|over| *over > 0)?;
    let alike = |a: &Row, b: &Row| {
        let sizes = |row: &Row| -> Vec<(Dimension, Length)> {
            row.sizes
                .iter()
                .map(|cell| (cell.dimension, cell.value))
                .collect()
        };
        a.part == b.part && sizes(a) == sizes(b)
    };
    rows.iter().enumerate().rev().find_map(|(index, row)| {
        let earlier = rows.iter().take(index).any(|other| alike(row, other));
        (earlier && per_cabinet(row) == Some(over)).then_some(*row)
    })
}

/// The cells of a row's faces: all sizes but its thickness.
fn faces(row: &Row) -> Vec<&SizeCell> {
    row.sizes
        .iter()
        .filter(|cell| cell.dimension != Dimension::Thickness)
        .collect()
}

/// A front that hides no drawer.
fn is_false(row: &Row) -> bool {
    let said = |text: &str| {
        let text = text.to_lowercase();
        [
            "false",
            "dummy",
            "sham",
            "tilt",
            "fixed front",
            "applied front",
        ]
        .iter()
        .any(|word| text.contains(word))
    };
    said(&row.part) || row.note.as_deref().is_some_and(said)
}
