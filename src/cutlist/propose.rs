//! A list without column headings: what its columns seem to hold, as a proposal
//! for the job file. Never used without being asked for.

use super::attributes;
use super::cabinets;
use super::roles::Parts;
use super::sizes;
use super::table::Line;
use crate::length::{Reader, Unit};
use std::collections::BTreeMap;

/// Lines looked at.
const SAMPLE: usize = 60;

#[derive(Default)]
struct Held {
    filled: usize,
    parts: usize,
    ids: usize,
    counts: usize,
    sizes: usize,
    /// Sum of the sizes' numbers, to tell thickness from the others.
    sum: f64,
    words: usize,
    several: usize,
}

/// Field names and 1-based columns; empty when the lines are no list at all.
pub(super) fn mapping(lines: &[Line], parts: &Parts) -> Vec<(&'static str, usize)> {
    let mut columns: BTreeMap<usize, Held> = BTreeMap::new();
    for line in lines
        .iter()
        .filter(|line| line.filled().count() > 1)
        .take(SAMPLE)
    {
        for (index, cell) in line.filled() {
            let text = cell.trimmed();
            let held = columns.entry(index).or_default();
            held.filled += 1;
            held.parts += usize::from(parts.knows(text));
            held.ids += usize::from(cabinets::is_id(text) && text.chars().any(char::is_alphabetic));
            held.counts += usize::from(attributes::count(text).is_some_and(|n| n < 100));
            let reader = Reader {
                unit: Unit::Inch,
                decimal_mark: None,
            };
            if let Ok(parsed) = reader.read(text) {
                held.sizes += 1;
                held.sum += parsed.length.inches();
            } else if sizes::is_several(text) {
                held.several += 1;
            } else if text.chars().any(char::is_alphabetic) {
                held.words += 1;
            }
        }
    }
    let mut found: Vec<(&'static str, usize)> = Vec::new();
    let mut taken: Vec<usize> = Vec::new();
    let mut take = |name: &'static str, index: Option<usize>, taken: &mut Vec<usize>| {
        if let Some(index) = index {
            found.push((name, index + 1));
            taken.push(index);
        }
    };
    let best = |taken: &[usize], share: &dyn Fn(&Held) -> usize| -> Option<usize> {
        columns
            .iter()
            .filter(|(index, held)| !taken.contains(index) && share(held) * 2 > held.filled)
            .max_by(|a, b| {
                let of = |held: &Held| share(held) * 1000 / held.filled.max(1);
                of(a.1).cmp(&of(b.1)).then(b.0.cmp(a.0))
            })
            .map(|(index, _)| *index)
    };
    let index = best(&taken, &|held| held.ids);
    take("cabinet", index, &mut taken);
    let index = best(&taken, &|held| held.parts);
    take("part", index, &mut taken);
    // Counts are whole; a column of sizes has others among them, or big ones.
    let index = columns
        .iter()
        .filter(|(index, held)| {
            !taken.contains(index) && held.counts == held.filled && held.filled > 0
        })
        .min_by(|a, b| {
            (a.1.sum / a.1.filled as f64)
                .total_cmp(&(b.1.sum / b.1.filled as f64))
                .then(a.0.cmp(b.0))
        })
        .map(|(index, _)| *index);
    take("quantity", index, &mut taken);
    let mut sizes: Vec<(usize, f64)> = columns
        .iter()
        .filter(|(index, held)| !taken.contains(index) && held.sizes * 2 > held.filled)
        .map(|(index, held)| (*index, held.sum / held.sizes.max(1) as f64))
        .collect();
    sizes.truncate(3);
    if let [_, _, _] = sizes.as_slice() {
        let thin = sizes
            .iter()
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(index, _)| *index);
        take("thickness", thin, &mut taken);
        sizes.retain(|(index, _)| Some(*index) != thin);
    }
    for (name, (index, _)) in ["length", "width"].into_iter().zip(&sizes) {
        take(name, Some(*index), &mut taken);
    }
    let index = best(&taken, &|held| held.several);
    take("size", index, &mut taken);
    let index = best(&taken, &|held| held.words);
    take("material", index, &mut taken);
    let has_size = found
        .iter()
        .any(|(name, _)| matches!(*name, "length" | "size"));
    if !has_size {
        return Vec::new();
    }
    found.sort_by_key(|(_, column)| *column);
    found
}

/// The proposal as lines for a job file.
pub(super) fn text(mapping: &[(&'static str, usize)]) -> String {
    let lines: Vec<String> = mapping
        .iter()
        .map(|(name, column)| format!("  {name} = {column}"))
        .collect();
    format!("  [list.columns]\n{}", lines.join("\n"))
}

#[cfg(test)]
mod tests {
    use super::super::separated::split;
    use super::*;

    #[test]
    fn columns_are_proposed_by_what_they_hold() {
        let table = split(
            "B1,Side,2,34 1/2,23 1/4,3/4,birch ply\nB1,Bottom,1,22 1/2,23,3/4,birch ply\nB1,Back,1,29 3/4,22 3/4,1/4,birch ply\n",
            &"x".into(),
            &|_| 0,
        );
        let mapping = mapping(&table.lines, &Parts::new(&[]));
        assert_eq!(
            mapping,
            [
                ("cabinet", 1),
                ("part", 2),
                ("quantity", 3),
                ("length", 4),
                ("width", 5),
                ("thickness", 6),
                ("material", 7)
            ]
        );
        assert_eq!(
            text(&mapping[..2]),
            "  [list.columns]\n  cabinet = 1\n  part = 2"
        );
    }

    #[test]
    fn several_sizes_in_a_cell_are_one_column() {
        let table = split(
            "4 posts; 1 1/2 x 1 1/2 x 28\n4 side rails; 3/4 x 2 x 16\n2 end rails; 3/4 x 2 x 7\n",
            &"x".into(),
            &|_| 0,
        );
        assert_eq!(
            mapping(&table.lines, &Parts::new(&[])),
            [("part", 1), ("size", 2)]
        );
    }

    #[test]
    fn prose_gets_no_proposal() {
        let table = split(
            "Dear all,\nplease find, the list, attached\n",
            &"x".into(),
            &|_| 0,
        );
        assert!(mapping(&table.lines, &Parts::new(&[])).is_empty());
    }
}
