//! Counts: parts drawn against parts listed, missing and extra parts.

use super::bench::{Bench, Case};
use super::checks::unknown_part;
use super::fit::fit;
use super::matching::{Matching, NEAR, PartAt, has_a_twin_of, role_distance, usable};
use super::nominal;
use super::words;
use crate::cabinet::DrawnPart;
use crate::cutlist::Per;
use crate::trade::{Axis, Dimension, Family, Role};
use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, BTreeSet};

use super::checks::State;

/// By row and cabinet: parts that no unit of the row is left for.
type Short = BTreeMap<(usize, usize), Vec<PartAt>>;

/// The quantity of one row.
#[derive(Clone, Debug)]
pub(super) struct Count {
    pub row: usize,
    pub state: State,
    /// Drawn and listed, in the first cabinet that differs or altogether.
    pub drawn: u32,
    pub listed: u32,
    /// No part of the drawing is left for any unit of the row.
    pub extra: bool,
    /// Cabinets that differ, or all of the row's.
    pub cases: Vec<usize>,
    /// Names of the drawn parts that were counted, in the first cabinet that differs.
    pub parts: Vec<String>,
    pub by: String,
}

/// Drawn parts that no row builds: same cabinet, role and sizes.
#[derive(Clone, Debug)]
pub(super) struct Missing {
    pub case: usize,
    pub parts: Vec<PartAt>,
}

impl Count {
    /// Another part that the same written quantity counts ("Top and bottom").
    fn add(&mut self, other: Count) {
        self.drawn += other.drawn;
        self.listed += other.listed;
        self.cases.extend(other.cases);
        self.cases.sort_unstable();
        self.cases.dedup();
        if other.state > self.state {
            self.by = other.by;
            self.extra = other.extra;
        }
        self.state = self.state.max(other.state);
        if self.state != State::Unchecked {
            self.by = format!("{} drawn, {} listed", self.drawn, self.listed);
        }
    }
}

#[derive(Clone, Debug, Default)]
pub(super) struct Counts {
    /// By the row as it is written.
    pub rows: BTreeMap<usize, Count>,
    pub missing: Vec<Missing>,
    /// Drawn parts no row builds that may be something else than they were taken for.
    pub unsure: Vec<Missing>,
    /// Drawn parts in no row of a list that may not be meant to cover them.
    pub unlisted: Vec<Missing>,
    /// Roles drawn that no list covers, with how many parts.
    pub uncovered: BTreeMap<Role, usize>,
}

pub(super) fn count_all(bench: &Bench<'_>, matching: &Matching) -> Counts {
    let mut counts = Counts::default();
    let mut short = Short::new();
    let (mut missing, mut unlisted) = (Vec::new(), Vec::new());
    let rows_by_case = rows_by_case(bench);
    let listed_roles: BTreeSet<Role> = bench.rows.iter().filter_map(|row| row.role()).collect();
    for &at in &matching.lone {
        let rows = rows_by_case.get(&at.case).map_or(&[][..], Vec::as_slice);
        match owner(bench, matching, rows, at) {
            Some(row) => short.entry((row, at.case)).or_default().push(at),
            None => match asked_for(bench, matching, rows, &listed_roles, at) {
                Asked::Yes => missing.push(at),
                Asked::Perhaps => unlisted.push(at),
                Asked::No => {
                    if let Some(part) = part(bench, at) {
                        *counts.uncovered.entry(part.role).or_default() += 1;
                    }
                }
            },
        }
    }
    let (sure, unsure): (Vec<PartAt>, Vec<PartAt>) =
        missing.into_iter().partition(|at: &PartAt| {
            let rows = rows_by_case.get(&at.case).map_or(&[][..], Vec::as_slice);
            is_of_listed_stock(bench, matching, rows, *at)
        });
    counts.missing = gather(bench, sure);
    counts.unsure = gather(bench, unsure);
    unlisted.retain(|at| {
        let rows = rows_by_case.get(&at.case).map_or(&[][..], Vec::as_slice);
        is_of_listed_stock(bench, matching, rows, *at)
    });
    counts.unlisted = gather(bench, unlisted);
    for row in 0..bench.rows.len() {
        let found = count(bench, matching, &short, row);
        match counts.rows.entry(bench.written_as(row)) {
            Entry::Vacant(entry) => {
                entry.insert(found);
            }
            Entry::Occupied(mut entry) => entry.get_mut().add(found),
        }
    }
    counts
}

