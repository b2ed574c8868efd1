//! The scale of each view, and what the sheets of a job say of it together.

use super::build::Sketch;
use super::flatten::{Flat, Stroke};
use super::notes::{self, ScaleNote};
use super::plausible::Look;
use super::read::Page;
use super::said::Said;
use super::scale::{self, Facts};
use super::titles::Placed;
use super::witness::{Witness, agreements};
use super::{Hints, Scale};
use crate::drawing::Sheet;
use crate::plain::{file_name, in_parallel};
use geo::Rect;
use std::collections::BTreeMap;

/// Decides the worth of a unit for the sheet, and for views at another scale;
/// gives the contradictions met.
pub(super) fn scales(
    sheet: &Sheet,
    flat: &Flat,
    hints: &Hints,
    sketches: &mut [Sketch],
    placed: &[Vec<Placed>],
    said: &[Option<Said>],
) -> Vec<String> {
    let look = Look::at(strokes(sketches));
    let all: Vec<Witness> = flat.dimensions.iter().filter_map(Witness::of).collect();
    let notes_of = |text: &str| notes::scale_note(text).map(|n| (n, text.trim().to_owned()));
    let unit_note = flat
        .texts
        .iter()
        .find_map(|t| notes::unit_note(&t.text).map(|u| (u, t.text.clone())));
    let cabinets = named(sketches.iter());
    let judge = |hints: &Hints, witnesses, notes, look: &Look| {
        Facts {
            hints,
            header: scale::header_code(sheet),
            imperial_format: scale::imperial_format(sheet),
            witnesses,
            notes,
            unit_note: unit_note.clone(),
            silent: flat.texts.is_empty() && flat.dimensions.is_empty(),
            cabinets: &cabinets,
            look,
        }
        .judge()
    };
    let facts = |witnesses: Vec<Witness>, notes: Vec<(ScaleNote, String)>, look: &Look| {
        judge(hints, witnesses, notes, look)
    };
    let sheet_notes = in_parallel(&flat.texts, |t| notes_of(&t.text));
    let sheet_notes: Vec<(ScaleNote, String)> = sheet_notes.into_iter().flatten().collect();
    let whole = facts(all.clone(), sheet_notes.clone(), &look);
    let mut conflicts = whole.conflicts;
    let common = agreements(&all).first().map(|a| a.ratio);
    for ((sketch, placed), said) in sketches.iter_mut().zip(placed).zip(said) {
        let own: Vec<Witness> = sketch
            .dimensions
            .iter()
            .filter_map(|&d| flat.dimensions.get(d))
            .filter_map(Witness::of)
            .collect();
        let own_notes: Vec<(ScaleNote, String)> = placed
            .iter()
            .filter_map(|p| notes_of(&p.heading.text))
            .collect();
        let ratio = agreements(&own)
            .first()
            .filter(|a| a.count >= 2)
            .map(|a| a.ratio);
        let differs = match (ratio, common) {
            (Some(own), Some(common)) => (own / common - 1.0).abs() > 0.01,
            _ => false,
        };
        let other_note = !own_notes.is_empty()
            && own.is_empty()
            && sheet_notes
                .iter()
                .any(|n| own_notes.iter().all(|o| o.0 != n.0));
        if let Some(hints) = said.as_ref().and_then(|said| said.hints(hints)) {
            let look = Look::at(std::iter::once((sketch.strokes.as_slice(), sketch.bounds)));
            let verdict = judge(&hints, own, own_notes, &look);
            sketch.scale = verdict.scale;
            conflicts.extend(verdict.conflicts);
        } else if differs || other_note {
            let look = Look::at(std::iter::once((sketch.strokes.as_slice(), sketch.bounds)));
            let verdict = facts(own, own_notes, &look);
            sketch.scale = verdict.scale;
            conflicts.extend(verdict.conflicts);
        } else {
            sketch.scale = whole.scale.clone();
        }
    }
    conflicts.dedup();
    conflicts
}

/// The cabinets that the titles name, each once, where every view has a name.
fn named<'a>(sketches: impl Iterator<Item = &'a Sketch>) -> Vec<String> {
    let mut names = Vec::new();
    for sketch in sketches {
        if sketch.told.cabinets.is_empty() {
            return Vec::new();
        }
        names.extend(sketch.told.cabinets.iter().cloned());
    }
    names.sort();
    names.dedup();
    names
}

