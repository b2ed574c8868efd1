//! Primitives in the order of their entities' handles, which does not change when a
//! program writes the same entities in another order.

use super::sheet::{Sheet, Source};

/// Sorts the sources by handle, and every list of primitives by its source. Entities
/// without a handle come first and keep the order of the file.
pub fn by_handle(sheet: &mut Sheet) {
    let order = order(&sheet.sources, &ranks(&sheet.block_paths));
    if order.is_empty() {
        return;
    }
    let mut place = vec![0u32; order.len()];
    for (at, index) in (0u32..).zip(&order) {
        if let Some(place) = place.get_mut(*index as usize) {
            *place = at;
        }
    }
    sheet.sources = order
        .iter()
        .filter_map(|index| sheet.sources.get(*index as usize).cloned())
        .collect();
    macro_rules! follow {
        ($($list:ident),*) => {$(
            for item in &mut sheet.$list {
                item.source = place.get(item.source as usize).copied().unwrap_or(item.source);
            }
            sheet.$list.sort_by_key(|item| item.source);
        )*};
    }
    follow!(
        segments,
        arcs,
        ellipses,
        texts,
        dimensions,
        hatch_segments,
        hatch_arcs,
        hatch_ellipses,
        paper_texts,
        paper_dimensions
    );
}

/// The place of each name among all of them in order; equal names share one.
fn ranks(names: &[String]) -> Vec<u32> {
    let mut sorted: Vec<&String> = names.iter().collect();
    sorted.sort_unstable();
    sorted.dedup();
    let rank = |name: &String| sorted.partition_point(|other| *other < name);
    names
        .iter()
        .map(|name| u32::try_from(rank(name)).unwrap_or(u32::MAX))
        .collect()
}

/// Indices of sources by handle and block; empty when they stand in that order
/// already, which is the rule: a large drawing then needs no memory for it.
fn order(sources: &[Source], ranks: &[u32]) -> Vec<u32> {
    let key = |source: &Source| match source.handle {
        0 => (0, None),
        handle => (handle, ranks.get(source.block_path as usize).copied()),
    };
    if sources.is_sorted_by_key(key) {
        return Vec::new();
    }
    let mut order: Vec<u32> = (0..).take(sources.len()).collect();
    order.sort_by_key(|index| sources.get(*index as usize).map(key));
    order
}
