//! A copy of a drawing with the findings added on layers of their own, in true
//! place. New groups are put between the old ones; of the old bytes only the
//! handle seed changes, so that no later entity gets a handle twice.

mod groups;
mod plan;

use super::Report;
use super::evidence;
use super::svg::{Ink, Mark};
use crate::audit::Finding;
use crate::drawing::Space;
use crate::linework::CleanLine;
use crate::view::View;
use geo::{AffineOps, Coord, coord};
use groups::Writer;
use plan::Plan;

/// What the drawing shows.
pub const DRAWN: &str = "DRYFIT-DRAWN";
/// What the list says, and distances taken by mistake.
pub const LISTED: &str = "DRYFIT-LISTED";
/// Names of findings.
pub const NOTES: &str = "DRYFIT-FINDINGS";

// All of them start with [`crate::drawing::MARK_LAYERS`], so that a marked-up
// copy measures like its original.

/// Layers and their colour numbers: green, red, magenta.
const LAYERS: [(&str, i16); 3] = [(DRAWN, 3), (LISTED, 1), (NOTES, 6)];

/// Why no marked-up copy was made.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MarkupRefusal {
    #[error("nothing to mark in it")]
    Nothing,
    #[error("its groups cannot be followed past byte {at}, so nothing can be put between them")]
    Broken { at: usize },
    #[error("its entities section does not end, so nothing can be added to it")]
    Unended,
}

/// A stroke or a text, drawing units.
#[derive(Clone, Debug, PartialEq)]
enum Added {
    Line {
        layer: &'static str,
        a: Coord<f64>,
        b: Coord<f64>,
    },
    Text {
        layer: &'static str,
        at: Coord<f64>,
        height: f64,
        degrees: f64,
        text: String,
    },
}

/// The marked-up copy of the sheet of this index, whose file has this content.
///
/// # Errors
/// When there is nothing to mark or the file does not let it.
pub fn copy(report: &Report<'_>, sheet: usize, content: &[u8]) -> Result<Vec<u8>, MarkupRefusal> {
    let added = added(report, sheet);
    if added.is_empty() {
        return Err(MarkupRefusal::Nothing);
    }
    let plan = plan::plan(content);
    if let (Some(at), false) = (plan.broken_at, plan.ended) {
        return Err(MarkupRefusal::Broken { at });
    }
    let Some(entities_end) = plan.entities_end else {
        return Err(MarkupRefusal::Unended);
    };
    let paper = report
        .job
        .sheets
        .get(sheet)
        .is_some_and(|sheet| sheet.space == Space::Paper);

    let mut handles = Handles::new(&plan);
    let mut insertions: Vec<(usize, usize, Vec<u8>)> = Vec::new();
    if let Some(layers_end) = plan.layers_end {
        let mut writer = Writer::new(plan.form);
        for (name, colour) in LAYERS {
            if !plan
                .layer_names
                .iter()
                .any(|other| other == name.as_bytes())
            {
                layer(&mut writer, &plan, &mut handles, name, colour);
            }
        }
        insertions.push((layers_end, 0, writer.bytes));
    }
    let mut writer = Writer::new(plan.form);
    for added in &added {
        entity(&mut writer, &plan, &mut handles, paper, added);
    }
    insertions.push((entities_end, 0, writer.bytes));
    if let Some((at, length, seed)) = plan.seed {
        // The seed is written as it was, in upper-case hexadecimal.
        let text = format!("{:X}", handles.next.max(seed));
        insertions.push((at, length, text.into_bytes()));
    }
    insertions.sort();

    let mut bytes = Vec::with_capacity(content.len() + 4096);
    let mut from = 0;
    for (at, instead_of, new) in insertions {
        bytes.extend_from_slice(content.get(from..at).unwrap_or_default());
        bytes.extend_from_slice(&new);
        from = at + instead_of;
    }
    bytes.extend_from_slice(content.get(from..).unwrap_or_default());
    Ok(bytes)
}

/// Handles that nothing in the file has.
struct Handles {
    next: u64,
    wanted: bool,
}

impl Handles {
    fn new(plan: &Plan<'_>) -> Self {
        let seed = plan.seed.map_or(1, |(_, _, seed)| seed);
        Handles {
            next: seed.max(plan.highest.saturating_add(1)),
            // Release 12 files carry handles or not.
            wanted: plan.has_subclasses() || plan.highest > 0,
        }
    }

