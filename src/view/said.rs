//! What the job file says of single views. It goes before everything that is
//! recognised; a statement that fits no view is said to fit none.

use super::build::{self, Sketch, Told};
use super::flatten::{Flat, Stroke};
use super::titles::Placed;
use super::{Hints, Title, ViewHint, ViewKind};
use crate::drawing::Sheet;
use crate::plain::file_name;
use geo::Coord;
use std::collections::BTreeSet;

/// Everything the job file says of one view.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Said {
    kind: Option<(ViewKind, usize)>,
    cabinets: Option<(Vec<String>, usize)>,
    scale: Option<(f64, usize)>,
    units: Option<(crate::length::Unit, usize)>,
}

/// Statements about views, and which of them fitted one.
pub(super) struct Statements<'a> {
    views: &'a [ViewHint],
    fitted: BTreeSet<usize>,
}

impl<'a> Statements<'a> {
    pub fn new(hints: &'a Hints) -> Self {
        Statements {
            views: &hints.views,
            fitted: BTreeSet::new(),
        }
    }

    /// Statements about this sheet, with their places.
    fn about(&self, sheet: &Sheet) -> impl Iterator<Item = (usize, &'a ViewHint)> {
        let file = file_name(&sheet.file).to_lowercase();
        self.views
            .iter()
            .enumerate()
            .filter(move |(_, view)| match &view.file {
                Some(named) => file_name(named).to_lowercase() == file,
                None => true,
            })
    }

    /// Lines of a region become a view of their own, whatever they touch. A line
    /// that lies in two regions, where cabinets touch, belongs to both.
    pub fn part(&self, sheet: &Sheet, flat: &Flat, sketches: &mut Vec<Sketch>) {
        let mut regions: Vec<[f64; 4]> = self.about(sheet).filter_map(|(_, v)| v.region).collect();
        regions.sort_by(|a, b| a.partial_cmp(b).unwrap_or(std::cmp::Ordering::Equal));
        regions.dedup();
        if regions.is_empty() {
            return;
        }
        let within = |region: [f64; 4], stroke: &Stroke| {
            let middle = (stroke.a + stroke.b) / 2.0;
            inside(region, flat.to_drawing.apply(middle), 0.0)
        };
        let mut parts: Vec<Option<Sketch>> = regions.iter().map(|_| None).collect();
        for sketch in sketches.iter_mut() {
            sketch.strokes.retain(|stroke| {
                let mut stays = true;
                for (region, part) in regions.iter().zip(&mut parts) {
                    if !within(*region, stroke) {
                        continue;
                    }
                    stays = false;
                    match part {
                        Some(part) => part.strokes.push(*stroke),
                        None => *part = Some(Sketch::new(vec![*stroke], stroke.bounds())),
                    }
                }
                stays
            });
        }
        sketches.extend(parts.into_iter().flatten());
        sketches.retain_mut(|sketch| match build::bounds(&sketch.strokes) {
            Some(bounds) => {
                sketch.bounds = bounds;
                true
            }
            None => false,
        });
    }

    /// What is said of a view; the more exactly a statement points at it, the
    /// more it counts.
    pub fn of(
        &mut self,
        sheet: &Sheet,
        flat: &Flat,
        sketch: &Sketch,
        placed: &[Placed],
    ) -> Option<Said> {
        let mut about: Vec<(usize, &ViewHint)> = self
            .about(sheet)
            .filter(|(_, view)| fits(view, sheet, flat, sketch, placed))
            .collect();
        about.sort_by_key(|(_, view)| (view.region.is_some(), view.title.is_some()));
        let mut said = Said::default();
        for (place, view) in &about {
            self.fitted.insert(*place);
            let line = view.line;
            said.kind = view.kind.map(|kind| (kind, line)).or(said.kind);
            said.scale = view.scale.map(|scale| (scale, line)).or(said.scale);
            said.units = view.units.map(|unit| (unit, line)).or(said.units);
            if !view.cabinets.is_empty() {
                said.cabinets = Some((view.cabinets.clone(), line));
            }
        }
        (!about.is_empty()).then_some(said)
    }

    /// A sentence for each statement that fitted no view of any sheet, with the
    /// sheet it names.
    pub fn idle(&self, sheets: &[Sheet]) -> Vec<(usize, String)> {
        let idle = self
            .views
            .iter()
            .enumerate()
            .filter(|(place, _)| !self.fitted.contains(place));
        idle.map(|(_, view)| {
            let named = view.file.as_deref().map(file_name).map(str::to_lowercase);
            let sheet = sheets
                .iter()
                .position(|sheet| Some(file_name(&sheet.file).to_lowercase()) == named);
            let why = match (&named, sheet) {
                (Some(_), None) => "no drawing of the job has that file name",
                _ => "nothing drawn fits it",
            };
            (
                sheet.unwrap_or(0),
                format!(
                    "the view described in the job file, line {}, was not found: {why}",
                    view.line
                ),
            )
        })
        .collect()
    }
}

