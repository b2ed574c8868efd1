//! Runs of a sheet become views of their cabinets.

use super::frame::Reason;
use super::hand_out::give_out;
use super::read::{Page, leave_out_strays};
use super::{LeftOut, Reading, ViewKind, aligned, doubts, stacked};
use crate::drawing::Sheet;
use geo::Rect;

/// A run before it was divided.
#[derive(Clone)]
pub(super) struct Whole {
    pub bounds: Rect<f64>,
    pub seams: Vec<f64>,
    pub evidence: String,
    /// Dimensions over several of its cabinets.
    pub dimensions: Vec<usize>,
}

/// Divides the runs of a sheet.
pub(super) fn divide(
    index: usize,
    sheet: &Sheet,
    page: &mut Page,
    open: &doubts::Ways<'_>,
    reading: &mut Reading,
) {
    let hidden = |id: u32| sheet.sources.get(id as usize).is_some_and(|s| s.hidden);
    for mut sketch in std::mem::take(&mut page.sketches) {
        let may_be_run = matches!(
            sketch.told.kind,
            ViewKind::Front | ViewKind::Plan | ViewKind::Unknown
        );
        if may_be_run && let Some((rest, walls, faces)) = stacked::to_the_ceiling(&sketch, &hidden)
        {
            reading.left_out.push(LeftOut {
                sheet: index,
                reason: Reason::Wall.text().to_owned(),
                primitives: walls.len(),
                extents: Some(sketch.bounds),
            });
            page.walls.push(faces);
            sketch = rest;
        }
        match may_be_run
            .then(|| open.divide(&sketch, &hidden, reading))
            .flatten()
        {
            None => page.sketches.push(sketch),
            Some(Err(undivided)) => {
                sketch.told.kind = ViewKind::Unknown;
                sketch.told.kind_evidence = undivided.reason;
                sketch.told.settled = true;
                page.sketches.push(sketch);
            }
            Some(Ok(mut division)) => {
                leave_out_strays(index, &page.flat, &mut division.parts, reading);
                let dimensions = give_out(&page.flat, &mut division.parts, &sketch);
                let run = page.runs.len();
                for mut part in division.parts {
                    part.run = Some(run);
                    page.sketches.push(part);
                }
                page.runs.push(Whole {
                    bounds: sketch.bounds,
                    seams: division.seams,
                    evidence: division.evidence,
                    dimensions,
                });
            }
        }
    }
}

/// Divides views of a run on which no names stand like the one with the names.
pub(super) fn divide_alike(index: usize, page: &mut Page, reading: &mut Reading) {
    let divided: Vec<aligned::Divided> = (0..page.runs.len())
        .filter_map(|run| {
            let parts = page.sketches.iter().filter(|s| s.run == Some(run));
            // One on another is not told by places across.
            if parts.clone().count() != page.runs[run].seams.len() + 1 {
                return None;
            }
            let scale = parts.clone().next()?.scale.clone();
            Some(aligned::Divided {
                bounds: page.runs[run].bounds,
                seams: page.runs[run].seams.clone(),
                names: parts.map(|s| s.told.cabinets.clone()).collect(),
                scale,
            })
        })
        .collect();
    if divided.is_empty() {
        return;
    }
    for sketch in std::mem::take(&mut page.sketches) {
        let Some((mut parts, seams)) = aligned::cut_like(&sketch, &divided) else {
            page.sketches.push(sketch);
            continue;
        };
        leave_out_strays(index, &page.flat, &mut parts, reading);
        let dimensions = give_out(&page.flat, &mut parts, &sketch);
        let run = page.runs.len();
        for mut part in parts {
            part.run = Some(run);
            page.sketches.push(part);
        }
        page.runs.push(Whole {
            bounds: sketch.bounds,
            seams,
            evidence:
                "divided like the run with the names: its ends and seams are at the same places"
                    .to_owned(),
            dimensions,
        });
    }
}

/// All parts of a run are seen the same way.
pub(super) fn one_kind(page: &mut Page) {
    for run in 0..page.runs.len() {
        let mut kinds: Vec<(ViewKind, String)> = page
            .sketches
            .iter()
            .filter(|s| s.run == Some(run) && s.told.kind != ViewKind::Unknown)
            .map(|s| (s.told.kind, s.told.kind_evidence.clone()))
            .collect();
        kinds.sort();
        let same = kinds.windows(2).all(|pair| pair[0].0 == pair[1].0);
        let Some((kind, evidence)) = kinds.into_iter().next() else {
            continue;
        };
        for sketch in page.sketches.iter_mut().filter(|s| s.run == Some(run)) {
            if !same {
                sketch.told.kind = ViewKind::Unknown;
                sketch.told.kind_evidence =
                    "parts of one run seem to be seen in different ways; a word such as FRONT near it, or the job file, would tell".to_owned();
            } else if sketch.told.kind == ViewKind::Unknown {
                sketch.told.kind = kind;
                sketch.told.kind_evidence = format!("part of a run: {evidence}");
            }
        }
    }
}