fn part<'a>(bench: &'a Bench<'_>, at: PartAt) -> Option<&'a DrawnPart> {
    bench.cases.get(at.case)?.parts.get(at.part).copied()
}

/// Rows that can stand for parts of each cabinet.
fn rows_by_case(bench: &Bench<'_>) -> BTreeMap<usize, Vec<usize>> {
    let mut out: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for row in 0..bench.rows.len() {
        for case in usable(bench, row) {
            out.entry(case).or_default().push(row);
        }
    }
    out
}

/// The row a lone part should have been counted in: one of its role that stands
/// for parts like it, or that fits it.
fn owner(bench: &Bench<'_>, matching: &Matching, rows: &[usize], at: PartAt) -> Option<usize> {
    let case = bench.cases.get(at.case)?;
    let lone = part(bench, at)?;
    rows.iter()
        .copied()
        .filter_map(|row| {
            let listed = bench.rows.get(row)?;
            let role = listed.role()?;
            let distance = role_distance(role, lone.role)?;
            let alike = matching
                .parts_of(row, at.case)
                .filter_map(|other| part(bench, other))
                .any(|other| {
                    (other.role == lone.role || has_a_twin_of(bench, case, lone, role))
                        && alike(other, lone, bench.tolerance(Some(lone.role)))
                });
            let fit = fit(bench, &matching.customs, case, listed, &[lone]);
            let fits = distance < NEAR && fit.misses == 0 && fit.hits > 0 && !fit.other_stock;
            (alike || fits).then_some((!alike, distance + fit.cost, row))
        })
        .min()
        .map(|(_, _, row)| row)
}

/// Same sizes wherever both are drawn.
pub(super) fn alike(a: &DrawnPart, b: &DrawnPart, tolerance: crate::length::Length) -> bool {
    Axis::ALL
        .iter()
        .all(|&axis| match (a.span(axis), b.span(axis)) {
            (Some(a), Some(b)) => (a.length() - b.length()).abs() <= tolerance,
            _ => true,
        })
}

/// Whether the lists are meant to cover a part.
enum Asked {
    Yes,
    /// Others of its kind are listed, too few to be sure.
    Perhaps,
    No,
}

/// Whether the lists cover parts like this at all: its role anywhere in the job,
/// or most of its family in this cabinet. An order of doors misses no sides.
fn asked_for(
    bench: &Bench<'_>,
    matching: &Matching,
    rows: &[usize],
    listed_roles: &BTreeSet<Role>,
    at: PartAt,
) -> Asked {
    let (Some(case), Some(lone)) = (bench.cases.get(at.case), part(bench, at)) else {
        return Asked::No;
    };
    if rows.is_empty() {
        // The whole cabinet is missing, which is said once.
        return Asked::No;
    }
    // An opening in the toe space may be closed by the grille of what stands behind it.
    if lone.role == Role::AccessPanel {
        let mut here = rows.iter().filter_map(|row| bench.rows.get(*row)?.role());
        let listed = here.any(|role| role == Role::AccessPanel);
        return if listed { Asked::Yes } else { Asked::No };
    }
    if listed_roles.contains(&lone.role) {
        return Asked::Yes;
    }
    // A framed door is listed as one thing, or as its members.
    let member = |role: Role| matches!(role, Role::DoorStile | Role::DoorRail | Role::DoorPanel);
    let mut here = rows.iter().filter_map(|row| bench.rows.get(*row)?.role());
    let otherwise = match lone.role {
        Role::Door => here.any(member),
        role if member(role) => {
            here.any(|role| role == Role::Door) && !listed_roles.iter().any(|role| member(*role))
        }
        _ => false,
    };
    if otherwise {
        return Asked::No;
    }
    let family = lone.role.family();
    let least = match family {
        Family::Case | Family::DrawerBox => 2,
        Family::FaceFrame => 1,
        Family::Front | Family::Top | Family::Trim => usize::MAX,
    };
    let drawn: BTreeSet<Role> = case
        .parts
        .iter()
        .map(|part| part.role)
        .filter(|role| role.family() == family)
        .collect();
    // Roles that rows name, and those of parts that rows of another name stand for.
    let here: BTreeSet<Role> = rows
        .iter()
        .flat_map(|row| {
            let named = bench.rows.get(*row).and_then(|row| row.role());
            let stands_for = matching
                .parts_of(*row, at.case)
                .filter_map(|other| Some(part(bench, other)?.role));
            named.into_iter().chain(stands_for)
        })
        .collect();
    let covered = drawn.intersection(&here).count();
    let listed = here.iter().any(|role| role.family() == family);
    if covered >= least && covered * 2 >= drawn.len() {
        Asked::Yes
    } else if listed {
        Asked::Perhaps
    } else {
        Asked::No
    }
}