impl Said {
    /// The hints of the job with this view's own scale and unit in their place.
    pub fn hints(&self, hints: &Hints) -> Option<Hints> {
        if self.scale.is_none() && self.units.is_none() {
            return None;
        }
        let who = |line: usize| format!("job file line {line}");
        let mut own = Hints {
            units: hints.units.clone(),
            scale: hints.scale.clone(),
            ..Hints::default()
        };
        if let Some((unit, line)) = self.units {
            own.units = Some((unit, who(line)));
        }
        if let Some((scale, line)) = self.scale {
            own.scale = Some((scale, who(line)));
        }
        Some(own)
    }

    /// Puts kind and cabinets in the place of what was recognised.
    pub fn tell(&self, sketch: &mut Sketch) {
        let who = |line: usize| format!("job file line {line}");
        if let Some((kind, line)) = self.kind {
            sketch.told.kind = kind;
            sketch.told.kind_evidence = format!("{} says so", who(line));
            sketch.told.settled = true;
        }
        let Some((cabinets, line)) = &self.cabinets else {
            return;
        };
        sketch.given = true;
        if sketch.told.title.is_none() {
            sketch.told.title = Some(Title {
                text: cabinets.join(", "),
                origin: who(*line),
            });
        }
        sketch.told.cabinets.clone_from(cabinets);
        if cabinets.len() < 2 {
            sketch.labels.clear();
            return;
        }
        // Names that stand on it tell where each cabinet is.
        sketch.labels.retain(|label| cabinets.contains(&label.name));
        let standing: BTreeSet<&str> = sketch.labels.iter().map(|l| l.name.as_str()).collect();
        if standing.len() < cabinets.len() {
            sketch.labels.clear();
            sketch.told = Told {
                kind_evidence: format!(
                    "{} names several cabinets here, but nothing tells where one ends; \
                     give each a [[view]] of its own with its region",
                    who(*line)
                ),
                settled: true,
                ..Told::default()
            };
        }
    }
}

fn inside(region: [f64; 4], at: Coord<f64>, slack: f64) -> bool {
    let [left, bottom, right, top] = region;
    let (x, y) = (slack * (right - left).abs(), slack * (top - bottom).abs());
    (left - x..=right + x).contains(&at.x) && (bottom - y..=top + y).contains(&at.y)
}

fn fits(view: &ViewHint, sheet: &Sheet, flat: &Flat, sketch: &Sketch, placed: &[Placed]) -> bool {
    if let Some(region) = view.region {
        let corners = [sketch.bounds.min(), sketch.bounds.max()];
        let within = |corner: &Coord<f64>| inside(region, flat.to_drawing.apply(*corner), 0.02);
        if !corners.iter().all(within) {
            return false;
        }
    }
    let Some(title) = &view.title else {
        return true;
    };
    let plain = |text: &str| {
        text.split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .to_lowercase()
    };
    let wanted = plain(title);
    placed.iter().any(|p| plain(&p.heading.text) == wanted)
        || sketch.texts.iter().any(|&text| {
            flat.texts
                .get(text)
                .is_some_and(|t| plain(&t.text) == wanted)
        })
        || [build::block as fn(&Sheet, u32) -> &str, build::layer]
            .into_iter()
            .any(|by| {
                // Of several blocks or layers none names the whole.
                matches!(sketch.names(|id| by(sheet, id)).as_slice(), [one] if plain(one) == wanted)
            })
}

#[cfg(test)]
mod tests {
    use super::super::sample::Draft;
    use super::super::{Reading, Scale, View, find};
    use super::*;
    use crate::length::Unit;

    fn hint(line: usize) -> ViewHint {
        ViewHint {
            line,
            ..ViewHint::default()
        }
    }

    fn read(draft: Draft, views: Vec<ViewHint>, names: &[&str]) -> Reading {
        let hints = Hints {
            names: names.iter().map(|n| (*n).to_owned()).collect(),
            views,
            ..Hints::default()
        };
        find(&mut [draft.sheet()], &hints)
    }

    fn two_cases() -> Draft {
        Draft::new("rooms/job.dxf")
            .units(1)
            .case(0.0, 0.0, 36.0, 34.5, 0.75)
            .text("B1 FRONT", 10.0, -4.0, 1.5)
            .case(60.0, 0.0, 24.0, 34.5, 0.75)
    }

