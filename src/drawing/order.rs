//! Primitives in the order of their entities' handles, which does not change when a
//! program writes the same entities in another order.

use super::sheet::Sheet;

/// Sorts the sources by handle, and every list of primitives by its source. Entities
/// without a handle come first and keep the order of the file.
pub fn by_handle(sheet: &mut Sheet) {
    let mut order: Vec<u32> = (0..).take(sheet.sources.len()).collect();
    let key = |index: &u32| {
        let source = sheet.sources.get(*index as usize);
        let path = source
            .filter(|s| s.handle != 0)
            .and_then(|s| sheet.block_paths.get(s.block_path as usize));
        (source.map(|s| s.handle), path.cloned(), *index)
    };
    order.sort_by_cached_key(key);
    if order.windows(2).all(|pair| pair.first() < pair.last()) {
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
