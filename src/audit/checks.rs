//! Every size of every row held against what decides about it.

use super::bench::{Bench, Case};
use super::fit::{banded_edges, cells, compared, turned_as};
use super::matching::{Matching, PartAt};
use super::nominal;
use super::wants::{Certainty, Place, Want, want};
use crate::cabinet::{DrawnPart, Measured, Span};
use crate::construction::{Expected, Origin, PartSize, Rules};
use crate::cutlist::{Row, SizeCell, SizeKind};
use crate::length::Length;
use crate::plain::in_parallel;
use crate::trade::{Axis, Dimension, Role};

/// One size of one row for one cabinet.
#[derive(Clone, Debug)]
pub(super) struct Check<'a> {
    pub row: usize,
    /// Index into `Row::sizes`.
    pub size: usize,
    pub case: Option<usize>,
    pub role: Option<Role>,
    pub axis: Option<Axis>,
    /// The drawn part that decides.
    pub part: Option<&'a DrawnPart>,
    pub at: Option<PartAt>,
    /// The listed size as compared: finished.
    pub listed: Length,
    pub tolerance: Length,
    pub want: Option<Want<'a>>,
    pub state: State,
    /// What was relied on, or why nothing could be.
    pub by: String,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum State {
    Agrees,
    Unchecked,
    Fails,
}

impl<'a> Check<'a> {
    pub fn difference(&self) -> Length {
        self.want
            .map_or(Length::ZERO, |want| self.listed - want.value)
    }

    pub fn span(&self) -> Option<&'a Span> {
        self.want.and_then(|want| want.span)
    }

    pub fn rule(&self) -> Option<&'a Expected<'a>> {
        self.want.and_then(|want| want.rule)
    }

    /// Room left to the tolerance.
    pub fn margin(&self) -> Option<Length> {
        let want = self.want?;
        (self.state != State::Unchecked).then(|| self.tolerance - want.miss(self.listed))
    }
}

/// Checks every size of every row, in the order of rows, sizes and cabinets.
pub(super) fn check_all<'a>(bench: &'a Bench<'_>, matching: &Matching) -> Vec<Check<'a>> {
    let checked = in_parallel(0..bench.rows.len(), |index| {
        let cases = cases_of(bench, matching, index);
        let mut out = Vec::new();
        for (size, cell) in cells(bench.rows[index]).enumerate() {
            if cases.is_empty() {
                out.push(unplaced(bench, index, bench.rows[index], size, cell));
            }
            for &case in &cases {
                out.push(check(bench, matching, index, size, cell, case));
            }
        }
        out
    });
    checked.into_iter().flatten().collect()
}

/// The cabinets a row's sizes are held against: those it names, and those whose
/// parts it was matched to.
fn cases_of(bench: &Bench<'_>, matching: &Matching, row: usize) -> Vec<usize> {
    let mut cases: Vec<usize> = bench.named.get(row).cloned().unwrap_or_default();
    let from = matching.pairs.partition_point(|(r, _)| *r < row);
    for (_, at) in matching
        .pairs
        .iter()
        .skip(from)
        .take_while(|(r, _)| *r == row)
    {
        if !cases.contains(&at.case) {
            cases.push(at.case);
        }
    }
    cases.sort_unstable();
    cases
}

/// A row that stands for no drawn cabinet.
fn unplaced<'a>(
    bench: &Bench<'_>,
    index: usize,
    row: &Row,
    size: usize,
    cell: &SizeCell,
) -> Check<'a> {
    let undrawn = bench.undrawn.get(index).map_or(&[][..], Vec::as_slice);
    let reason = if row.role().is_none() {
        unknown_part(row)
    } else if bench.cases.is_empty() {
        "no cabinet was found in the drawings; title the views with the cabinets' names".to_owned()
    } else if let Some(first) = undrawn.first() {
        format!("no drawing shows {first}; add its drawing, or name the view in the job file")
    } else {
        "the row names no cabinet and no drawn part is left for it; give its cabinet in the list"
            .to_owned()
    };
    Check {
        row: index,
        size,
        case: None,
        role: row.role(),
        axis: None,
        part: None,
        at: None,
        listed: cell.value,
        tolerance: bench.tolerance(row.role()),
        want: None,
        state: State::Unchecked,
        by: reason,
    }
}

