//! Closing corners: ends that miss a crossing line by no more than the snap
//! are moved onto it.

use super::merge::Merged;

/// How many neighbouring positions are looked at for one end.
const LOOK: usize = 16;

/// Moves ends of uprights onto levels and ends of levels onto uprights.
/// Positions across the lines never change, so nothing drifts.
pub(super) fn close(uprights: &mut [Merged], levels: &mut [Merged], snap: f64) {
    let upright_index = Index::new(uprights);
    let level_index = Index::new(levels);
    for line in uprights.iter_mut() {
        close_line(line, &level_index, snap);
    }
    for line in levels.iter_mut() {
        close_line(line, &upright_index, snap);
    }
}

fn close_line(line: &mut Merged, crossing: &Index, snap: f64) {
    let lo = crossing.nearest(line.lo, line.at, snap).unwrap_or(line.lo);
    let hi = crossing.nearest(line.hi, line.at, snap).unwrap_or(line.hi);
    if lo < hi {
        line.lo = lo;
        line.hi = hi;
    }
}

/// Lines by position, and at each position by start.
struct Index {
    /// (position, first line of it in `spans`)
    positions: Vec<(f64, usize)>,
    spans: Vec<(f64, f64)>,
}

impl Index {
    /// `lines` are sorted by position, then by start.
    fn new(lines: &[Merged]) -> Self {
        let mut positions: Vec<(f64, usize)> = Vec::new();
        let mut spans = Vec::with_capacity(lines.len());
        for line in lines {
            if positions.last().is_none_or(|last| last.0 != line.at) {
                positions.push((line.at, spans.len()));
            }
            spans.push((line.lo, line.hi));
        }
        Index { positions, spans }
    }

    /// Position nearest to `end` within `snap` of which a line passes `at`.
    fn nearest(&self, end: f64, at: f64, snap: f64) -> Option<f64> {
        let from = self.positions.partition_point(|p| p.0 < end - snap);
        let to = self.positions.partition_point(|p| p.0 <= end + snap);
        let middle = self
            .positions
            .partition_point(|p| p.0 < end)
            .clamp(from, to);
        let near = from.max(middle.saturating_sub(LOOK))..to.min(middle + LOOK);
        let mut best: Option<f64> = None;
        for index in near {
            let (position, first) = self.positions[index];
            let last = self
                .positions
                .get(index + 1)
                .map_or(self.spans.len(), |p| p.1);
            let spans = &self.spans[first..last];
            // Lines of one position follow each other; the last that starts
            // before `at`, or the one before it, is the one that may pass.
            let after = spans.partition_point(|span| span.0 <= at + snap);
            let passes = spans[after.saturating_sub(2)..after]
                .iter()
                .any(|span| span.1 >= at - snap);
            if passes && best.is_none_or(|b| (position - end).abs() < (b - end).abs()) {
                best = Some(position);
            }
        }
        best
    }
}