/// What sheets without dimensions that are drawn alike have in common: the unit their
/// headers give and their scale notes, in order.
type Alike = (Option<i64>, Vec<String>);

fn alike(sheet: &Sheet, page: &Page) -> Option<Alike> {
    if !page.flat.dimensions.is_empty() {
        return None;
    }
    let texts = page.flat.texts.iter();
    let mut notes: Vec<String> = texts
        .filter_map(|text| notes::scale_note(&text.text).map(|note| format!("{note:?}")))
        .collect();
    notes.sort();
    notes.dedup();
    Some((scale::header_code(sheet), notes))
}

/// Sheets of the same cabinets, drawn alike, of which none tells its scale: the one at which
/// the sizes of the list are drawn on them together, if it is that of each of them.
pub(super) fn scales_by_list(sheets: &[Sheet], hints: &Hints, pages: &mut [Page]) {
    let mut groups: BTreeMap<(Alike, Vec<String>), Vec<usize>> = BTreeMap::new();
    for (index, (sheet, page)) in sheets.iter().zip(pages.iter()).enumerate() {
        let open = |sketch: &Sketch| matches!(sketch.scale, Scale::Unknown { .. });
        let told = !page.flat.texts.is_empty();
        if told
            && !page.sketches.is_empty()
            && page.sketches.iter().all(open)
            && let Some(key) = alike(sheet, page)
        {
            let cabinets = named(page.sketches.iter());
            groups.entry((key, cabinets)).or_default().push(index);
        }
    }
    for ((_, cabinets), group) in groups {
        if group.len() < 2 {
            continue;
        }
        let looks: Vec<Look> = group
            .iter()
            .map(|&at| Look::at(strokes(&pages[at].sketches)))
            .collect();
        let looks: Vec<&Look> = looks.iter().collect();
        let worths = scale::usual_worths();
        let Some(listed) = super::listed::worth(&looks, &hints.sizes, &cabinets, worths) else {
            continue;
        };
        for at in group {
            for sketch in &mut pages[at].sketches {
                sketch.scale = Scale::Known {
                    mm_per_unit: listed.mm,
                    evidence: vec![listed.sentence()],
                };
            }
        }
    }
}

/// Lines and extents of views, to look at.
fn strokes(sketches: &[Sketch]) -> impl Iterator<Item = (&[Stroke], Rect<f64>)> {
    sketches.iter().map(|s| (s.strokes.as_slice(), s.bounds))
}

/// Sheets without dimensions whose headers and scale notes say the same are drawn alike:
/// where their looks make different scales of that, none of them is sure.
pub(super) fn doubt_unequal_scales(sheets: &[Sheet], pages: &mut [Page]) {
    let mut groups: BTreeMap<Alike, Vec<usize>> = BTreeMap::new();
    for (index, (sheet, page)) in sheets.iter().zip(pages.iter()).enumerate() {
        if let Some(key) = alike(sheet, page).filter(|key| !key.1.is_empty()) {
            groups.entry(key).or_default().push(index);
        }
    }
    let worth = |page: &Page| -> Vec<f64> {
        let sketches = page.sketches.iter();
        sketches
            .filter_map(|sketch| match sketch.scale {
                Scale::Known { mm_per_unit, .. } => Some(mm_per_unit),
                Scale::Unknown { .. } => None,
            })
            .collect()
    };
    for group in groups.into_values() {
        let all: Vec<f64> = group.iter().flat_map(|&at| worth(&pages[at])).collect();
        if all
            .windows(2)
            .all(|pair| (pair[0] / pair[1] - 1.0).abs() < 1e-6)
        {
            continue;
        }
        for at in group {
            for sketch in &mut pages[at].sketches {
                sketch.scale = Scale::Unknown {
                    reason: "drawings of this job whose units and scale notes say the same look as if drawn at different scales; give the scale with --scale or in the job file".to_owned(),
                };
            }
        }
    }
}