/// Why a row's part is not understood, with the nearest words.
pub(super) fn unknown_part(row: &Row) -> String {
    let nearest: Vec<String> = match &row.reading {
        crate::cutlist::Reading::Unknown { nearest } => nearest
            .iter()
            .take(3)
            .map(|(role, _, _)| role.word().to_owned())
            .collect(),
        crate::cutlist::Reading::As { .. } => Vec::new(),
    };
    if nearest.is_empty() {
        format!(
            "'{}' is no part name known here; add the word to the job file",
            row.part
        )
    } else {
        format!(
            "'{}' is no part name known here (nearest: {}); add the word to the job file",
            row.part,
            nearest.join(", ")
        )
    }
}

fn check<'a>(
    bench: &'a Bench<'_>,
    matching: &Matching,
    index: usize,
    size: usize,
    cell: &SizeCell,
    case: usize,
) -> Check<'a> {
    let row = bench.rows[index];
    let at = &bench.cases[case];
    let fit = matching.fits.get(&(index, case));
    let turned = turned_as(row, size, cell);
    let axis = fit.and_then(|fit| fit.turn.axis(turned?));
    let place = fit.map(|fit| fit.place).unwrap_or_default();
    let mut blank = Check {
        row: index,
        size,
        case: Some(case),
        role: row.role(),
        axis,
        part: None,
        at: None,
        listed: compared(&bench.job.rules, at, row, cell, axis).value,
        tolerance: bench.tolerance(row.role()),
        want: None,
        state: State::Unchecked,
        by: String::new(),
    };
    if at.doubtful {
        blank.by = format!(
            "two drawn cabinets are called {}; give each a name of its own",
            at.name
        );
        return blank;
    }
    if row.role().is_none() {
        blank.by = unknown_part(row);
        return blank;
    }
    let parts: Vec<PartAt> = matching.parts_of(index, case).collect();
    if parts.is_empty() {
        return decide(bench, at, row, cell, place, blank);
    }
    // Identical parts agree with each other; where they do not, the worst counts.
    parts
        .into_iter()
        .map(|part| {
            let mut one = blank.clone();
            one.at = Some(part);
            one.part = at.parts.get(part.part).copied();
            one.role = one.part.map(|p| p.role).or(one.role);
            decide(bench, at, row, cell, place, one)
        })
        .reduce(|worst, next| {
            if (next.state, next.difference().abs()) > (worst.state, worst.difference().abs()) {
                next
            } else {
                worst
            }
        })
        .unwrap_or(blank)
}

fn decide<'a>(
    bench: &'a Bench<'_>,
    case: &'a Case<'_>,
    row: &Row,
    cell: &SizeCell,
    place: Place,
    mut check: Check<'a>,
) -> Check<'a> {
    let (Some(axis), Some(role)) = (check.axis, check.role) else {
        check.by = format!(
            "a {} has no {} that could be measured; give its sizes as length, width and thickness",
            row.part,
            cell.dimension.word()
        );
        return check;
    };
    let rules = &bench.job.rules;
    // A part drawing of its own shows the size whole.
    let mut decider = check.part;
    let seen_whole = |part: Option<&DrawnPart>| {
        part.and_then(|p| p.span(axis))
            .is_some_and(|span| !span.is_lower_bound())
    };
    let flat = if seen_whole(decider) {
        None
    } else {
        super::flat::drawing_of(bench, case, row)
    };
    if let Some((part, flat_axis)) =
        flat.and_then(|flat| flat.axis_for(turned_as(row, check.size, cell)?))
    {
        decider = Some(part);
        check.part = Some(part);
        check.want = want(rules, case, role, decider, place, flat_axis);
    } else {
        check.want = want(rules, case, role, decider, place, axis);
    }
    let Some(want) = check.want else {
        check.by = not_drawn(rules, case, check.part, role, axis);
        return check;
    };
    if let Some(height) = want.span.map(crate::cabinet::Span::length)
        && cell.dimension == Dimension::Thickness
        && role == Role::Countertop
        && built_up(bench, row)
    {
        check.want = None;
        check.by = format!(
            "drawn {} high with its build-up strips; how thick the sheet is was not told by the \
             strips listed",
            bench.show.size(height)
        );
        return check;
    }
    check.tolerance = want.tolerance;
    if cell.dimension == Dimension::Thickness {
        return thickness(bench, check, want);
    }
    settle(bench, case, row, cell, check, want)
}

