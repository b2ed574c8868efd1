//! The same size of another cabinet, or of an older drawing.

use super::super::bench::Bench;
use super::super::checks::Check;
use super::super::knowns::axis_noun;
use super::{Figure, Found, Ground};
use crate::audit::types::CauseKind;
use crate::cabinet::MeasuredCabinet;
use crate::length::Length;
use crate::trade::{Axis, Role};
use std::collections::BTreeMap;

/// Right sizes by role (none: the cabinet itself) and axis: size and cabinet, sorted.
pub(in crate::audit) struct Elsewhere(Sizes);

type Sizes = BTreeMap<(Option<Role>, Axis), Vec<(Length, usize)>>;

impl Elsewhere {
    pub fn new(bench: &Bench<'_>, checks: &[Check<'_>]) -> Self {
        let mut map = Sizes::new();
        for (index, case) in bench.cases.iter().enumerate() {
            for axis in Axis::ALL {
                if let Some(span) = case.overall(axis) {
                    map.entry((None, axis))
                        .or_default()
                        .push((span.length(), index));
                }
                for part in &case.parts {
                    if let Some(span) = part.span(axis) {
                        map.entry((Some(part.role), axis))
                            .or_default()
                            .push((span.length(), index));
                    }
                }
            }
        }
        for check in checks {
            if let (Some(case), Some(axis), Some(want)) = (check.case, check.axis, check.want)
                && want.span.is_none()
            {
                map.entry((check.role, axis))
                    .or_default()
                    .push((want.value, case));
            }
        }
        for list in map.values_mut() {
            list.sort_unstable();
            list.dedup();
        }
        Elsewhere(map)
    }

    fn near(
        &self,
        role: Option<Role>,
        axis: Axis,
        at: Length,
        within: Length,
    ) -> &[(Length, usize)] {
        let list = self.0.get(&(role, axis)).map_or(&[][..], Vec::as_slice);
        let from = list.partition_point(|(value, _)| *value < at - within);
        let to = list.partition_point(|(value, _)| *value <= at + within);
        list.get(from..to.max(from)).unwrap_or(&[])
    }
}

pub(super) fn test(ground: &Ground<'_>, figure: &Figure<'_>, out: &mut Vec<Found>) {
    other_cabinet(ground, figure, out);
    older(ground, figure, out);
}

fn other_cabinet(ground: &Ground<'_>, figure: &Figure<'_>, out: &mut Vec<Found>) {
    let around = ground.elsewhere.near(
        figure.role,
        figure.axis,
        figure.wanted,
        figure.off().abs() * 2,
    );
    let mut values: Vec<Length> = around
        .iter()
        .filter(|(value, case)| *case != figure.case && figure.competes(*value))
        .map(|(value, _)| *value)
        .collect();
    values.dedup_by(|a, b| (*a - *b).abs() <= figure.slack);
    let hit = ground
        .elsewhere
        .near(figure.role, figure.axis, figure.listed, figure.slack)
        .iter()
        .filter(|(value, case)| *case != figure.case && figure.competes(*value))
        .min_by_key(|(value, case)| {
            (
                case.abs_diff(figure.case),
                (*value - figure.listed).abs(),
                *case,
            )
        });
    let Some((value, case)) = hit else { return };
    let Some(other) = ground.bench.cases.get(*case) else {
        return;
    };
    let show = ground.bench.show;
    let what = match figure.role {
        Some(role) => format!("the {} of the {}", axis_noun(figure.axis), role.word()),
        None => format!("the overall {}", axis_noun(figure.axis)),
    };
    out.push(
        Found::new(
            CauseKind::OtherCabinet,
            1.5,
            figure.chance(values.len()),
            format!(
                "{} is {what} of {}: the figure of another cabinet.",
                show.size(figure.listed),
                other.name
            ),
        )
        .because(format!(
            "{} is drawn {} there",
            other.name,
            show.size(*value)
        )),
    );
}

fn older(ground: &Ground<'_>, figure: &Figure<'_>, out: &mut Vec<Found>) {
    let Some(case) = ground.bench.cases.get(figure.case) else {
        return;
    };
    let name = super::super::words::same_name_key(&case.name);
    let mut older: Vec<_> = ground
        .bench
        .job
        .older
        .iter()
        .filter(|older| super::super::words::same_name_key(&older.cabinet.id) == name)
        .collect();
    older.sort_by(|a, b| a.file.cmp(&b.file));
    let show = ground.bench.show;
    for old in older {
        let sizes = sizes(&old.cabinet, figure.role, figure.axis);
        let still_right = sizes
            .iter()
            .any(|size| (*size - figure.wanted).abs() <= figure.slack);
        let hit = sizes.iter().any(|size| figure.matches(*size));
        if hit && !still_right {
            out.push(
                Found::new(
                    CauseKind::OlderDrawing,
                    4.0,
                    figure.chance(sizes.len()),
                    format!(
                        "{} is what the older drawing {} shows.",
                        show.size(figure.listed),
                        old.file
                    ),
                )
                .because(format!("now drawn {}", show.size(figure.wanted))),
            );
            return;
        }
    }
}

fn sizes(cabinet: &MeasuredCabinet, role: Option<Role>, axis: Axis) -> Vec<Length> {
    let mut out: Vec<Length> = match role {
        Some(role) => cabinet
            .parts
            .iter()
            .filter(|part| part.role == role)
            .filter_map(|part| part.span(axis))
            .map(crate::cabinet::Span::length)
            .collect(),
        None => match axis {
            Axis::Across => cabinet.overall.width.known(),
            Axis::Deep => cabinet.overall.depth.known(),
            Axis::High => cabinet.overall.height.known(),
        }
        .map(|measure| measure.span.length())
        .into_iter()
        .collect(),
    };
    out.sort_unstable();
    out.dedup();
    out
}