/// Whether a drawn part is as thick as something this cabinet's rows list; a
/// sliver that no stock of the list makes is rather a misread edge than a part
/// somebody forgot.
fn is_of_listed_stock(bench: &Bench<'_>, matching: &Matching, rows: &[usize], at: PartAt) -> bool {
    let Some(lone) = part(bench, at) else {
        return false;
    };
    // Seen from one side only, it may be anything.
    let thin_axis = lone.role.lie().map(|lie| lie[2]);
    let faces = Axis::ALL
        .iter()
        .filter(|&&axis| lone.span(axis).is_some_and(|span| !span.is_lower_bound()))
        .filter(|&&axis| lone.role == Role::Stretcher || Some(axis) != thin_axis)
        .count();
    // A side, a bottom or a stile is known by its place; a shelf, a door or a back
    // seen edge-on may be another edge.
    let by_place = matches!(
        lone.role,
        Role::Side
            | Role::Bottom
            | Role::Top
            | Role::ToeKick
            | Role::Stile
            | Role::Rail
            | Role::MidStile
    );
    if faces < if by_place { 1 } else { 2 } {
        return false;
    }
    // Only boards are misread so: an edge of something else taken for a shelf.
    if !is_board(lone.role) {
        return true;
    }
    let Some(thin) = Axis::ALL
        .iter()
        .filter_map(|&axis| lone.span(axis))
        .map(crate::cabinet::Span::length)
        .min()
    else {
        return false;
    };
    let mut listed = rows
        .iter()
        // A row that is not as thick as its part is drawn has a wrong figure.
        .filter(|row| {
            let fit = matching.fits.get(&(**row, at.case));
            fit.is_none_or(|fit| !fit.other_stock)
        })
        .filter_map(|row| bench.rows.get(*row))
        // As thick as other boards of the case, not as the back or a toe kick.
        .filter(|row| {
            row.role()
                .is_some_and(|role| role == Role::Side || is_board(role))
        })
        .filter_map(|row| row.size(Dimension::Thickness))
        .map(|cell| cell.value)
        .peekable();
    if listed.peek().is_none() {
        return true;
    }
    // A part seen only by its face has no thickness to go by.
    thin.mm() > super::knowns::THICKEST_STOCK_MM
        || listed.any(|stock| {
            (stock - thin).abs() <= nominal::STOCK_TOLERANCE || nominal::is_name_of(stock, thin)
        })
}

fn is_board(role: Role) -> bool {
    matches!(
        role,
        Role::FixedShelf
            | Role::AdjustableShelf
            | Role::Divider
            | Role::Bottom
            | Role::Top
            | Role::Stretcher
    )
}

/// What may be parts nobody lists, for a person to look at.
pub(super) fn unsure(bench: &Bench<'_>, counts: &Counts) -> Vec<String> {
    let say = |group: &Missing, what: fn(&str, &str) -> String| {
        let case = bench.cases.get(group.case)?;
        let first = part(bench, *group.parts.first()?)?;
        let sizes: Vec<String> = Axis::ALL
            .iter()
            .filter_map(|&axis| {
                let span = first.span(axis)?;
                Some(format!(
                    "{} {}",
                    bench.show.size(span.length()),
                    axis.word()
                ))
            })
            .collect();
        Some(format!(
            "{}: {}",
            case.name,
            what(
                &format!(
                    "{} ({})",
                    words::count(group.parts.len(), first.role.word()),
                    sizes.join(", ")
                ),
                if group.parts.len() == 1 { "is" } else { "are" }
            )
        ))
    };
    let of_no_stock = counts.unsure.iter().filter_map(|group| {
        say(group, |parts, _| {
            format!(
                "what was taken for {parts} is in no row and of no stock the list names; look at \
                 the drawing"
            )
        })
    });
    let unlisted = counts.unlisted.iter().filter_map(|group| {
        say(group, |parts, are| {
            format!(
                "{parts} drawn that {are} in no row, while other parts of its kind are listed; add a \
                 row, or check the list they are on together with this one"
            )
        })
    });
    of_no_stock.chain(unlisted).collect()
}