    fn write(&mut self, writer: &mut Writer) {
        if self.wanted {
            writer.text(5, format!("{:X}", self.next).as_bytes());
            self.next = self.next.saturating_add(1);
        }
    }
}

/// A layer record like that of layer 0, with its own name and colour.
fn layer(writer: &mut Writer, plan: &Plan<'_>, handles: &mut Handles, name: &str, colour: i16) {
    writer.text(0, b"LAYER");
    if !plan.has_subclasses() {
        writer.text(2, name.as_bytes());
        writer.short(70, 0);
        writer.short(62, colour);
        writer.text(6, b"CONTINUOUS");
        return;
    }
    handles.write(writer);
    if plan.has_owners()
        && let Some(table) = &plan.layer_table
    {
        writer.text(330, table);
    }
    writer.text(100, b"AcDbSymbolTableRecord");
    writer.text(100, b"AcDbLayerTableRecord");
    writer.text(2, name.as_bytes());
    writer.short(70, 0);
    writer.short(62, colour);
    writer.text(6, b"Continuous");
    // Line weight, plot style and material are what this file needs them to be.
    for group in &plan.layer_zero {
        if matches!(group.code, 370 | 390 | 347 | 348) {
            writer.copy(group);
        }
    }
}

fn entity(writer: &mut Writer, plan: &Plan<'_>, handles: &mut Handles, paper: bool, added: &Added) {
    let (kind, subclass, layer) = match added {
        Added::Line { layer, .. } => ("LINE", "AcDbLine", layer),
        Added::Text { layer, .. } => ("TEXT", "AcDbText", layer),
    };
    writer.text(0, kind.as_bytes());
    handles.write(writer);
    let owner = if paper {
        &plan.paper_space
    } else {
        &plan.model_space
    };
    if plan.has_owners()
        && let Some(owner) = owner
    {
        writer.text(330, owner);
    }
    if plan.has_subclasses() {
        writer.text(100, b"AcDbEntity");
    }
    if paper {
        writer.short(67, 1);
    }
    writer.text(8, layer.as_bytes());
    if plan.has_subclasses() {
        writer.text(100, subclass.as_bytes());
    }
    match added {
        Added::Line { a, b, .. } => {
            for (code, value) in [
                (10, a.x),
                (20, a.y),
                (30, 0.0),
                (11, b.x),
                (21, b.y),
                (31, 0.0),
            ] {
                writer.real(code, value);
            }
        }
        Added::Text {
            at,
            height,
            degrees,
            text,
            ..
        } => {
            for (code, value) in [(10, at.x), (20, at.y), (30, 0.0), (40, *height)] {
                writer.real(code, value);
            }
            writer.text(1, &encoded(text));
            writer.real(50, *degrees);
            if plan.has_subclasses() {
                // The second half of the text's groups.
                writer.text(100, b"AcDbText");
            }
        }
    }
}

/// Text in plain ASCII, other characters by number, which every version and
/// code page reads; control codes of the format are taken apart.
fn encoded(text: &str) -> Vec<u8> {
    let mut bytes = Vec::new();
    for character in super::words::printable(text).replace("%%", "% %").chars() {
        match character {
            '^' => bytes.extend_from_slice(b"^ "),
            ' '..='~' => bytes.push(character as u8),
            other => {
                let mut units = [0; 2];
                for unit in other.encode_utf16(&mut units) {
                    bytes.extend_from_slice(format!("\\U+{unit:04X}").as_bytes());
                }
            }
        }
    }
    bytes
}

/// What is to be added to a sheet.
fn added(report: &Report<'_>, sheet: usize) -> Vec<Added> {
    let mut added = Vec::new();
    for (id, view) in report.job.views.views.iter().enumerate() {
        if view.sheet != sheet {
            continue;
        }
        let mut pen = Pen::new(view);
        for (index, finding) in report.audit.findings.iter().enumerate() {
            mark(&mut pen, report, index, finding, id);
        }
        added.append(&mut pen.added);
    }
    added
}

