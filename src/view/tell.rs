//! What texts, blocks, layers and the name of the file say of a view.

use super::build::{self, Label, Sketch, Told};
use super::names::Dictionary;
use super::titles::{self, Placed};
use super::{Title, ViewKind, runs};
use crate::drawing::Sheet;
use crate::linework::{self, RawSegment};
use crate::plain::file_name;
use geo::Coord;

/// Title, kind and cabinets of a view from texts, block, layer and file name, and
/// the names that stand at it. `alone`: it is the only view of its sheet.
pub(super) fn tell(
    sheet: &Sheet,
    sketch: &Sketch,
    placed: &[Placed],
    dictionary: &Dictionary,
    alone: bool,
) -> (Told, Vec<Label>) {
    let mut told = Told::default();
    let file = file_name(&sheet.file);
    let stem = file.rsplit_once('.').map_or(file, |(stem, _)| stem);
    for title in placed {
        let heading = &title.heading;
        if !told.settled
            && let Some(says) = heading.says
        {
            told.kind = titles::kind_of(says);
            told.kind_evidence = titles::evidence(title.origin, &heading.text, says);
            told.settled = true;
            if told.kind == ViewKind::End && titles::names_a_side(&heading.text) && bare(sketch) {
                told.kind = ViewKind::Unknown;
                told.kind_evidence = format!(
                    "'{}' may mean a view from the side or the side itself, and only an outline is drawn; a word such as ELEVATION in its title, or the job file, would tell",
                    heading.text
                );
            }
        }
        let as_title = || Title {
            text: heading.text.clone(),
            origin: title.origin.to_owned(),
        };
        if told.cabinets.is_empty() && !heading.names.is_empty() {
            told.cabinets = heading.names.iter().map(|f| f.name.clone()).collect();
            told.title = Some(as_title());
        }
        if told.title.is_none() && heading.says.is_some() {
            told.title = Some(as_title());
        }
    }
    let labels = labels(sheet, sketch, placed, dictionary);
    let mut sources = vec![
        (
            "block name",
            telling(sketch, dictionary, |id| build::block(sheet, id)),
        ),
        (
            "layer name",
            telling(sketch, dictionary, |id| build::layer(sheet, id)),
        ),
        ("file name", Some(stem)),
    ];
    if alone {
        // A file that holds one view is named after it; layers are for anything.
        sources.swap(1, 2);
    }
    for (origin, name) in sources {
        let Some(name) = name else { continue };
        let Some(heading) = titles::heading(name, [Coord::default(); 2], 0.0, dictionary) else {
            continue;
        };
        // A layer such as A-ELEV says what is on it only together with a name.
        let enough = origin != "layer name" || !heading.names.is_empty();
        let one_view = origin != "file name" || alone;
        if !told.settled
            && enough
            && one_view
            && let Some(says) = heading.says
        {
            told.kind = titles::kind_of(says);
            told.kind_evidence = titles::evidence(origin, name, says);
            told.settled = true;
        }
        if told.cabinets.is_empty() && !heading.names.is_empty() {
            told.cabinets = heading.names.iter().map(|f| f.name.clone()).collect();
            if told.title.is_none() {
                told.title = Some(Title {
                    text: name.to_owned(),
                    origin: origin.to_owned(),
                });
            }
        }
    }
    if labels.len() >= 2 {
        told.cabinets = labels.iter().map(|l| l.name.clone()).collect();
    }
    (told, labels)
}

/// Lines of an outline, with a notch in it.
const OUTLINE: usize = 6;

/// True when nothing is drawn but an outline.
fn bare(sketch: &Sketch) -> bool {
    let segments: Vec<RawSegment> = sketch
        .strokes
        .iter()
        .map(|s| RawSegment {
            a: s.a - sketch.bounds.min(),
            b: s.b - sketch.bounds.min(),
            hidden: false,
            source: 0,
        })
        .collect();
    let size = sketch.bounds.width().max(sketch.bounds.height());
    let work = linework::clean(&segments, 1e-4 * size);
    work.slanted.is_empty() && work.uprights.len() + work.levels.len() <= OUTLINE
}

/// The block or layer name that tells what a view is: the only one that names a
/// cabinet and a kind, or the one that all its strokes share.
fn telling<'a>(
    sketch: &Sketch,
    dictionary: &Dictionary,
    name: impl Fn(u32) -> &'a str,
) -> Option<&'a str> {
    let names = sketch.names(name);
    if let [one] = names.as_slice() {
        return Some(*one).filter(|n| !n.is_empty());
    }
    let full: Vec<&str> = names
        .into_iter()
        .filter(|n| {
            titles::heading(n, [Coord::default(); 2], 0.0, dictionary)
                .is_some_and(|h| h.says.is_some() && h.names.len() == 1 && h.rank >= 4)
        })
        .collect();
    match full.as_slice() {
        [one] => Some(one),
        _ => None,
    }
}

/// Single names that stand on a view or right below or above it, left to right;
/// else what several blocks or layers side by side are called.
fn labels(
    sheet: &Sheet,
    sketch: &Sketch,
    placed: &[Placed],
    dictionary: &Dictionary,
) -> Vec<Label> {
    let mut labels: Vec<Label> = placed
        .iter()
        .filter(|p| p.origin != "text beside the view")
        .filter_map(|p| match p.heading.names.as_slice() {
            [one] => Some(Label {
                name: one.name.clone(),
                at: p.heading.at,
            }),
            _ => None,
        })
        .collect();
    labels.sort_by(|p, q| {
        p.at.x
            .total_cmp(&q.at.x)
            .then(q.at.y.total_cmp(&p.at.y))
            .then(p.name.cmp(&q.name))
    });
    let mut seen = std::collections::BTreeSet::new();
    labels.retain(|l| seen.insert(l.name.clone()));
    if labels.len() >= 2 {
        return labels;
    }
    // CAD programs number blocks and layers: such a name counts as a cabinet's only
    // where the list has it or begins its own names so.
    let read = |text: &str| match dictionary.find_or_guess(text, true).as_slice() {
        [one] => Some(one.name.clone()),
        _ => None,
    };
    for by in [build::block as fn(&Sheet, u32) -> &str, build::layer] {
        let found = runs::labels_by(sketch, |id| by(sheet, id), read);
        if found.len() >= 2 {
            return found;
        }
    }
    labels
}
