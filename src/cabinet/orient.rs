//! Which way a view's front lies, and reading it that way.

use super::faces::{Face, Faces};
use super::grid::{Dir, GAP, Grid};
use super::placed::Turned;
use super::plan::{self, PlanReading};
use super::reading::Range;
use super::side::{self, SideReading};
use super::strips::Strip;
use crate::trade::Role;
use crate::view::View;

/// Farthest a back in grooves usually stands in from the rear.
const GROOVE: f64 = 28.0;

/// How much speaks for the front being where it was taken, by what stands
/// before the case and by the back. `bare`: another view shows that nothing stands
/// before the edges of the sides. `whole`: the case from end to end along the back.
fn evidence(faces: &Faces, back: Option<Strip>, bare: bool, whole: Range) -> u32 {
    let front = match faces.face {
        Face::FrameOrFront if bare => 0,
        Face::Frame | Face::FrameAndFronts => 4,
        Face::Fronts => 2,
        Face::FrameOrFront => 1,
        Face::Bare | Face::Unclear => 0,
    };
    let covers = |back: Strip| back.a <= whole.0 + GAP && back.b >= whole.1 - GAP;
    front
        + match back {
            // A thick strip at the rear may as well be an inset front, unless it covers
            // the edges of the sides, and nothing does at the front.
            Some(back) if bare && covers(back) => 2,
            Some(back) if back.t1 - back.t0 >= 14.0 => 0,
            // One that stands far in may as well be a toe board under the front.
            Some(back) if faces.rear - back.t1 > GROOVE => 1,
            Some(_) => 2,
            None => 0,
        }
}

fn side_evidence(grid: &Grid, reading: &SideReading, bare: bool) -> u32 {
    // A base of its own stands back at the rear as well.
    let toe = match reading.toe {
        Some(toe) if toe.base == Some(false) => 4,
        Some(_) => 2,
        // A toe board between sides without a notch stands under the front.
        None if reading.parts.iter().any(|part| part.role == Role::ToeKick) => 4,
        None => 0,
    };
    let over = if hangs_over(grid, &reading.faces, reading.top) {
        3
    } else {
        0
    };
    let whole = (reading.low, reading.top);
    toe + over + evidence(&reading.faces, reading.back, bare, whole)
}

/// How much the title of an end says of the side it is seen from.
const SAID: u32 = 5;

/// A countertop hangs over the front.
fn hangs_over(grid: &Grid, faces: &Faces, top: f64) -> bool {
    let foremost = faces.chain.first().copied().unwrap_or(faces.case_front);
    grid.range(Dir::Level, top - GAP, top + GAP).any(|index| {
        grid.lv[index]
            .run_at(foremost)
            .is_some_and(|run| run.lo < foremost - 3.0 && run.hi > foremost + 60.0)
    })
}

/// What titles call the ends.
const LEFT: &[&str] = &["left", "lh", "lhs", "links", "linke", "gauche"];
const RIGHT: &[&str] = &["right", "rh", "rhs", "rechts", "rechte", "droite"];

/// "LEFT" in a title: seen from the left, the front is at the right.
fn from_left(title: &str) -> Option<bool> {
    let text = title.to_lowercase();
    let has = |words: &[&str]| {
        text.split(|c: char| !c.is_alphanumeric())
            .any(|word| words.contains(&word))
    };
    match (has(LEFT), has(RIGHT)) {
        (true, false) => Some(true),
        (false, true) => Some(false),
        _ => None,
    }
}

