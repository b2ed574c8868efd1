//! Views of which it is doubtful whether they show one cabinet or several side by side.
//! What stands on them says one thing and their lines another, or nothing stands on them
//! at all. They are read by what stands on them, and may be read again the other way.

use super::build::Sketch;
use super::flatten::Flat;
use super::looks::look;
use super::read::Page;
use super::runs::{self, Division, Undivided};
use super::{Reading, Scale, ViewKind, Way, seams};
use crate::drawing::Sheet;
use crate::plain::in_parallel;
use std::collections::{BTreeMap, BTreeSet};

/// A doubtful view.
#[derive(Clone)]
pub(super) struct Open {
    /// Where its lines say it is to be divided, drawing units.
    seams: Vec<f64>,
    /// Names stand on several of its pieces: it is a run.
    run: bool,
    /// No name stands on it, and its lines are sure.
    bare: bool,
    sure: bool,
}

/// Finds the doubtful views and numbers them.
pub(super) fn find(sheets: &[Sheet], pages: &mut [Page]) -> Vec<Open> {
    let mut found = Vec::new();
    for (sheet, page) in sheets.iter().zip(pages) {
        let hidden = |id: u32| sheet.sources.get(id as usize).is_some_and(|s| s.hidden);
        let own = in_parallel(&page.sketches, |sketch| open(&page.flat, sketch, &hidden));
        for (sketch, open) in page.sketches.iter_mut().zip(own) {
            if let Some(open) = open {
                sketch.doubt = Some(found.len());
                found.push(open);
            }
        }
    }
    found
}

fn open(flat: &Flat, sketch: &Sketch, hidden: &dyn Fn(u32) -> bool) -> Option<Open> {
    if sketch.given || !matches!(sketch.told.kind, ViewKind::Front | ViewKind::Unknown) {
        return None;
    }
    let labelled = |seams: &[f64]| -> usize {
        let places: BTreeSet<usize> = seams::places(&sketch.labels, seams).collect();
        places.len()
    };
    // Where each piece has a name of its own there is no doubt.
    let open = |seams: &[f64]| !seams.is_empty() && labelled(seams) <= seams.len();
    let mut seams = seams::find(sketch, false, hidden);
    let sure = open(&seams);
    if !sure {
        seams = seams::find(sketch, true, hidden);
    }
    if !open(&seams) {
        return None;
    }
    if sketch.told.kind == ViewKind::Unknown && !is_elevation(flat, sketch, &seams, hidden) {
        return None;
    }
    let labelled = labelled(&seams);
    Some(Open {
        run: labelled > 1,
        bare: sure && labelled == 0 && sketch.told.cabinets.is_empty(),
        sure,
        seams,
    })
}

/// Higher than this, cabinets side by side are seen from the front: few are as deep.
const DEEPEST_MM: f64 = 700.0;

/// True for a view that no word tells and that can only be a row of fronts: it is higher
/// than cabinets are deep, and no piece of it looks as if seen from the side, or is bare.
fn is_elevation(flat: &Flat, sketch: &Sketch, seams: &[f64], hidden: &dyn Fn(u32) -> bool) -> bool {
    let Scale::Known { mm_per_unit, .. } = sketch.scale else {
        return false;
    };
    if sketch.bounds.height() * mm_per_unit <= DEEPEST_MM {
        return false;
    }
    let pieces = seams::pieces(sketch, seams);
    let lopsided = |piece: &&Sketch| {
        let look = look(flat, piece);
        look.is_sideways() && !look.notched
    };
    let lopsided = pieces.iter().filter(lopsided).count();
    2 * lopsided <= pieces.len() && pieces.iter().all(|piece| seams::has_boards(piece, hidden))
}

/// From the side no two are seen beside each other.
fn as_front(piece: &mut Sketch) {
    let told = &mut piece.told;
    if told.kind == ViewKind::Unknown {
        told.kind = ViewKind::Front;
        told.kind_evidence = "cabinets side by side, higher than cabinets are deep".to_owned();
        told.settled = true;
    }
}

/// How the doubtful views are to be read.
pub(super) struct Ways<'a> {
    pub doubts: &'a [Open],
    pub ways: &'a BTreeMap<usize, Way>,
}

impl Ways<'_> {
    /// Divides a sketch that shows a run; see [`runs::divide`].
    pub fn divide(
        &self,
        sketch: &Sketch,
        hidden: &dyn Fn(u32) -> bool,
        reading: &mut Reading,
    ) -> Option<Result<Division, Undivided>> {
        let open = sketch.doubt.and_then(|n| Some((n, self.doubts.get(n)?)));
        let Some((n, open)) = open else {
            return runs::divide(sketch, hidden);
        };
        let by_lines = |reading: &mut Reading| {
            let mut division = seams::divide(sketch, &open.seams, hidden);
            if let Ok(division) = &mut division {
                for piece in &mut division.parts {
                    as_front(piece);
                }
            }
            if let Some(doubt) = reading.doubts.get_mut(n) {
                doubt.divided = division.is_ok();
            }
            Some(division)
        };
        if let Some(doubt) = reading.doubts.get_mut(n) {
            doubt.sure = open.sure;
        }
        match (self.ways.get(&n), open.bare) {
            (Some(Way::Neither), _) => Some(Err(Undivided {
                reason: "two sides stand side by side in it, so it may show more cabinets than \
                         are named, and their sizes against the list do not tell; name the \
                         others, or give each its region in the job file"
                    .to_owned(),
            })),
            (None, true) | (Some(Way::Other), false) => by_lines(reading),
            (None, false) if open.run => match runs::divide(sketch, hidden) {
                Some(Err(_)) => by_lines(reading),
                divided => divided,
            },
            (None, false) => runs::divide(sketch, hidden),
            (Some(Way::Other), true) => None,
        }
    }
}
