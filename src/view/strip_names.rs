//! What the drawing itself calls a strip beside a case: the layer or the block it is
//! drawn on, or a text beside it. Hearsay, for where lines alone do not tell.

use super::flatten::Flat;
use super::{StripName, build};
use crate::drawing::Sheet;
use crate::linework::RawSegment;
use crate::trade::Role;
use geo::{Coord, Rect};
use std::collections::BTreeMap;

/// Farthest a text stands from the view it belongs to, as a share of its width.
const REACH: f64 = 0.75;

/// What the layers and blocks of a sheet call what is drawn on them, each in the order
/// of the sheet.
pub(super) struct Called {
    layers: Vec<Option<Role>>,
    blocks: Vec<Option<Role>>,
}

impl Called {
    pub(super) fn by(sheet: &Sheet) -> Self {
        let all = |names: &[String]| names.iter().map(|name| called(name)).collect();
        Self {
            layers: all(&sheet.layers),
            blocks: all(&sheet.block_paths),
        }
    }

    fn any(&self) -> bool {
        self.layers.iter().chain(&self.blocks).any(Option::is_some)
    }

    /// The name and part of what a source is drawn on, the layer first.
    fn of<'a>(&self, sheet: &'a Sheet, source: u32) -> Option<(&'a str, Role)> {
        let drawn = sheet.sources.get(source as usize)?;
        let role = |all: &[Option<Role>], at: u32| all.get(at as usize).copied().flatten();
        role(&self.layers, drawn.layer)
            .map(|role| (build::layer(sheet, source), role))
            .or_else(|| {
                role(&self.blocks, drawn.block_path).map(|role| (build::block(sheet, source), role))
            })
    }
}

/// The strips whose outlines are drawn on a layer or in a block that names them.
pub(super) fn outlines(sheet: &Sheet, called: &Called, lines: &[RawSegment]) -> Vec<StripName> {
    if !called.any() {
        return Vec::new();
    }
    let mut boxes: BTreeMap<(&str, Role), Vec<Rect<f64>>> = BTreeMap::new();
    for line in lines {
        if let Some(name) = called.of(sheet, line.source) {
            let own = Rect::new(line.a, line.b);
            boxes.entry(name).or_default().push(own);
        }
    }
    let apart = boxes.into_iter().flat_map(|((name, role), boxes)| {
        apart(boxes).into_iter().map(move |at| StripName {
            role,
            word: name.to_owned(),
            at,
            outline: true,
        })
    });
    apart.collect()
}

/// Texts that name strips, by the view nearest to them.
pub(super) fn texts(flat: &Flat, views: &[Rect<f64>]) -> BTreeMap<usize, Vec<usize>> {
    let mut out: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (index, text) in flat.texts.iter().enumerate() {
        if called(&text.text).is_none() {
            continue;
        }
        let away = |r: &Rect<f64>| {
            let dx = (r.min().x - text.at.x).max(text.at.x - r.max().x).max(0.0);
            let dy = (r.min().y - text.at.y).max(text.at.y - r.max().y).max(0.0);
            dx.hypot(dy)
        };
        let nearest = views
            .iter()
            .enumerate()
            .min_by(|a, b| away(a.1).total_cmp(&away(b.1)));
        if let Some((view, own)) = nearest
            && away(own) <= REACH * own.width()
        {
            out.entry(view).or_default().push(index);
        }
    }
    out
}

/// A text that names a strip, where it begins in its view.
pub(super) fn text(text: &str, at: Coord<f64>) -> Option<StripName> {
    Some(StripName {
        role: called(text)?,
        word: text.to_owned(),
        at: Rect::new(at, at),
        outline: false,
    })
}

/// The boxes that stand apart across, each as one.
fn apart(mut boxes: Vec<Rect<f64>>) -> Vec<Rect<f64>> {
    boxes.sort_by(|a, b| a.min().x.total_cmp(&b.min().x));
    let mut out: Vec<Rect<f64>> = Vec::new();
    for own in boxes {
        match out.last_mut() {
            Some(last) if own.min().x <= last.max().x + 1.0 => {
                *last = Rect::new(
                    Coord {
                        x: last.min().x,
                        y: last.min().y.min(own.min().y),
                    },
                    Coord {
                        x: last.max().x.max(own.max().x),
                        y: last.max().y.max(own.max().y),
                    },
                );
            }
            _ => out.push(own),
        }
    }
    out
}

/// The part a text, a layer or a block calls a strip.
fn called(text: &str) -> Option<Role> {
    let upper = text.to_uppercase();
    let words: Vec<&str> = upper
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    // A sentence of a note names nothing.
    if words.len() > 4 {
        return None;
    }
    let has = |word: &str| words.contains(&word);
    let pair = |a: &[&str], b: &[&str]| {
        words
            .windows(2)
            .any(|pair| a.contains(&pair[0]) && b.contains(&pair[1]))
    };
    let filler = ["FILLER", "FILLERS", "SCRIBE", "SCRIBES"]
        .iter()
        .any(|word| has(word));
    let ends = ["END", "ENDS", "FINISHED", "FIN"];
    let panels = ["PANEL", "PANELS", "PNL", "END", "ENDS"];
    match (filler, pair(&ends, &panels)) {
        (true, false) => Some(Role::Filler),
        (false, true) => Some(Role::EndPanel),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strips_are_called_by_the_trades_words() {
        for (text, role) in [
            ("FILLER", Some(Role::Filler)),
            ("3\" filler", Some(Role::Filler)),
            ("A-CAB-FILLERS", Some(Role::Filler)),
            ("scribe", Some(Role::Filler)),
            ("END PANEL", Some(Role::EndPanel)),
            ("fin. end", Some(Role::EndPanel)),
            ("FINISHED END PANEL", Some(Role::EndPanel)),
            // Neither, or both.
            ("END ELEVATION", None),
            ("B1 RIGHT END", None),
            ("PANEL", None),
            ("FILLER OR END PANEL", None),
            ("SEE NOTE 4 FOR FILLERS AND SCRIBES", None),
        ] {
            assert_eq!(called(text), role, "{text}");
        }
    }
}
