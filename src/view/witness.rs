//! Dimensions as witnesses of the scale: the size each shows against the
//! distance it was drawn over. One that stands alone is a slip or a lie; many
//! that share one ratio are the scale.

use super::flatten::FlatDimension;
use super::notes;
use crate::length::Unit;

/// One dimension's testimony.
#[derive(Clone, Debug)]
pub(super) struct Witness {
    /// Drawn distance, drawing units.
    pub measured: f64,
    /// Size shown, in the unit it is shown in.
    pub number: f64,
    pub unit: Option<Unit>,
    /// Rounding of what is shown, same unit.
    pub step: f64,
    /// Shown by the program itself as factor × measurement: the ratio is exact.
    pub factor: Option<(f64, &'static str)>,
    /// What is shown, as written.
    pub text: String,
    pub exploded: bool,
}

impl Witness {
    pub fn of(dimension: &FlatDimension) -> Option<Self> {
        if !dimension.linear || dimension.measured.is_nan() || dimension.measured <= 0.0 {
            return None;
        }
        let computed = dimension.measured * dimension.factor;
        let seen = dimension
            .text
            .as_deref()
            .or(dimension.drawn_text.as_deref());
        let shown = seen.and_then(notes::shown);
        let factor =
            (dimension.text.is_none()).then_some((dimension.factor, dimension.factor_origin));
        match (shown, &dimension.text) {
            (Some(shown), _) => Some(Witness {
                measured: dimension.measured,
                number: shown.number,
                unit: shown.unit,
                step: shown.step,
                factor: factor
                    .filter(|_| (shown.number - computed).abs() <= shown.step.max(1e-3 * computed)),
                text: seen.unwrap_or_default().to_owned(),
                exploded: dimension.exploded,
            }),
            // A typed text that is no size says nothing.
            (None, Some(_)) => None,
            (None, None) => (computed > 0.0).then(|| Witness {
                measured: dimension.measured,
                number: computed,
                unit: None,
                step: 1e-6 * computed,
                factor,
                text: plain(computed),
                exploded: false,
            }),
        }
    }

    pub fn ratio(&self) -> f64 {
        self.number / self.measured
    }

    /// Relative uncertainty of the ratio from rounding.
    pub fn spread(&self) -> f64 {
        (0.55 * self.step / self.number).clamp(1e-4, 0.05)
    }
}

pub(super) fn plain(v: f64) -> String {
    let text = format!("{v:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Witnesses that share one ratio.
#[derive(Clone, Debug)]
pub(super) struct Agreement {
    /// Shown number over drawn distance.
    pub ratio: f64,
    /// Relative uncertainty of it.
    pub spread: f64,
    /// How many share it, of how many.
    pub count: usize,
    pub of: usize,
    pub unit: Option<Unit>,
    /// The longest, as an example.
    pub example: Witness,
    /// The factor that all entities among them carry.
    pub factor: Option<(f64, &'static str)>,
    pub exploded: bool,
}

/// Groups of witnesses by shared ratio, largest first.
pub(super) fn agreements(witnesses: &[Witness]) -> Vec<Agreement> {
    let mut rest: Vec<&Witness> = witnesses.iter().collect();
    let mut found = Vec::new();
    while !rest.is_empty() && found.len() < 16 {
        // The ratio most testimonies allow: sweep over their intervals.
        let mut marks: Vec<(f64, i32)> = Vec::new();
        for w in &rest {
            marks.push((w.ratio() * (1.0 - w.spread()), 1));
            marks.push((w.ratio() * (1.0 + w.spread()), -1));
        }
        marks.sort_by(|p, q| p.0.total_cmp(&q.0).then(q.1.cmp(&p.1)));
        let (mut depth, mut best) = (0, 0);
        let mut deepest: Vec<(f64, f64)> = Vec::new();
        for (i, &(at, step)) in marks.iter().enumerate() {
            depth += step;
            let until = marks.get(i + 1).map_or(at, |m| m.0);
            if depth > best {
                best = depth;
                deepest.clear();
            }
            if depth == best && depth > 0 {
                deepest.push((at, until));
            }
        }
        // Of ratios equally well borne out, full size goes first, then a scale.
        let from = [1.0]
            .into_iter()
            .chain(super::scale::SCALES)
            .find(|s| deepest.iter().any(|d| d.0 <= *s && *s <= d.1))
            .or_else(|| deepest.first().map(|d| d.0))
            .unwrap_or_default();
        let allows = |w: &Witness| {
            from >= w.ratio() * (1.0 - w.spread()) - 1e-12
                && from <= w.ratio() * (1.0 + w.spread()) + 1e-12
        };
        let (group, others): (Vec<&Witness>, Vec<&Witness>) =
            rest.into_iter().partition(|w| allows(w));
        rest = others;
        let Some(sharpest) = group.iter().min_by(|p, q| {
            p.spread()
                .total_cmp(&q.spread())
                .then(q.measured.total_cmp(&p.measured))
        }) else {
            break;
        };
        let Some(example) = group
            .iter()
            .max_by(|p, q| p.measured.total_cmp(&q.measured).then(q.text.cmp(&p.text)))
        else {
            break;
        };
        let factors: Vec<_> = group.iter().filter_map(|w| w.factor).collect();
        let factor = factors.first().copied().filter(|f| {
            factors.iter().all(|g| g.0 == f.0)
                && (f.0 / sharpest.ratio() - 1.0).abs() <= 2.0 * sharpest.spread()
        });
        found.push(Agreement {
            ratio: factor.map_or(sharpest.ratio(), |f| f.0),
            spread: sharpest.spread(),
            count: group.len(),
            of: witnesses.len(),
            unit: group.iter().find_map(|w| w.unit),
            example: (*example).clone(),
            factor,
            exploded: group.iter().any(|w| w.exploded),
        });
    }
    found.sort_by(|p, q| {
        q.count
            .cmp(&p.count)
            .then(q.example.measured.total_cmp(&p.example.measured))
    });
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn w(measured: f64, number: f64, step: f64) -> Witness {
        Witness {
            measured,
            number,
            unit: None,
            step,
            factor: None,
            text: plain(number),
            exploded: false,
        }
    }

    #[test]
    fn many_with_one_ratio_are_the_scale_and_one_alone_is_not() {
        let found = agreements(&[
            w(3.0, 36.0, 1.0),
            w(2.875, 34.5, 0.5),
            w(2.0, 24.0, 0.5),
            w(1.0, 13.5, 0.5),
        ]);
        assert_eq!(found[0].count, 3);
        assert!((found[0].ratio - 12.0).abs() < 0.12);
        assert_eq!(found[1].count, 1);
        assert_eq!(found[0].of, 4);
        assert!(agreements(&[]).is_empty());
    }
}
