//! Flat part drawings: the outline of one part with its name.

use super::bench::{Bench, Case};
use super::fit::{Customs, Fit, fit};
use super::matching::role_distance;
use crate::cabinet::DrawnPart;
use crate::cutlist::Row;
use crate::trade::Axis;

/// A part drawing that stands for a row, and how the row lies on it.
pub(super) struct Flat<'a> {
    part: &'a DrawnPart,
    fit: Fit,
}

impl<'a> Flat<'a> {
    /// The axis of the part drawing that shows this size of the row.
    pub fn axis_for(&self, size: usize) -> Option<(&'a DrawnPart, Axis)> {
        let axis = self.fit.turn.axis(size)?;
        self.part.span(axis).map(|_| (self.part, axis))
    }
}

/// The part drawing of a row: of its role, nearest by name, then by size. A
/// drawing whose name is no nearer than another's and whose sizes both miss
/// stands for nothing.
pub(super) fn drawing_of<'a>(bench: &Bench<'_>, case: &'a Case<'_>, row: &Row) -> Option<Flat<'a>> {
    let role = row.role()?;
    let customs = Customs::default();
    let mut found: Vec<(bool, usize, i64, usize, Flat<'a>)> = case
        .flats
        .iter()
        .enumerate()
        .filter(|(_, part)| role_distance(role, part.role) == Some(0))
        .map(|(index, part)| {
            let fit = fit(bench, &customs, case, row, &[part]);
            let other_name = !same_words(&part.name, &row.part);
            (other_name, fit.misses, fit.cost, index, Flat { part, fit })
        })
        .collect();
    found.sort_by_key(|(other_name, misses, cost, index, _)| (*other_name, *misses, *cost, *index));
    let only = found.len() == 1;
    let (other_name, misses, _, _, flat) = found.into_iter().next()?;
    (!other_name || misses < 2 || only).then_some(flat)
}

fn same_words(a: &str, b: &str) -> bool {
    let words = |text: &str| {
        let mut words: Vec<String> = text
            .split(|c: char| !c.is_alphanumeric())
            .filter(|word| !word.is_empty())
            .map(str::to_lowercase)
            .collect();
        words.sort();
        words
    };
    words(a) == words(b)
}
