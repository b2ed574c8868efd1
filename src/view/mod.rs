//! Sheets to views: which lines belong together, what they show (front, end,
//! section, plan, flat part), of which cabinet, and at what scale, with the
//! evidence. Knows nothing of cut lists beyond a dictionary of cabinet names, and sizes
//! to know a scale by that nothing in the drawing tells.

mod aligned;
mod annotation;
mod build;
mod cluster;
mod cuts;
mod divide;
mod doubts;
mod flatten;
mod fragments;
mod frame;
mod hand_out;
mod index;
mod kinds;
mod listed;
mod looks;
mod names;
mod notes;
mod parted;
mod past;
mod plausible;
mod read;
mod runs;
mod said;
mod scale;
mod seams;
mod sets;
mod stacked;
mod straight;
mod strip_names;
mod tell;
mod titles;
mod tokens;
mod unnamed;
mod view_scales;
mod walls;
mod whole;
mod witness;
mod words;

use crate::linework::Linework;
use geo::{AffineTransform, Coord, Rect};
use std::collections::BTreeMap;

/// Index into the list of views of a job.
pub type ViewId = usize;

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ViewKind {
    /// Seen from the front: right is cabinet x, up is z.
    Front,
    /// Seen from a side: horizontal is cabinet y, up is z.
    End,
    /// Cut across the width: horizontal is cabinet y, up is z.
    Section,
    /// Seen from above (or cut level): horizontal is x, vertical is y.
    Plan,
    /// One part's outline, with its name.
    FlatPart,
    Unknown,
}

/// The plane of the drawing's world a view is drawn in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Plane {
    /// Flat, as drawings are.
    #[default]
    Xy,
    /// Upright in space: drawing x to the right, drawing z up.
    Xz,
    /// Upright in space: drawing y to the right, drawing z up.
    Yz,
}

impl Plane {
    /// A point's place in the plane.
    pub fn flatten(self, p: crate::drawing::Point) -> Coord<f64> {
        let [x, y, z] = p;
        match self {
            Plane::Xy => Coord { x, y },
            Plane::Xz => Coord { x, y: z },
            Plane::Yz => Coord { x: y, y: z },
        }
    }

    /// How far a point stands out of the plane.
    pub fn depth(self, p: crate::drawing::Point) -> f64 {
        let [x, y, z] = p;
        match self {
            Plane::Xy => z,
            Plane::Xz => y,
            Plane::Yz => x,
        }
    }
}

/// What the view shows, and how that is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Title {
    /// The text, block, layer or file name it was read from, as written.
    pub text: String,
    /// Plain words: "text below the view", "block name", "file name", "job file".
    pub origin: String,
}

/// How much a drawing unit is worth here.
#[derive(Clone, Debug, PartialEq)]
pub enum Scale {
    /// `mm_per_unit` converts drawing units to true millimetres.
    Known {
        mm_per_unit: f64,
        evidence: Vec<String>,
    },
    /// Nothing fixes it; the view is not checked.
    Unknown { reason: String },
}

/// A dimension or dimension-like text inside a view, true millimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct ViewDimension {
    pub from: Coord<f64>,
    pub to: Coord<f64>,
    /// True: measures along x; false: along y; `None`: aligned to something else.
    pub level: Option<bool>,
    /// Distance between the points along the measured direction, millimetres.
    pub measured_mm: f64,
    /// The typed text, as written, when there is one.
    pub text: Option<String>,
    pub source: u32,
}

/// A circle or arc in view coordinates, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ViewArc {
    pub centre: Coord<f64>,
    pub radius: f64,
    pub full: bool,
    pub hidden: bool,
    pub source: u32,
}

#[derive(Clone, Debug, PartialEq)]
pub struct ViewText {
    pub text: String,
    pub at: Coord<f64>,
    pub height_mm: f64,
    pub source: u32,
}

/// What a drawing calls a filler or an end panel, and where, view millimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct StripName {
    pub role: crate::trade::Role,
    /// The layer, block or text, as written.
    pub word: String,
    pub at: Rect<f64>,
    /// The rectangle is that of the lines drawn under the name; else where a text begins.
    pub outline: bool,
}

/// One view in its own upright frame, true millimetres, lower left corner of
/// its linework at the origin.
#[derive(Clone, Debug)]
pub struct View {
    /// Index into the job's sheets.
    pub sheet: usize,
    pub kind: ViewKind,
    /// How `kind` is known, in plain words.
    pub kind_evidence: String,
    pub title: Option<Title>,
    /// Cabinets shown, in order from left to right for a run; the names are
    /// spelled as in the dictionary where they were found there.
    pub cabinets: Vec<String>,
    pub scale: Scale,
    pub linework: Linework,
    pub texts: Vec<ViewText>,
    pub arcs: Vec<ViewArc>,
    pub dimensions: Vec<ViewDimension>,
    /// Strips beside a case that the drawing names.
    pub strips: Vec<StripName>,
    /// Extents of the linework, millimetres.
    pub extents: Rect<f64>,
    /// Maps view millimetres back to drawing units in `plane`, for marking up the
    /// drawing.
    pub to_drawing: AffineTransform<f64>,
    /// The plane of the drawing's world the view is drawn in.
    pub plane: Plane,
    /// True when at least one edge in the view is known to be a hidden edge:
    /// then the absence of a hidden line means something.
    pub shows_hidden: bool,
}