/// Lone parts of one cabinet, role and size together.
fn gather(bench: &Bench<'_>, mut lone: Vec<PartAt>) -> Vec<Missing> {
    lone.sort_unstable();
    let mut out: Vec<Missing> = Vec::new();
    for at in lone {
        let Some(this) = part(bench, at) else {
            continue;
        };
        let tolerance = bench.tolerance(Some(this.role));
        let found = out.iter_mut().find(|group| {
            group.case == at.case
                && group
                    .parts
                    .first()
                    .and_then(|first| part(bench, *first))
                    .is_some_and(|first| first.role == this.role && alike(first, this, tolerance))
        });
        match found {
            Some(group) => group.parts.push(at),
            None => out.push(Missing {
                case: at.case,
                parts: vec![at],
            }),
        }
    }
    out
}

fn count(bench: &Bench<'_>, matching: &Matching, short: &Short, index: usize) -> Count {
    let row = bench.rows[index];
    let cases = usable(bench, index);
    let mut found = Count {
        row: index,
        state: State::Unchecked,
        drawn: 0,
        listed: row.quantity.count,
        extra: false,
        cases: cases.clone(),
        parts: Vec::new(),
        by: String::new(),
    };
    let Some(role) = row.role() else {
        found.by = unknown_part(row);
        return found;
    };
    if cases.is_empty() {
        found.by = no_case(bench, index);
        return found;
    }
    let one_each =
        row.quantity.per == Per::Cabinet && (!row.cabinets.is_empty() || cases.len() == 1);
    let undrawn = bench
        .undrawn
        .get(index)
        .is_some_and(|names| !names.is_empty());
    // Drawn and listed in each cabinet, or in all of them together.
    let shares: Vec<(Vec<usize>, u32)> = if one_each {
        cases
            .iter()
            .map(|&case| (vec![case], drawn_in(matching, short, index, case)))
            .collect()
    } else {
        let total = cases
            .iter()
            .map(|&case| drawn_in(matching, short, index, case))
            .sum();
        vec![(cases.clone(), total)]
    };
    let wrong: Vec<&(Vec<usize>, u32)> = shares
        .iter()
        .filter(|(_, drawn)| *drawn != row.quantity.count)
        .collect();
    let Some((first_cases, drawn)) = wrong.first() else {
        found.drawn = row.quantity.count;
        if undrawn && !one_each {
            // What the drawn cabinets need leaves none for those that are not drawn.
            found.by = COUNTS_UNDRAWN.to_owned();
            return found;
        }
        found.state = State::Agrees;
        found.by = format!("{} drawn", found.drawn);
        return found;
    };
    found.drawn = *drawn;
    if !first_cases
        .iter()
        .any(|&case| shows(&bench.cases[case], role))
    {
        found.by = format!(
            "no view of {} shows {}, so they cannot be counted; draw it",
            words::join(&names(bench, first_cases)),
            role.one()
        );
        return found;
    }
    let doubt = first_cases.iter().find_map(|&case| {
        let uncounted = &bench.cases[case].cabinet.uncounted;
        uncounted.iter().find(|doubt| may_be(role, doubt.role))
    });
    if let Some(doubt) = doubt
        && (found.drawn < found.listed || doubt.or_fewer)
    {
        let why = &doubt.why;
        found.by = format!("{} drawn, {} listed, but {why}", found.drawn, found.listed);
        return found;
    }
    let fronts = role.family() == Family::Front;
    if (found.drawn < found.listed || fronts)
        && let Some(axis) = first_cases
            .iter()
            .find_map(|&case| may_stand_behind(bench, &bench.cases[case], role))
    {
        found.by = format!(
            "{} drawn, {} listed, but no view shows where they stand {}: one may hide another; add \
             a section or a plan",
            found.drawn,
            found.listed,
            match axis {
                Axis::Across => "from left to right",
                Axis::Deep => "from front to back",
                Axis::High => "from bottom to top",
            }
        );
        return found;
    }
    if row.quantity.column == 0 {
        found.by = format!(
            "the list has no quantity; {} drawn, 1 was assumed; add the quantity to the list",
            found.drawn
        );
        return found;
    }
    if undrawn && !one_each {
        found.by = "the row also counts parts of cabinets that are not drawn; add their drawings, or give \
             them a row of their own"
                .to_owned();
        return found;
    }
    found.state = State::Fails;
    found.extra = found.drawn == 0;
    let lone = |case: usize| short.get(&(index, case)).into_iter().flatten().copied();
    found.parts = first_cases
        .iter()
        .flat_map(|&case| matching.parts_of(index, case).chain(lone(case)))
        .filter_map(|at| Some(part(bench, at)?.name.clone()))
        .collect();
    found.parts.sort_by(|a, b| words::natural(a, b));
    found.cases = wrong.iter().flat_map(|(cases, _)| cases.clone()).collect();
    found.by = format!("{} drawn, {} listed", found.drawn, found.listed);
    found
}