/// A sheet whose header alone gives its scale, and no dimension bears that out, is as little
/// sure as that header, where the dimensions of another sheet of the job with the same one
/// make something else of it.
pub(super) fn doubt_headers(sheets: &[Sheet], pages: &mut [Page]) {
    let claimed = |sheet: &Sheet| {
        let code = scale::header_code(sheet)?;
        Some((code, scale::header_unit(code)?.0))
    };
    let mut wrong: BTreeMap<i64, &str> = BTreeMap::new();
    for (sheet, page) in sheets.iter().zip(pages.iter()) {
        let Some((code, mm)) = claimed(sheet) else {
            continue;
        };
        let measured = page
            .flat
            .dimensions
            .iter()
            .any(|d| Witness::of(d).is_some());
        let differs = page.sketches.iter().any(|sketch| {
            matches!(sketch.scale, Scale::Known { mm_per_unit, .. } if (mm_per_unit / mm - 1.0).abs() > 1e-3)
        });
        if measured && differs {
            let file = file_name(&sheet.file);
            wrong.entry(code).or_insert(file);
        }
    }
    for (sheet, page) in sheets.iter().zip(pages.iter_mut()) {
        let Some((file, mm)) = claimed(sheet).and_then(|(code, mm)| Some((wrong.get(&code)?, mm)))
        else {
            continue;
        };
        let mut witnesses = page.flat.dimensions.iter().filter_map(Witness::of);
        if witnesses.any(|witness| bears_out(&witness, mm)) {
            continue;
        }
        for sketch in &mut page.sketches {
            let alone = matches!(
                &sketch.scale,
                Scale::Known { mm_per_unit, evidence }
                    if (mm_per_unit / mm - 1.0).abs() < 1e-9 && evidence.len() == 1
            );
            if alone {
                sketch.scale = Scale::Unknown {
                    reason: format!(
                        "nothing but its header tells the unit, and in {file} the dimensions show another than the same header says; give the scale with --scale or in the job file"
                    ),
                };
            }
        }
    }
}

/// True when what a dimension shows is, in some unit, what is drawn at full size in a unit
/// of `mm`.
fn bears_out(witness: &Witness, mm: f64) -> bool {
    let near = witness.spread().max(1e-3);
    scale::UNITS
        .iter()
        .any(|unit| (witness.ratio() * unit.mm() / mm - 1.0).abs() <= near)
}

/// A view of unknown scale takes that of another view of the same cabinet in
/// the job when one of its sides is as long there: same drawing, same units.
pub(super) fn scales_by_equal_sizes(sheets: &[Sheet], pages: &mut [Page]) {
    struct Known {
        cabinets: Vec<String>,
        sides: [f64; 2],
        header: Option<i64>,
        mm: f64,
        what: String,
    }
    let mut known: BTreeMap<Vec<String>, Vec<Known>> = BTreeMap::new();
    for (sheet, page) in sheets.iter().zip(pages.iter()) {
        for sketch in &page.sketches {
            if let Scale::Known { mm_per_unit, .. } = sketch.scale
                && !sketch.told.cabinets.is_empty()
            {
                let file = file_name(&sheet.file);
                known
                    .entry(sketch.told.cabinets.clone())
                    .or_default()
                    .push(Known {
                        cabinets: sketch.told.cabinets.clone(),
                        sides: [sketch.bounds.width(), sketch.bounds.height()],
                        header: scale::header_code(sheet),
                        mm: mm_per_unit,
                        what: file.to_owned(),
                    });
            }
        }
    }
    for (sheet, page) in sheets.iter().zip(pages) {
        let header = scale::header_code(sheet);
        for sketch in &mut page.sketches {
            if !matches!(sketch.scale, Scale::Unknown { .. }) {
                continue;
            }
            let sides = [sketch.bounds.width(), sketch.bounds.height()];
            let hits: Vec<&Known> = known
                .get(&sketch.told.cabinets)
                .into_iter()
                .flatten()
                .filter(|k| k.header == header)
                .filter(|k| {
                    sides
                        .iter()
                        .any(|a| k.sides.iter().any(|b| (a - b).abs() <= 2e-3 * a.max(*b)))
                })
                .collect();
            let agreed = hits.windows(2).all(|pair| pair[0].mm == pair[1].mm);
            if let Some(first) = hits.first().filter(|_| agreed) {
                sketch.scale = Scale::Known {
                    mm_per_unit: first.mm,
                    evidence: vec![format!(
                        "one side is as long as in another view of {} ({}), whose scale is known",
                        first.cabinets.join(", "),
                        first.what
                    )],
                };
            }
        }
    }
}