/// Reads an end or a section. The grid comes back with the front at the left.
pub(super) fn side(
    view: &View,
    grid: &Grid,
    frameless: bool,
    bare: bool,
) -> Result<(Grid, SideReading, Turned), String> {
    let mirrored = grid.mirrored();
    let cut = view.kind == crate::view::ViewKind::Section;
    let plain = side::read(grid, cut, frameless);
    let turned = side::read(&mirrored, cut, frameless);
    let score = |grid: &Grid, r: &Result<SideReading, String>| {
        r.as_ref()
            .map_or(0, |reading| side_evidence(grid, reading, bare))
    };
    let hint = view.title.as_ref().and_then(|title| from_left(&title.text));
    let said = |left: bool| u32::from(!cut && hint == Some(left)) * SAID;
    let (a, b) = (
        score(grid, &plain) + said(false),
        score(&mirrored, &turned) + said(true),
    );
    let (mirror, sure) = match (a.cmp(&b), hint) {
        (std::cmp::Ordering::Greater, _) => (false, Turned::Sure),
        (std::cmp::Ordering::Less, _) => (true, Turned::Sure),
        (std::cmp::Ordering::Equal, Some(left)) => (left, Turned::Sure),
        (std::cmp::Ordering::Equal, None) => (false, Turned::Unsure),
    };
    // A full strip may be the back, too, seen the wrong way round: without a frame only
    // the other signs tell.
    if frameless && sure == Turned::Unsure {
        return self::side(view, grid, false, bare);
    }
    if mirror {
        turned.map(|reading| (mirrored, reading, sure))
    } else {
        plain.map(|reading| (grid.clone(), reading, sure))
    }
}

/// Reads a plan. The grid comes back on its side, with the front at the left, as
/// it is seen and with its hidden edges.
pub(super) fn plan(all: &Grid, bare: bool) -> Result<(Grid, Grid, PlanReading, Turned), String> {
    let (grid, crossed) = uncovered(all)?;
    let (grid, all) = (grid.transposed(), all.transposed());
    let mirrored = grid.mirrored();
    let sound = |grid: &Grid, all: &Grid| {
        let reading = plan::read(grid, all)?;
        if crossed && !plan::explains(grid, &reading) {
            return Err("hidden edges are drawn like visible ones in it".to_owned());
        }
        Ok(reading)
    };
    let plain = sound(&grid, &all);
    let turned = sound(&mirrored, &all.mirrored());
    let score = |r: &Result<PlanReading, String>| {
        // That it cannot be read one way says nothing for the other.
        r.as_ref().map_or(0, |reading| {
            evidence(&reading.faces, reading.back, bare, reading.case)
        })
    };
    // A weak sign one way is none where the other way cannot be read at all.
    let weak = plain.is_err() != turned.is_err() && score(&plain).max(score(&turned)) < 2;
    match score(&plain).cmp(&score(&turned)) {
        std::cmp::Ordering::Greater if weak => plain.map(|r| (grid, all, r, Turned::Unsure)),
        std::cmp::Ordering::Less if weak => {
            turned.map(|r| (mirrored, all.mirrored(), r, Turned::Unsure))
        }
        std::cmp::Ordering::Greater => plain.map(|r| (grid, all, r, Turned::Sure)),
        std::cmp::Ordering::Less => turned.map(|r| (mirrored, all.mirrored(), r, Turned::Sure)),
        // The front at the bottom of the sheet is how plans are drawn.
        std::cmp::Ordering::Equal => plain.map(|r| (grid, all, r, Turned::Unsure)),
    }
}

/// What is seen from above: less, and plainer, than what lies below. A bare
/// outline says nothing. Lines that cross are edges of which nothing tells the
/// upper from the lower ones, or a plan cut through the case, in which a back
/// runs into its grooves: then that has to explain what crosses.
fn uncovered(grid: &Grid) -> Result<(Grid, bool), String> {
    let seen = grid.seen_only();
    if seen.up.len() <= 2 && seen.lv.len() <= 2 {
        return Err("a countertop or a closed top covers it".to_owned());
    }
    let crossed = !grid.cue && seen.is_crossed(2);
    Ok((seen, crossed))
}

#[cfg(test)]
mod tests {
    use super::from_left;

    #[test]
    fn titles_say_from_which_end_a_view_is_taken() {
        for left in ["B2 LEFT END", "LH END VIEW - B2", "B2 Ansicht von links"] {
            assert_eq!(from_left(left), Some(true), "{left}");
        }
        for right in ["B2 Right side", "RH END", "VUE DE DROITE B2"] {
            assert_eq!(from_left(right), Some(false), "{right}");
        }
        for neither in ["B2 END", "B2 LEFT AND RIGHT ENDS", "LHOTSE SIDE"] {
            assert_eq!(from_left(neither), None, "{neither}");
        }
    }
}