impl View {
    /// Left, bottom, right and top of the rectangle round the view, drawing units:
    /// with a little room, so that rounding leaves no line out.
    pub fn region(&self) -> [f64; 4] {
        let (low, high) = (self.extents.min(), self.extents.max());
        let corners = [
            (low.x, low.y),
            (high.x, high.y),
            (low.x, high.y),
            (high.x, low.y),
        ];
        let placed = corners.map(|(x, y)| self.to_drawing.apply(Coord { x, y }));
        let least =
            |of: fn(&Coord<f64>) -> f64| placed.iter().map(of).fold(f64::INFINITY, f64::min);
        let most =
            |of: fn(&Coord<f64>) -> f64| placed.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
        let [left, bottom, right, top] = [
            least(|at| at.x),
            least(|at| at.y),
            most(|at| at.x),
            most(|at| at.y),
        ];
        let room = 0.002 * (right - left).max(top - bottom);
        [left - room, bottom - room, right + room, top + room]
    }
}

/// What is known beforehand, from the call, the job file and the list's names.
#[derive(Clone, Debug, Default)]
pub struct Hints {
    /// Cabinet names to look for, as the list and the job file write them.
    pub names: Vec<String>,
    /// Lengths and widths of the list's rows: a drawing that says nothing of its scale is
    /// drawn at the one at which they are met.
    pub sizes: Vec<ListedSize>,
    /// Millimetres for one drawing unit at full scale, when the user says.
    pub units: Option<(crate::length::Unit, String)>,
    /// True length over drawn length, when the user says (1:12 is 12), and who said so.
    pub scale: Option<(f64, String)>,
    /// Views named by the job file.
    pub views: Vec<ViewHint>,
}

/// A length or width of a row of the list.
#[derive(Clone, Debug, PartialEq)]
pub struct ListedSize {
    /// The cabinets of the row, as the list writes them.
    pub cabinets: Vec<String>,
    pub mm: f64,
}

/// A view as the job file describes it. Empty fields mean "as recognised".
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ViewHint {
    /// Drawing file name (last component is enough).
    pub file: Option<String>,
    /// Region in drawing units: left, bottom, right, top.
    pub region: Option<[f64; 4]>,
    /// Title text, block or layer the view is known by.
    pub title: Option<String>,
    pub kind: Option<ViewKind>,
    pub cabinets: Vec<String>,
    pub scale: Option<f64>,
    pub units: Option<crate::length::Unit>,
    /// 1-based line in the job file.
    pub line: usize,
}

/// What became of a group of lines that is not a view of a cabinet.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftOut {
    pub sheet: usize,
    /// "sheet border", "dimension lines", "nothing names it", ...
    pub reason: String,
    pub primitives: usize,
    /// Where, in drawing units.
    pub extents: Option<Rect<f64>>,
}

/// Cabinets drawn side by side as one, each of which has a view of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    pub sheet: usize,
    pub kind: ViewKind,
    /// The views it was divided into, from left to right.
    pub views: Vec<ViewId>,
    /// Extents of the whole run in the frame of its first view, millimetres.
    pub extents: Rect<f64>,
    /// Where it was divided, left to right, same frame.
    pub seams: Vec<f64>,
    /// Level dimensions over more than one of its cabinets, in the same frame.
    pub dimensions: Vec<ViewDimension>,
    /// How the seams are known, in plain words.
    pub evidence: String,
}

/// Two drawn walls with views between them.
#[derive(Clone, Debug, PartialEq)]
pub struct Walls {
    pub sheet: usize,
    /// The front views that stand between them, from left to right.
    pub views: Vec<ViewId>,
    /// From one wall's inner face to the other's.
    pub mm: f64,
    /// Room between either wall and the view beside it: left, right.
    pub ends_mm: [f64; 2],
    /// Room left open between neighbours: for an appliance, or under a bridge.
    pub open_mm: f64,
}

/// Cabinets drawn one on another between walls, from the floor up.
#[derive(Clone, Debug, PartialEq)]
pub struct Stacked {
    pub sheet: usize,
    /// The front views, the lowest first.
    pub views: Vec<ViewId>,
    /// Where each begins above the floor, millimetres.
    pub from_mm: Vec<f64>,
    /// Where the uppermost ends above the floor.
    pub to_mm: f64,
    /// How high the walls are drawn.
    pub walls_mm: f64,
}