/// Why the number of such a row tells nothing of the cabinets that are drawn.
const COUNTS_UNDRAWN: &str = "the row also counts parts of cabinets that are not drawn; add \
                              their drawings, or give them a row of their own";

fn drawn_in(matching: &Matching, short: &Short, row: usize, case: usize) -> u32 {
    let matched = matching.parts_of(row, case).count() as u32;
    matched + short.get(&(row, case)).map_or(0, Vec::len) as u32
}

pub(super) fn names(bench: &Bench<'_>, cases: &[usize]) -> Vec<String> {
    cases
        .iter()
        .filter_map(|case| bench.cases.get(*case))
        .map(|case| case.name.clone())
        .collect()
}

/// The axis along which parts of a role may stand one behind the other unseen:
/// the one they are thin along, when one of them is drawn in no view that shows
/// it. Frame members and fronts lie in one plane.
fn may_stand_behind(bench: &Bench<'_>, case: &Case<'_>, role: Role) -> Option<Axis> {
    if role.family() == Family::FaceFrame {
        return None;
    }
    // An end or a section alone shows one leaf of a pair.
    if role.family() == Family::Front {
        let unseen = |part: &&DrawnPart| {
            part.role.family() == Family::Front && part.span(Axis::Across).is_none()
        };
        return case.parts.iter().any(unseen).then_some(Axis::Across);
    }
    let thin = role.lie().map(|lie| lie[2])?;
    // A stretcher lies flat or stands on edge, at the front and at the back.
    let divided = || {
        let mut rows = bench.rows.iter();
        rows.any(|row| row.role() == Some(Role::Divider))
    };
    let axes: &[Axis] = match role {
        Role::Stretcher => &[Axis::Deep],
        // Shelves of two bays lie one behind the other in a section.
        Role::AdjustableShelf | Role::FixedShelf if divided() => &[Axis::High, Axis::Across],
        _ => &[thin],
    };
    axes.iter().copied().find(|&axis| {
        case.parts
            .iter()
            .any(|part| may_be(role, part.role) && part.span(axis).is_none())
    })
}

/// Whether a drawn part is of a row's role, or hardly told from it: a shelf may be either
/// kind.
fn may_be(listed: Role, drawn: Role) -> bool {
    role_distance(listed, drawn).is_some_and(|far| far < NEAR)
}

/// Whether the drawing of a cabinet would show a part of this role if there was
/// one: it shows one, or others of the kind that are always drawn together.
fn shows(case: &Case<'_>, role: Role) -> bool {
    // A drawer front drawn does not show that the door under it is: it may stand open.
    let front = role.family() == Family::Front;
    let alike = |drawn: Role| match role_distance(role, drawn) {
        Some(far) if front => far == 0,
        _ => may_be(role, drawn),
    };
    if case.parts.iter().any(|part| alike(part.role)) {
        return true;
    }
    // A frame without rails or stiles was not read whole; one with both shows that
    // it has no mid-stile. Fronts that leave no opening free leave no room for others.
    let number = |wanted: Role| case.parts.iter().filter(|p| p.role == wanted).count();
    match role {
        Role::MidStile => number(Role::Stile) >= 2 && number(Role::Rail) >= 2,
        Role::Door | Role::DrawerFront => {
            !case.cabinet.openings.is_empty()
                && (0..case.cabinet.openings.len())
                    .all(|opening| case.parts.iter().any(|part| part.opening == Some(opening)))
        }
        _ => false,
    }
}

fn no_case(bench: &Bench<'_>, index: usize) -> String {
    let undrawn = bench.undrawn.get(index).map_or(&[][..], Vec::as_slice);
    if let Some(first) = undrawn.first() {
        format!("no drawing shows {first}; add its drawing, or name the view in the job file")
    } else if bench.cases.is_empty() {
        "no cabinet was found in the drawings; title the views with the cabinets' names".to_owned()
    } else {
        "two drawn cabinets have this name; give each a name of its own".to_owned()
    }
}
