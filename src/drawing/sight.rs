//! What shows: layers, line styles, and what blocks take from their INSERT.

use super::definitions::{BY_BLOCK, BY_LAYER, CONTINUOUS, Definitions};
use super::shape::{Common, Item, Shape};

/// Layer and line style in force. What lies on layer 0 of a block takes the
/// layer of the INSERT; `ByBlock` takes its line style.
pub fn resolve(
    definitions: &Definitions,
    common: &Common,
    inherited: Option<(u32, u32)>,
) -> (u32, u32) {
    const LAYER_0: u32 = 0;
    let layer = match inherited {
        Some((layer, _)) if common.layer == LAYER_0 => layer,
        _ => common.layer,
    };
    let linetype = match (common.linetype, inherited) {
        (BY_LAYER, _) => definitions.layer(layer).linetype,
        (BY_BLOCK, Some((_, linetype))) => linetype,
        (BY_BLOCK, None) => CONTINUOUS,
        (own, _) => own,
    };
    (layer, linetype)
}

/// Why an item does not show, if it does not. A frozen layer hides an INSERT
/// with all it holds; a layer switched off hides only what lies on it.
pub fn unseen(definitions: &Definitions, item: &Item, layer: u32) -> Option<String> {
    if item.common.invisible {
        return Some("invisible".to_owned());
    }
    let name = definitions.layer_names.get(layer);
    if super::is_mark_layer(name) {
        return Some("marks of an earlier check".to_owned());
    }
    let state = definitions.layer(layer);
    let is_insert = matches!(item.shape, Shape::Insert(_));
    let is_window = matches!(item.shape, Shape::Viewport(_));
    let what = if state.frozen {
        "is frozen"
    } else if state.off && !is_insert && !is_window {
        "is switched off"
    } else if state.never_prints && !is_insert && !is_window {
        "never prints"
    } else {
        return None;
    };
    Some(format!("layer {} {what}", short(name)))
}

/// Names of any length fit into a sentence.
pub fn short(name: &str) -> &str {
    let end = name.char_indices().nth(80).map_or(name.len(), |(i, _)| i);
    name.get(..end).unwrap_or(name)
}