/// A view that shows one cabinet or several side by side: what stands on it and what it
/// looks like do not agree, or nothing stands on it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Doubt {
    /// The views it was read as: one, or one for each piece.
    pub views: Vec<ViewId>,
    /// It was divided where its lines say, whatever stands on it.
    pub divided: bool,
    /// Both sides are drawn wherever its lines say so.
    pub sure: bool,
}

/// How a doubtful view is to be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// The other way than by what stands on it alone.
    Other,
    /// As nothing that could be measured.
    Neither,
}

/// All views of a job, and what was left out of them.
#[derive(Clone, Debug, Default)]
pub struct Reading {
    /// By sheet, then in rows from the top, each from left to right.
    pub views: Vec<View>,
    pub runs: Vec<Run>,
    pub walls: Vec<Walls>,
    pub stacked: Vec<Stacked>,
    pub left_out: Vec<LeftOut>,
    /// Contradictions in units, scales or titles, each a finding.
    pub conflicts: Vec<(usize, String)>,
    /// Names given to cabinets whose views no name stands with: each is drawn, but
    /// not known to be any of the list.
    pub untitled: Vec<String>,
    /// In the order of their sheets; the same however they were read.
    pub doubts: Vec<Doubt>,
}

impl Reading {
    /// Which piece of a run a view is, from the left, and of how many: "2 of 3 cabinets
    /// side by side, from the left".
    pub fn place(&self, view: ViewId) -> Option<String> {
        let mut runs = self.runs.iter();
        runs.find_map(|run| {
            let at = run.views.iter().position(|own| *own == view)?;
            let all = run.views.len();
            Some(format!(
                "{} of {all} cabinets side by side, from the left",
                at + 1
            ))
        })
    }

    /// Gives the views of the cabinet drawn without a name as `drawn` to `cabinets`;
    /// when not `whole`, its front alone.
    pub fn take(&mut self, drawn: &str, cabinets: &[String], whole: bool) {
        self.untitled.retain(|name| name != drawn);
        let of = |view: &&mut View| matches!(view.cabinets.as_slice(), [one] if one == drawn);
        for view in self.views.iter_mut().filter(of) {
            let title = view.title.take().filter(|title| title.text != drawn);
            if !whole && view.kind != ViewKind::Front {
                view.title = title;
                view.cabinets = Vec::new();
                view.kind = ViewKind::Unknown;
                view.kind_evidence = format!(
                    "it stands in line with the front of {}, but shows another depth than the \
                     list; a word such as SECTION near it, or the job file, would tell",
                    cabinets.join(", ")
                );
                continue;
            }
            view.title = Some(title.unwrap_or(Title {
                text: cabinets.join(", "),
                origin: "its size against the list".to_owned(),
            }));
            view.cabinets = cabinets.to_vec();
        }
    }
}

/// Finds the views of all sheets, and takes the straight lines of these: the views have
/// them then, and those of a large drawing fill the memory.
pub fn find(sheets: &mut [crate::drawing::Sheet], hints: &Hints) -> Reading {
    let (pages, hints) = Pages::of(sheets, || hints.clone());
    pages.last(sheets, &hints, &BTreeMap::new())
}

/// The sheets of a job on the way to their views: doubtful ones may be read in several
/// ways.
pub struct Pages(read::Pages);

impl Pages {
    /// Takes the straight lines of the sheets. The hints are made meanwhile, and given back.
    pub fn of(
        sheets: &mut [crate::drawing::Sheet],
        hints: impl FnOnce() -> Hints + Send,
    ) -> (Self, Hints) {
        let flats = || sheets.iter_mut().map(flatten::flatten).collect();
        let known = || {
            let hints = hints();
            let dictionary = names::Dictionary::new(&hints.names);
            (hints, dictionary)
        };
        let (flats, (hints, dictionary)) = rayon::join(flats, known);
        (
            Pages(read::pages(sheets, flats, &hints, &dictionary)),
            hints,
        )
    }

    /// How many views may show one cabinet or several.
    pub fn doubts(&self) -> usize {
        self.0.doubts.len()
    }

    /// The views, each doubt read the way it is said, others by what stands on them.
    pub fn read(
        &self,
        sheets: &[crate::drawing::Sheet],
        hints: &Hints,
        ways: &BTreeMap<usize, Way>,
    ) -> Reading {
        read::read(self.0.clone(), sheets, hints, ways)
    }

    /// As [`Pages::read`], when they are not needed any more.
    pub fn last(
        self,
        sheets: &[crate::drawing::Sheet],
        hints: &Hints,
        ways: &BTreeMap<usize, Way>,
    ) -> Reading {
        read::read(self.0, sheets, hints, ways)
    }
}

#[cfg(test)]
pub(crate) mod sample;
#[cfg(test)]
mod tests;
