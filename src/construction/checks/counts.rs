//! Fronts against openings, and the parts of drawer boxes against each other.

use super::{Check, Desk, Topic, Verdict, at, some};
use crate::trade::{Dimension, Role};

pub(super) fn check(facts: &Desk<'_>, found: &mut Vec<Check>) {
    for (name, cabinet) in facts.named() {
        fronts(facts, name, cabinet, found);
        drawer_parts(facts, name, found);
    }
}

/// More fronts than the openings of a face frame can hold: one drawer front or one or two
/// doors to an opening. Fewer may be open compartments, so they say nothing; and without
/// a frame any number of fronts may share one opening.
fn fronts(
    facts: &Desk<'_>,
    name: &str,
    cabinet: &crate::cabinet::MeasuredCabinet,
    found: &mut Vec<Check>,
) {
    let Ok(openings) = u32::try_from(cabinet.openings.len()) else {
        return;
    };
    let drawn = cabinet
        .parts
        .iter()
        .any(|part| matches!(part.role, Role::Door | Role::DrawerFront) && !part.flat);
    let framed = cabinet.openings.iter().all(|opening| opening.in_frame);
    // Drawn fronts are matched one by one against the rows; and what is known of the
    // openings of one size says more.
    let told = found.iter().any(|check| {
        check.topic == Topic::Fronts
            && check.verdict == Verdict::Disagrees
            && check.cabinets.iter().any(|cabinet| cabinet == name)
    });
    // Several full-overlay drawers may hang in one opening.
    let banked = facts
        .rules
        .answer(cabinet, "front")
        .is_some_and(|answer| answer.word == "full-overlay");
    if openings == 0 || drawn || !framed || told || banked {
        return;
    }
    let (Some((doors, door_rows)), Some((drawers, drawer_rows))) = (
        facts.listed(name, Role::Door),
        facts.listed(name, Role::DrawerFront),
    ) else {
        return;
    };
    if doors + drawers == 0 {
        return;
    }
    let left = openings.saturating_sub(drawers);
    let fits = drawers <= openings && doors <= 2 * left;
    if fits {
        // Which opening holds which front is not drawn, so the count proves nothing more.
        return;
    }
    let rows = door_rows
        .iter()
        .chain(&drawer_rows)
        .map(|row| at(row, Dimension::Quantity));
    let sentence = format!(
        "{name} is drawn with {openings} opening{}; {} and {} are listed for it, more than they \
         hold (a drawer front, a door or a pair of doors each)",
        if openings == 1 { "" } else { "s" },
        some(doors, Role::Door),
        some(drawers, Role::DrawerFront),
    );
    let mut check = Check::new(Topic::Fronts, Verdict::Disagrees, sentence)
        .of([name])
        .at_rows(rows);
    check.counts = Some((openings, doors + drawers));
    found.push(check);
}

/// Two sides, one back and one bottom to a drawer, and never more drawers than fronts.
fn drawer_parts(facts: &Desk<'_>, name: &str, found: &mut Vec<Check>) {
    // What the drawer fronts say of the same parts is more.
    let told = found.iter().any(|check| {
        check.topic == Topic::Drawers
            && check.verdict == Verdict::Disagrees
            && check.cabinets.iter().any(|cabinet| cabinet == name)
    });
    if told {
        return;
    }
    let listed = |role: Role| facts.listed(name, role);
    let (Some(sides), Some(fronts), Some(backs), Some(bottoms)) = (
        listed(Role::BoxSide),
        listed(Role::BoxFront),
        listed(Role::BoxBack),
        listed(Role::BoxBottom),
    ) else {
        return;
    };
    let parts = [
        (Role::BoxSide, 2, &sides),
        (Role::BoxFront, 1, &fronts),
        (Role::BoxBack, 1, &backs),
        (Role::BoxBottom, 1, &bottoms),
    ];
    // One word for front and back counts for both.
    let both = fronts.0 > 0 && backs.0 == 0;
    let present: Vec<_> = parts
        .into_iter()
        .filter(|(_, _, (count, _))| *count > 0)
        .map(|(role, per, listed)| match role {
            Role::BoxFront if both => (role, 2, listed),
            _ => (role, per, listed),
        })
        .collect();
    if present.len() < 2 {
        return;
    }
    // A box front may be the drawer front itself: then the others still agree.
    let drawers = |per: u32, count: u32| count.is_multiple_of(per).then_some(count / per);
    let counts: Vec<Option<u32>> = present
        .iter()
        .map(|(_, per, (count, _))| drawers(*per, *count))
        .collect();
    let one_word = both && counts.first() != counts.get(1);
    if one_word {
        // "Front" alone may also mean the front only.
        let single: Vec<Option<u32>> = present
            .iter()
            .map(|(role, per, (count, _))| {
                drawers(if *role == Role::BoxFront { 1 } else { *per }, *count)
            })
            .collect();
        if agree(&single) {
            return;
        }
    }
    if agree(&counts) {
        return;
    }
    let said: Vec<String> = present
        .iter()
        .map(|(role, _, (count, _))| some(*count, *role))
        .collect();
    let rows = present
        .iter()
        .flat_map(|(_, _, (_, rows))| rows.iter().map(|row| at(row, Dimension::Quantity)));
    found.push(
        Check::new(
            Topic::DrawerParts,
            Verdict::Disagrees,
            format!(
                "{name}: {} do not make whole drawers of two sides, one back and one bottom each",
                said.join(", ")
            ),
        )
        .of([name])
        .at_rows(rows),
    );
}

fn agree(counts: &[Option<u32>]) -> bool {
    counts
        .iter()
        .all(|count| count.is_some() && *count == counts.first().copied().flatten())
}
