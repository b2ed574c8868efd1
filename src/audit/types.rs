//! What an audit is made of: findings, causes, coverage.

use crate::construction::Origin;
use crate::cutlist::RowSource;
use crate::length::Length;
use crate::linework::CleanLine;
use crate::trade::Dimension;
use crate::view::ViewId;

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FindingKind {
    Size,
    Quantity,
    MissingPart,
    ExtraPart,
    /// The drawing contradicts itself, or cannot be measured where it should be.
    Drawing,
    /// A file, row or cell could not be understood.
    Input,
}

/// A size of a row, quoted as written.
#[derive(Clone, Debug, PartialEq)]
pub struct RowSize {
    pub row: RowSource,
    pub part: String,
    pub dimension: Dimension,
    /// 1-based; 0 when there is no such column.
    pub column: usize,
    /// The cell as written.
    pub text: String,
}

/// The two drawn lines a distance was measured between.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredBetween {
    pub view: ViewId,
    pub lines: Vec<CleanLine>,
    /// "left face of the left side to right face of the right side"
    pub sentence: String,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CauseKind {
    /// Another distance of this cabinet was taken.
    OtherDistance,
    /// The same size of another cabinet was taken.
    OtherCabinet,
    /// Length and width are swapped.
    Swapped,
    /// Off by a whole number of stock thicknesses.
    StockThickness,
    /// A joint depth was forgotten or taken twice.
    JointDepth,
    ToeKick,
    /// Millimetres for inches and kin.
    Unit,
    Transposed,
    SlippedFraction,
    /// Nominal sheet thickness for actual.
    NominalThickness,
    EdgeBand,
    /// A typed dimension text was followed instead of geometry.
    TypedText,
    /// Quantity for the job taken as for one cabinet, or the other way round.
    QuantityBasis,
    /// An older drawing was followed.
    OlderDrawing,
    /// Overlay, reveal or gap left out or taken twice.
    FrontAllowance,
    /// Scribe, saw-out, overhang or saw kerf left out or taken twice.
    Allowance,
    /// Exactly an inch: read from the tape's 1-in mark.
    InchMark,
}

/// One likely cause of a finding, with what speaks for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Cause {
    pub kind: CauseKind,
    /// "31 in is the clear height under the stretcher, not the height of the case."
    pub sentence: String,
    pub evidence: Vec<String>,
    /// Row sizes that agree once this one figure is put right.
    pub explains: usize,
    /// The other drawn distance, when that is the cause.
    pub taken: Option<MeasuredBetween>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Short and stable name made of cabinet, part and dimension: "b2-side-length".
    pub id: String,
    pub kind: FindingKind,
    /// The first cabinet concerned.
    pub cabinet: Option<String>,
    /// Every cabinet concerned, in natural order; holds `cabinet` as its first.
    pub cabinets: Vec<String>,
    /// The part as written in the list, or its drawn name when missing there.
    pub part: Option<String>,
    pub dimension: Option<Dimension>,
    pub drawn: Option<Length>,
    pub listed: Option<Length>,
    /// Counts, for quantity, missing and extra parts.
    pub counts: Option<(u32, u32)>,
    /// Listed minus drawn.
    pub difference: Option<Length>,
    pub tolerance: Option<Length>,
    pub row: Option<RowSize>,
    pub measured: Option<MeasuredBetween>,
    /// The relation used with this cabinet's numbers, and where it came from.
    pub relation: Option<(String, Origin)>,
    /// One sentence a person can act on.
    pub message: String,
    pub causes: Vec<Cause>,
    /// Other row sizes explained by the same cause.
    pub also: Vec<RowSize>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Bin {
    Agrees,
    Disagrees,
    Unchecked,
}

/// How many row sizes agree, disagree and were not checked.
pub fn totals<'a>(coverage: impl IntoIterator<Item = &'a Covered>) -> (usize, usize, usize) {
    let mut totals = (0, 0, 0);
    for entry in coverage {
        match entry.bin {
            Bin::Agrees => totals.0 += 1,
            Bin::Disagrees => totals.1 += 1,
            Bin::Unchecked => totals.2 += 1,
        }
    }
    totals
}