/// Whether strips are listed under a top: what is drawn of it is sheet and strips.
fn built_up(bench: &Bench<'_>, top: &Row) -> bool {
    bench.rows.iter().any(|row| {
        row.role() == Some(Role::BuildUpStrip)
            && (row.cabinets.is_empty()
                || top.cabinets.is_empty()
                || row.cabinets.iter().any(|name| top.cabinets.contains(name)))
    })
}

/// The name in the job file of the joint that hides a part's ends.
fn joint_name(row: &Row, part: Option<&DrawnPart>) -> &'static str {
    match part.map(|part| part.role).or(row.role()) {
        Some(Role::Rail | Role::MidStile) => "rail.tenon",
        Some(Role::Back) => "back.groove",
        _ => "groove.depth",
    }
}

/// Sets the state of a size that something decides about.
fn settle<'a>(
    bench: &Bench<'_>,
    case: &Case<'_>,
    row: &Row,
    cell: &SizeCell,
    mut check: Check<'a>,
    want: Want<'a>,
) -> Check<'a> {
    let show = bench.show;
    let compared = compared(&bench.job.rules, case, row, cell, check.axis);
    let difference = compared.value - want.value;
    let passes = want.miss(compared.value) <= check.tolerance;
    check.by = relied_on(bench, &check, want);
    if compared.band > Length::ZERO {
        check.by = format!(
            "{}; cut size with {} of edge band put on",
            check.by,
            show.size(compared.band)
        );
    } else if compared.band < Length::ZERO {
        check.by = format!(
            "{}; listed size less {} that is worked off",
            check.by,
            show.size(-compared.band)
        );
    }
    check.state = match want.certainty {
        Certainty::Hearsay => {
            let origin = match want.rule.map(|rule| &rule.origin) {
                Some(Origin::Inferred { support, .. }) => {
                    format!("seen {support} times in this job")
                }
                _ => "the job shows it".to_owned(),
            };
            // Which statements would make it checkable.
            let settings = check.role.zip(check.axis).and_then(|(role, axis)| {
                bench
                    .job
                    .rules
                    .missing(case.cabinet, PartSize { role, axis })
            });
            check.by = match settings {
                Some(settings) => format!("{} ({origin}): {settings}", check.by),
                None => format!(
                    "{} (only inferred: {origin}); draw the part, or state the relation in the job \
                     file",
                    check.by
                ),
            };
            State::Unchecked
        }
        Certainty::AtLeast { .. } if passes => {
            check.by = if difference.abs() <= check.tolerance {
                format!(
                    "drawn {} up to where another part hides it; joint depth not drawn; state \
                     {} in the job file or draw hidden edges",
                    show.size(want.value),
                    joint_name(row, check.part)
                )
            } else {
                format!(
                    "{} longer than the visible {}; what is hidden is not drawn; state {} in the \
                     job file or draw hidden edges",
                    show.size(difference),
                    show.size(want.value),
                    joint_name(row, check.part)
                )
            };
            State::Unchecked
        }
        _ if passes && want.miss(compared.value + compared.unknown_band) > check.tolerance => {
            check.by = format!(
                "as large as the drawn {} before its edge band is on, and the band's thickness is \
                 not stated; add it to the list, or state it in the job file",
                show.size(want.value)
            );
            State::Unchecked
        }
        _ if passes => State::Agrees,
        _ if within_unknown_band(compared.value, compared.unknown_band, want, check.tolerance) => {
            check.by = format!(
                "{} under the drawn {}; the edge band's thickness is not stated; \
                 add it to the list, or state it in the job file",
                show.size(-difference),
                show.size(want.value)
            );
            State::Unchecked
        }
        _ if is_cut_size(row, cell, want, check.tolerance) => {
            check.by = format!(
                "{} under the drawn {}, which is its edge band; say in the job file whether sizes \
                 are cut or finished",
                show.size(-difference),
                show.size(want.value)
            );
            State::Unchecked
        }
        _ if row.cabinets.len() > 1
            && check.axis == Some(Axis::Across)
            && compared.value > want.value
            && check.role.is_some_and(spans_a_run) =>
        {
            check.by = format!(
                "{} longer than one of its cabinets: name them in a [[run]] of the job file to have \
                 it held against all of them",
                show.size(difference)
            );
            State::Unchecked
        }
        _ => State::Fails,
    };
    check
}