    fn told(view: &View) -> (ViewKind, Vec<&str>) {
        (
            view.kind,
            view.cabinets.iter().map(String::as_str).collect(),
        )
    }

    #[test]
    fn a_region_names_what_nothing_else_does() {
        let region = ViewHint {
            file: Some("JOB.dxf".to_owned()),
            region: Some([55.0, -1.0, 90.0, 36.0]),
            kind: Some(ViewKind::Section),
            cabinets: vec!["B2".to_owned()],
            ..hint(4)
        };
        let reading = read(two_cases(), vec![region], &["B1", "B2"]);
        assert_eq!(told(&reading.views[0]), (ViewKind::Front, vec!["B1"]));
        assert_eq!(told(&reading.views[1]), (ViewKind::Section, vec!["B2"]));
        assert_eq!(reading.views[1].kind_evidence, "job file line 4 says so");
        assert!(reading.conflicts.is_empty(), "{:?}", reading.conflicts);
    }

    #[test]
    fn a_title_finds_its_view_and_is_overruled() {
        let title = ViewHint {
            title: Some("b1  front".to_owned()),
            kind: Some(ViewKind::End),
            cabinets: vec!["B2".to_owned()],
            ..hint(1)
        };
        let reading = read(two_cases(), vec![title], &["B1", "B2"]);
        assert_eq!(told(&reading.views[0]), (ViewKind::End, vec!["B2"]));
        assert_eq!(reading.views[0].title.as_ref().unwrap().text, "B1 FRONT");
    }

    #[test]
    fn regions_part_views_that_touch() {
        let draft = Draft::new("job.dxf")
            .units(4)
            .rect(0.0, 0.0, 600.0, 720.0)
            .rect(600.0, 0.0, 560.0, 720.0);
        let region = |name: &str, left: f64, right: f64, line| ViewHint {
            region: Some([left, -10.0, right, 730.0]),
            kind: Some(ViewKind::Front),
            cabinets: vec![name.to_owned()],
            ..hint(line)
        };
        let views = vec![
            region("K1", -10.0, 601.0, 1),
            region("K2", 599.0, 1170.0, 2),
        ];
        let reading = read(draft, views, &["K1", "K2"]);
        let seen: Vec<_> = reading
            .views
            .iter()
            .map(|view| (view.cabinets.join(" "), view.extents.width().round()))
            .collect();
        assert_eq!(seen, [("K1".to_owned(), 600.0), ("K2".to_owned(), 560.0)]);
    }

    #[test]
    fn a_view_may_have_a_scale_and_a_unit_of_its_own() {
        let own = ViewHint {
            region: Some([55.0, -1.0, 90.0, 36.0]),
            scale: Some(12.0),
            units: Some(Unit::Millimetre),
            ..hint(9)
        };
        let reading = read(two_cases(), vec![own], &["B1"]);
        let mm = |view: &View| match &view.scale {
            Scale::Known { mm_per_unit, .. } => *mm_per_unit,
            Scale::Unknown { reason } => panic!("{reason}"),
        };
        assert_eq!(mm(&reading.views[0]), 25.4);
        assert_eq!(mm(&reading.views[1]), 12.0);
    }

    #[test]
    fn what_fits_no_view_is_said() {
        let nowhere = ViewHint {
            region: Some([1000.0, 0.0, 1100.0, 50.0]),
            ..hint(3)
        };
        let no_file = ViewHint {
            file: Some("other.dxf".to_owned()),
            ..hint(7)
        };
        let reading = read(two_cases(), vec![nowhere, no_file], &["B1"]);
        let said: Vec<_> = reading.conflicts.iter().map(|(_, said)| &**said).collect();
        assert_eq!(
            said,
            [
                "the view described in the job file, line 3, was not found: nothing drawn fits it",
                "the view described in the job file, line 7, was not found: \
                 no drawing of the job has that file name",
            ]
        );
    }

    #[test]
    fn several_cabinets_need_something_that_tells_them_apart() {
        let both = ViewHint {
            region: Some([-1.0, -5.0, 40.0, 36.0]),
            cabinets: vec!["B1".to_owned(), "B2".to_owned()],
            ..hint(2)
        };
        let reading = read(two_cases(), vec![both], &["B1", "B2"]);
        let view = &reading.views[0];
        assert_eq!(told(view), (ViewKind::Unknown, vec![]));
        assert!(view.kind_evidence.contains("of its own with its region"));
    }
}