/// Where one row size or quantity ended up.
#[derive(Clone, Debug, PartialEq)]
pub struct Covered {
    pub size: RowSize,
    pub cabinet: Option<String>,
    pub bin: Bin,
    /// The relation that decided, or the reason why none could.
    pub by: String,
    /// Room left to the tolerance, when checked.
    pub margin: Option<Length>,
    /// What the cell would have to say to agree, when that is one known size.
    pub expected: Option<Length>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Everything checked and agrees: exit status 0.
    Agrees,
    /// Something disagrees: 1.
    Disagrees,
    /// The input or the call could not be used: 2.
    Unusable,
    /// Nothing disagrees, but something was not checked: 3.
    Unchecked,
}

/// Everything one run looked at.
#[derive(Clone, Debug, Default)]
pub struct Job {
    /// Shown name: the job file's, else the folder's.
    pub name: String,
    pub sheets: Vec<crate::drawing::Sheet>,
    pub views: crate::view::Reading,
    pub cabinets: Vec<crate::cabinet::MeasuredCabinet>,
    /// Cabinets measured in an older issue of the drawing, when one was given.
    pub older: Vec<OlderCabinet>,
    pub lists: Vec<crate::cutlist::CutList>,
    pub rules: crate::construction::Rules,
    /// Cabinets drawn without a name, and which of the list they are by their size.
    pub untitled: Vec<crate::construction::untitled::Untitled>,
    /// Files that could not be used, and why; the rest of the job is still checked.
    pub unusable: Vec<InputProblem>,
    /// Files of a job folder that are no part of the job, and why; for the record only.
    pub passed_over: Vec<InputProblem>,
}

/// A cabinet as an older issue of the drawing shows it.
#[derive(Clone, Debug)]
pub struct OlderCabinet {
    /// The older drawing's file as the user gave it.
    pub file: String,
    pub cabinet: crate::cabinet::MeasuredCabinet,
}

/// A file or setting that could not be used.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct InputProblem {
    pub file: String,
    pub message: String,
}

/// A cabinet's size as the drawing shows it and as its listed parts would build it.
#[derive(Clone, Debug, PartialEq)]
pub struct BuiltSize {
    /// "width", "height", "depth", "interior width", ...
    pub name: &'static str,
    pub drawn: Option<Length>,
    pub listed: Option<Length>,
    /// The rows and the relation that give the listed size, or why there is none.
    pub by: String,
}

#[derive(Clone, Debug, PartialEq)]
pub struct AuditedCabinet {
    pub id: String,
    pub sizes: Vec<BuiltSize>,
}

/// A rule the audit relied on, printed so that nobody is surprised.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumption {
    pub sentence: String,
    pub origin: Origin,
    /// How many row sizes it decided.
    pub decided: usize,
}

/// A caution that applies to this job, printed once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Caution {
    pub topic: &'static str,
    pub text: &'static str,
}

/// What became of one sheet: every entity in one bin.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetCoverage {
    pub file: String,
    pub entities: u64,
    pub in_views: u64,
    /// Reason and count.
    pub left_out: Vec<(String, u64)>,
}

/// Every view in one bin.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ViewBins {
    pub read: usize,
    /// Measured for a cabinet that has its name.
    pub compared: usize,
    pub unchecked: usize,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Audit {
    pub outcome: Outcome,
    pub cabinets: Vec<AuditedCabinet>,
    /// In the order a person should read them; a total order.
    pub findings: Vec<Finding>,
    pub coverage: Vec<Covered>,
    /// Views and cabinets that were not checked, with what would make them checkable.
    pub unchecked: Vec<String>,
    pub views: ViewBins,
    pub sheets: Vec<SheetCoverage>,
    pub assumptions: Vec<Assumption>,
    pub cautions: Vec<Caution>,
}