/// Parts that may run over several cabinets in one piece.
fn spans_a_run(role: Role) -> bool {
    matches!(
        role,
        Role::Countertop | Role::ToeKick | Role::BaseRail | Role::BuildUpStrip
    )
}

fn within_unknown_band(value: Length, band: Length, want: Want<'_>, tolerance: Length) -> bool {
    band > Length::ZERO && value < want.value && value + band >= want.value - tolerance
}

/// True when the row names its band, does not say whether its sizes are cut or
/// finished, and would agree as a cut size.
fn is_cut_size(row: &Row, cell: &SizeCell, want: Want<'_>, tolerance: Length) -> bool {
    let edges = i64::from(banded_edges(row, cell));
    let Some(thickness) = row.band.and_then(|band| band.thickness) else {
        return false;
    };
    row.size_kind == SizeKind::Unstated
        && row.cut_sizes.is_empty()
        && edges > 0
        && want.miss(cell.value + thickness * edges) <= tolerance
}

/// Thickness is nearly always that of a stock, and stock has a name: 23/32 is
/// sold and listed as 3/4.
fn thickness<'a>(bench: &Bench<'_>, mut check: Check<'a>, want: Want<'a>) -> Check<'a> {
    check.tolerance = check.tolerance.max(nominal::STOCK_TOLERANCE);
    check.by = relied_on(bench, &check, want);
    if want.certainty == Certainty::Hearsay {
        check.by = format!(
            "{} (only inferred); draw the part edge-on, or state its thickness in the job file",
            check.by
        );
        return check;
    }
    let difference = check.listed - want.value;
    check.state = if difference.abs() <= check.tolerance {
        State::Agrees
    } else if nominal::is_name_of(check.listed, want.value) {
        check.by = format!(
            "{}; {} is the name this stock is sold by",
            check.by,
            bench.show.size(check.listed)
        );
        check.tolerance = difference.abs();
        State::Agrees
    } else {
        State::Fails
    };
    check
}

/// "drawn 34 1/2 in high", "interior width + 2 × groove depth, job file line 12".
fn relied_on(bench: &Bench<'_>, check: &Check<'_>, want: Want<'_>) -> String {
    match (want.span, want.rule) {
        (Some(_), Some(rule))
            if want.certainty == Certainty::Exact && want.contradicted.is_none() =>
        {
            if (rule.value - want.span.map(Span::length).unwrap_or_default()).abs()
                <= check.tolerance
            {
                format!(
                    "drawn {} {}; same by {}",
                    bench.show.size(want.value),
                    axis_word(check.axis),
                    rule.relation()
                )
            } else {
                format!("{} ({})", rule.equation(), origin(&rule.origin))
            }
        }
        (Some(_), _) => format!(
            "drawn {} {}",
            bench.show.size(want.value),
            axis_word(check.axis)
        ),
        (None, Some(rule)) => format!("{} ({})", rule.equation(), origin(&rule.origin)),
        (None, None) => "nothing".to_owned(),
    }
}

pub(super) fn axis_word(axis: Option<Axis>) -> &'static str {
    axis.map_or("", Axis::word)
}

/// Where a rule came from, in plain words.
pub(super) fn origin(origin: &Origin) -> String {
    match origin {
        Origin::Drawn => "from sizes in the drawing".to_owned(),
        Origin::JobFile { line } => format!("job file, line {line}"),
        Origin::Preset { name } => format!("preset {name}"),
        Origin::Inferred { support, against } => {
            format!("inferred: {support} for it, {against} against")
        }
    }
}

/// Why there is nothing to hold a size against, and what would help.
fn not_drawn(
    rules: &Rules,
    case: &Case<'_>,
    part: Option<&DrawnPart>,
    role: Role,
    axis: Axis,
) -> String {
    let sizes = &case.cabinet.overall;
    let overall = match axis {
        Axis::Across => &sizes.width,
        Axis::Deep => &sizes.depth,
        Axis::High => &sizes.height,
    };
    let drawn = match (part, overall) {
        (_, Measured::Unknown { reason }) => reason.clone(),
        (Some(part), _) => format!(
            "no view of {} shows how far the {} goes {}",
            case.name,
            part.name,
            axis.word()
        ),
        (None, _) => format!("no view of {} shows {}", case.name, role.one()),
    };
    let size = PartSize { role, axis };
    match rules.missing(case.cabinet, size) {
        Some(advice) => format!("{drawn}; {advice}"),
        None => drawn,
    }
}