fn mark(pen: &mut Pen<'_>, report: &Report<'_>, index: usize, finding: &Finding, view: usize) {
    let id = Report::id(index);
    let measured = finding
        .measured
        .as_ref()
        .filter(|measured| measured.view == view);
    let taken = finding
        .causes
        .first()
        .and_then(|cause| cause.taken.as_ref())
        .filter(|taken| taken.view == view);
    if measured.is_none() && taken.is_none() {
        return;
    }
    for (between, layer) in [(taken, LISTED), (measured, DRAWN)] {
        for line in between.iter().flat_map(|between| &between.lines) {
            pen.line(layer, line);
        }
    }
    let wrong = evidence::wrong(report, finding, measured, taken);
    let right = measured.and_then(|measured| evidence::right(report, finding, measured));
    let marks = [wrong, right.map(|(mark, _)| mark)];
    if marks.iter().all(Option::is_none) {
        // Lines without a distance still say which finding they belong to.
        if let Some(line) = measured.and_then(|measured| measured.lines.first()) {
            pen.text(NOTES, (line.a + line.b) / 2.0, true, &id);
        }
        return;
    }
    for mark in marks.into_iter().flatten() {
        pen.dimension(&id, &mark);
    }
}

/// Draws in a view's millimetres, keeps drawing units.
struct Pen<'a> {
    view: &'a View,
    /// Cap height, millimetres.
    height: f64,
    /// Dimensions so far, to keep them apart.
    level: usize,
    upright: usize,
    added: Vec<Added>,
}

impl<'a> Pen<'a> {
    fn new(view: &'a View) -> Self {
        let side = view.extents.width().max(view.extents.height());
        Pen {
            view,
            // Readable when the view fills a screen, in true size.
            height: (side / 50.0).clamp(6.0, 50.0),
            level: 0,
            upright: 0,
            added: Vec::new(),
        }
    }

    fn place(&self, at: Coord<f64>) -> Coord<f64> {
        geo::Point::from(at)
            .affine_transform(&self.view.to_drawing)
            .into()
    }

    fn stroke(&mut self, layer: &'static str, a: Coord<f64>, b: Coord<f64>) {
        let (a, b) = (self.place(a), self.place(b));
        self.added.push(Added::Line { layer, a, b });
    }

    fn line(&mut self, layer: &'static str, line: &CleanLine) {
        self.stroke(layer, line.a, line.b);
    }

    fn text(&mut self, layer: &'static str, at: Coord<f64>, level: bool, text: &str) {
        let origin = self.place(at);
        let along = if level {
            coord! { x: 1.0, y: 0.0 }
        } else {
            coord! { x: 0.0, y: 1.0 }
        };
        let direction = self.place(at + along) - origin;
        let mut degrees = direction.y.atan2(direction.x).to_degrees();
        // Never upside down, also where the view is mirrored.
        if degrees > 90.0 + 1e-6 {
            degrees -= 180.0;
        } else if degrees <= -90.0 + 1e-6 {
            degrees += 180.0;
        }
        let height = self.height * direction.x.hypot(direction.y);
        self.added.push(Added::Text {
            layer,
            at: origin,
            height,
            degrees: (degrees * 1e6).round() / 1e6,
            text: text.to_owned(),
        });
    }

    /// Extension lines, dimension line with ticks, and the label.
    fn dimension(&mut self, id: &str, mark: &Mark) {
        let layer = if mark.ink == Ink::Listed {
            LISTED
        } else {
            DRAWN
        };
        let count = if mark.level {
            self.level += 1;
            self.level
        } else {
            self.upright += 1;
            self.upright
        };
        let step = 2.2 * self.height;
        let away = step * count as f64;
        // Below a level distance, right of an upright one.
        let across = if mark.level {
            mark.lo_from.min(mark.hi_from) - away
        } else {
            mark.lo_from.max(mark.hi_from) + away
        };
        let point = |along: f64, across: f64| {
            if mark.level {
                coord! { x: along, y: across }
            } else {
                coord! { x: across, y: along }
            }
        };
        for (along, from) in [(mark.lo, mark.lo_from), (mark.hi, mark.hi_from)] {
            self.stroke(layer, point(along, from), point(along, across));
            let end = point(along, across);
            let tick = coord! { x: 0.3 * self.height, y: 0.3 * self.height };
            self.stroke(layer, end - tick, end + tick);
        }
        self.stroke(layer, point(mark.lo, across), point(mark.hi, across));
        let shift = 0.4 * self.height;
        let start = (mark.lo + mark.hi) / 2.0;
        let at = if mark.level {
            point(start, across + shift)
        } else {
            point(start, across - shift)
        };
        self.text(NOTES, at, mark.level, &format!("{id} {}", mark.label));
    }
}

#[cfg(test)]
mod tests;
