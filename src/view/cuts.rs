//! Whether a view from the side that no title tells shows the outside of its cabinet
//! or what is cut open: in a section the boards are drawn in full lines, from the
//! end they are hidden behind the side.

use super::ViewKind;
use super::build::Sketch;
use super::flatten::Stroke;
use geo::Rect;

/// Share of the width a board covers at least.
const BOARD: f64 = 0.4;
/// A countertop and a base draw one line each right across an end.
const ACROSS: usize = 2;

/// Calls the ends among views whose kind no title told (`open`) sections where they
/// are. Where hidden edges look like visible ones, that can't be told.
pub(super) fn tell_sections(sketches: &mut [Sketch], open: &[bool], hidden: &dyn Fn(u32) -> bool) {
    let dashed = |s: &Sketch| s.strokes.iter().any(|s| is_straight(s) && hidden(s.source));
    if !sketches.iter().any(dashed) {
        return;
    }
    for (sketch, open) in sketches.iter_mut().zip(open) {
        if *open && sketch.told.kind == ViewKind::End && is_cut(sketch, hidden) {
            sketch.told.kind = ViewKind::Section;
            sketch
                .told
                .kind_evidence
                .push_str("; cut open, for the boards in it are drawn in full lines");
        }
    }
}

fn is_straight(stroke: &Stroke) -> bool {
    let r = stroke.bounds();
    r.width().min(r.height()) <= 1e-3 * r.width().max(r.height())
}

fn is_cut(sketch: &Sketch, hidden: &dyn Fn(u32) -> bool) -> bool {
    let b = sketch.bounds;
    let near = 1e-3 * b.width().max(b.height());
    let level = |r: &Rect<f64>| r.height() <= near && r.width() > near;
    let mut pieces: Vec<Rect<f64>> = Vec::new();
    for stroke in sketch.strokes.iter().filter(|s| !hidden(s.source)) {
        let r = stroke.bounds();
        let y = r.center().y;
        if level(&r) && y - b.min().y > near && b.max().y - y > near {
            pieces.push(r);
        }
    }
    pieces.sort_by(|p, q| {
        p.center()
            .y
            .total_cmp(&q.center().y)
            .then(p.min().x.total_cmp(&q.min().x))
    });
    let (mut across, mut short) = (0, 0);
    let mut rest = pieces.as_slice();
    while let Some(first) = rest.first() {
        let y = first.center().y;
        let (line, others) = rest.split_at(rest.partition_point(|r| r.center().y <= y + near));
        let mut spans: Vec<(f64, f64)> = line.iter().map(|r| (r.min().x, r.max().x)).collect();
        spans.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.total_cmp(&q.1)));
        let (mut end, mut drawn) = (f64::NEG_INFINITY, 0.0);
        for (low, high) in spans {
            drawn += (high - low.max(end)).max(0.0);
            end = end.max(high);
        }
        if drawn >= BOARD * b.width() {
            across += 1;
            short += usize::from(drawn < b.width() - 2.0 * near);
        }
        rest = others;
    }
    // The faces of a board that ends at a back or a frame, or more than an end can have.
    across > ACROSS || across == ACROSS && short > 0
}
