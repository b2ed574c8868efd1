//! Arcs, texts and dimensions go to the view, or the part of a run, they stand at.

use super::build::Sketch;
use super::flatten::{Flat, unite};
use super::frame::contains;
use super::index::Grid;
use super::read::{boxes, to_drawing};
use super::{LeftOut, Reading};
use geo::{Coord, Rect};

/// Hands arcs, texts and dimensions to the views they belong to.
pub(super) fn hand_out(index: usize, flat: &Flat, sketches: &mut [Sketch], reading: &mut Reading) {
    let boxes = boxes(sketches);
    let grid = Grid::new(&boxes);
    let mut loose: Vec<Rect<f64>> = Vec::new();
    for (i, arc) in flat.arcs.iter().enumerate() {
        let home = grid.near(arc.bounds.center(), 0.0).into_iter().find(|&g| {
            contains(boxes[g], arc.bounds.min()) && contains(boxes[g], arc.bounds.max())
        });
        match home {
            Some(g) => sketches[g].arcs.push(i),
            None => loose.push(arc.bounds),
        }
    }
    if let Some(bounds) = loose.iter().copied().reduce(unite) {
        reading.left_out.push(LeftOut {
            sheet: index,
            reason: "arcs and circles outside any view".to_owned(),
            primitives: loose.len(),
            extents: Some(to_drawing(&flat.to_drawing, bounds)),
        });
    }
    for (i, text) in flat.texts.iter().enumerate() {
        if let Some(g) = grid.near(text.at, 0.0).first() {
            sketches[*g].texts.push(i);
        }
    }
    for (i, dimension) in flat.dimensions.iter().enumerate() {
        if let Some(g) = home_of_dimension(&grid, &boxes, dimension.from, dimension.to) {
            sketches[g].dimensions.push(i);
        }
    }
}

/// The view whose edges a dimension measures: the nearest to both points.
fn home_of_dimension(
    grid: &Grid,
    boxes: &[Rect<f64>],
    from: Coord<f64>,
    to: Coord<f64>,
) -> Option<usize> {
    let away = |b: &Rect<f64>, c: Coord<f64>| {
        let dx = (b.min().x - c.x).max(c.x - b.max().x).max(0.0);
        let dy = (b.min().y - c.y).max(c.y - b.max().y).max(0.0);
        dx.hypot(dy)
    };
    let reach = 0.25 * grid.cell();
    let mut near = grid.near(from, reach);
    near.extend(grid.near(to, reach));
    near.into_iter()
        .map(|g| (away(&boxes[g], from) + away(&boxes[g], to), g))
        .min_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)))
        .map(|hit| hit.1)
}

/// Arcs, texts and dimensions of a run to the parts they lie on. Gives the level
/// dimensions that span several of them.
pub(super) fn give_out(flat: &Flat, parts: &mut [Sketch], sketch: &Sketch) -> Vec<usize> {
    let mut spanning = Vec::new();
    let boxes: Vec<Rect<f64>> = parts.iter().map(|p| p.bounds).collect();
    let grid = Grid::new(&boxes);
    for &i in &sketch.arcs {
        if let Some(&g) = flat
            .arcs
            .get(i)
            .and_then(|a| grid.near(a.bounds.center(), 0.0).first().copied())
            .as_ref()
        {
            parts[g].arcs.push(i);
        }
    }
    for &i in &sketch.texts {
        if let Some(g) = flat
            .texts
            .get(i)
            .and_then(|t| grid.near(t.at, 0.0).first().copied())
        {
            parts[g].texts.push(i);
        }
    }
    for &i in &sketch.dimensions {
        let Some(d) = flat.dimensions.get(i) else {
            continue;
        };
        let near = 0.02 * d.measured;
        let whole = boxes.iter().position(|b| match d.level {
            Some(true) => {
                d.from.x.min(d.to.x) >= b.min().x - near && d.from.x.max(d.to.x) <= b.max().x + near
            }
            _ => contains(*b, d.from) || contains(*b, d.to),
        });
        let home = whole.or_else(|| home_of_dimension(&grid, &boxes, d.from, d.to));
        // One that spans several cabinets belongs to the run, not to one of them.
        if let Some(g) = home.filter(|_| whole.is_some() || d.level != Some(true)) {
            parts[g].dimensions.push(i);
        } else if d.level == Some(true) {
            spanning.push(i);
        }
    }
    spanning
}
