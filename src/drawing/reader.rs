//! The sections of a DXF file, one group after the other.
//!
//! Header, tables and blocks are kept; entities are placed as they come and
//! forgotten. Files whose entities come before what they need (blocks, tables,
//! header) are read a second time with the definitions of the first.

use std::io::{self, Read, Seek};

use super::DrawingError;
use super::definitions::{Block, Definitions};
use super::encoding::CodePage;
use super::entities::{self, OpenPolyline};
use super::groups::{End, Group, Groups, Value};
use super::place::Placed;
use super::record::{Field, Record};
use super::refusal::Refusal;
use super::shape::{Item, Shape};
use super::sheet::{EntityKind, Evidence, Sheet, Space};
use super::tally::Tally;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Section {
    /// Between sections, or in one that holds nothing measured.
    Other,
    /// After `SECTION`, before its name.
    Unnamed,
    Header,
    Tables,
    Blocks,
    Entities,
}

/// An entity that goes on in the entities after it.
enum Open {
    Polyline(Box<OpenPolyline>),
    Insert(Item),
}

/// What the record in hand is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Holding {
    Nothing,
    Entity,
    TableEntry,
    BlockHead,
}

/// What earlier passes found out; it is not read again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Known {
    Nothing,
    Header,
    All,
}

struct Pass {
    definitions: Definitions,
    placed: Placed,
    section: Section,
    holding: Holding,
    record: Record,
    open: Option<Open>,
    block: Option<Block>,
    /// Name of the header variable whose values follow.
    variable: Vec<u8>,
    known: Known,
    seen_entities: bool,
    seen_names: bool,
    /// Tables or blocks came after entities that may need them.
    late: bool,
    /// The header came after names it tells how to read.
    late_header: bool,
    seen_section: bool,
    notes: Tally,
}

/// Reads a whole drawing.
///
/// # Errors
/// When reading fails or the bytes are not a DXF file.
pub fn read<R: Read + Seek>(reader: R, shown: &str) -> Result<Sheet, DrawingError> {
    let io = |source: io::Error| DrawingError::Io {
        file: shown.to_owned(),
        source,
    };
    let mut groups = Groups::open(reader, shown)?;
    let mut pass = Pass::new(Definitions::default(), Known::Nothing);
    pass.run(&mut groups).map_err(io)?;
    if !pass.seen_section {
        return Err(DrawingError::NotDxf {
            file: shown.to_owned(),
            found: "it holds no DXF section".to_owned(),
        });
    }
    if pass.late_header {
        // Names were read in a code page that only the header tells.
        let definitions = Definitions::with_header(pass.definitions.header);
        groups = Groups::open(groups.into_inner(), shown)?;
        pass = Pass::new(definitions, Known::Header);
        pass.run(&mut groups).map_err(io)?;
    }
    if pass.late {
        groups = Groups::open(groups.into_inner(), shown)?;
        pass = Pass::new(pass.definitions, Known::All);
        pass.run(&mut groups).map_err(io)?;
        pass.notes.warn(|| {
            "the entities come before the blocks or tables they use; the file was read twice"
                .to_owned()
        });
    }
    if groups.overlong() > 0 {
        pass.notes.warn(|| {
            format!(
                "{} lines or strings were longer than {} bytes and were cut short",
                groups.overlong(),
                super::limits::MAX_LINE_BYTES
            )
        });
    }
    Ok(pass.into_sheet(shown))
}

impl Pass {
    fn new(definitions: Definitions, known: Known) -> Self {
        Self {
            definitions,
            placed: Placed::default(),
            section: Section::Other,
            holding: Holding::Nothing,
            record: Record::default(),
            open: None,
            block: None,
            variable: Vec::new(),
            known,
            seen_entities: false,
            seen_names: false,
            late: false,
            late_header: false,
            seen_section: false,
            notes: Tally::default(),
        }
    }

    fn run<R: Read + Seek>(&mut self, groups: &mut Groups<R>) -> io::Result<()> {
        let place = if groups.is_binary() { "byte" } else { "line" };
        let mut last = 0;
        loop {
            let group = match groups.next()? {
                Ok(group) => group,
                Err(end) => {
                    self.finish_record();
                    self.close_open();
                    self.close_block();
                    self.notes.warn(|| match end {
                        End::Clean => "the file ends without its EOF mark; it may be cut short. \
                             What was there has been read"
                            .to_owned(),
                        End::Cut => format!(
                            "the file breaks off or turns unreadable after {place} {last}; what \
                             came before has been read. Export it again"
                        ),
                    });
                    return Ok(());
                }
            };
            last = group.position;
            if let Some(line) = group.damage {
                self.damaged(line, group.position);
            }
            if group.code != 0 {
                self.value(&group);
                continue;
            }
            let name = match group.value {
                Value::Text(name) => name.trim_ascii(),
                _ => b"",
            };
            self.finish_record();
            if name == b"EOF" {
                self.close_open();
                self.close_block();
                return Ok(());
            }
            self.begin(name, group.position);
        }
    }

    fn damaged(&mut self, line: u64, resumed: u64) {
        if self.holding != Holding::Nothing {
            let name = entities::type_name(self.record.name());
            let tally = &mut self.placed.model.tally;
            tally.skip(&name, "a line in it is no group code", true);
        }
        self.holding = Holding::Nothing;
        // A polyline or insert that lost a part must not pass for a whole one.
        match self.open.take() {
            Some(Open::Polyline(_)) => {
                let tally = &mut self.placed.model.tally;
                tally.skip("POLYLINE", "a line in it is no group code", true);
            }
            other => {
                self.open = other;
                self.close_open();
            }
        }
        self.notes.warn(|| {
            format!(
                "line {line} should be a group code and is not; reading goes on at line \
                 {resumed}. Export the drawing again"
            )
        });
    }

    /// A group that does not start anything.
    fn value(&mut self, group: &Group<'_>) {
        match self.section {
            Section::Other => {}
            Section::Unnamed => {
                if let (2, Value::Text(name)) = (group.code, group.value) {
                    self.enter(name.trim_ascii());
                }
            }
            Section::Header => self.header(group),
            Section::Tables | Section::Blocks | Section::Entities => {
                if self.holding != Holding::Nothing {
                    self.record.add(group.code, group.value);
                }
            }
        }
    }

    fn enter(&mut self, name: &[u8]) {
        self.seen_section = true;
        self.section = match name {
            b"HEADER" if self.known == Known::Nothing => Section::Header,
            b"TABLES" if self.known != Known::All => Section::Tables,
            b"BLOCKS" if self.known != Known::All => Section::Blocks,
            b"ENTITIES" => Section::Entities,
            _ => Section::Other,
        };
        match self.section {
            Section::Entities => {
                self.seen_entities = true;
                self.seen_names = true;
            }
            Section::Tables | Section::Blocks => {
                self.late |= self.seen_entities;
                self.seen_names = true;
            }
            Section::Header => self.late_header |= self.seen_names,
            _ => {}
        }
    }

    fn header(&mut self, group: &Group<'_>) {
        if let (9, Value::Text(name)) = (group.code, group.value) {
            self.variable.clear();
            self.variable.extend_from_slice(name.trim_ascii());
            return;
        }
        let field = Field {
            code: group.code,
            value: group.value,
        };
        let text = || {
            let bytes = field.text().unwrap_or_default().trim_ascii();
            String::from_utf8_lossy(bytes).into_owned()
        };
        let header = &mut self.definitions.header;
        let mut unreadable = false;
        let mut whole = |slot: &mut Option<i64>| match field.int() {
            Ok(value) => *slot = Some(value),
            Err(_) => unreadable = true,
        };
        match (self.variable.as_slice(), group.code) {
            (b"$ACADVER", 1) => header.version = text(),
            (b"$DWGCODEPAGE", 3) => header.page_name = text(),
            (b"$INSUNITS", 70) => whole(&mut header.units),
            (b"$MEASUREMENT", 70) => whole(&mut header.measurement),
            (b"$LUNITS", 70) => whole(&mut header.linear_format),
            (b"$DIMLFAC", 40) => match field.real() {
                Ok(value) => header.factor = Some(value),
                Err(_) => unreadable = true,
            },
            _ => return,
        }
        if unreadable {
            let name = String::from_utf8_lossy(&self.variable).into_owned();
            let position = group.position;
            self.notes
                .warn(|| format!("header variable {name} at {position} is no number; ignored"));
        }
        self.definitions.page = self.definitions.header.page();
    }

    /// A group 0: the start of an entity, table entry, section, or an end.
    fn begin(&mut self, name: &[u8], position: u64) {
        match name {
            b"SECTION" => {
                self.close_open();
                self.close_block();
                self.section = Section::Unnamed;
                return;
            }
            b"ENDSEC" => {
                self.close_open();
                self.close_block();
                self.section = Section::Other;
                return;
            }
            _ => {}
        }
        self.holding = match (self.section, name) {
            (Section::Tables, b"LAYER" | b"LTYPE" | b"DIMSTYLE" | b"BLOCK_RECORD") => {
                Holding::TableEntry
            }
            (Section::Blocks, b"BLOCK") => {
                self.close_open();
                self.close_block();
                Holding::BlockHead
            }
            (Section::Blocks, b"ENDBLK") => {
                self.close_open();
                self.close_block();
                Holding::Nothing
            }
            (Section::Blocks, _) if self.block.is_some() => Holding::Entity,
            (Section::Entities, _) => Holding::Entity,
            _ => Holding::Nothing,
        };
        if self.holding != Holding::Nothing {
            self.record.start(name, position);
        }
    }

    /// The record in hand is complete.
    fn finish_record(&mut self) {
        match std::mem::replace(&mut self.holding, Holding::Nothing) {
            Holding::Nothing => {}
            Holding::Entity => self.entity(),
            Holding::TableEntry => self.table_entry(),
            Holding::BlockHead => self.block_head(),
        }
    }

    fn table_entry(&mut self) {
        let record = &self.record;
        let definitions = &mut self.definitions;
        let outcome = match record.name() {
            b"LAYER" => definitions.add_layer(record),
            b"LTYPE" => definitions.add_linetype(record),
            b"DIMSTYLE" => definitions.add_style(record),
            _ => definitions.add_block_record(record),
        };
        if let Err(reason) = outcome {
            let name = entities::type_name(record.name());
            let position = record.position;
            self.notes
                .warn(|| format!("table entry {name} at {position} is not used: {reason}"));
        }
    }

    fn block_head(&mut self) {
        let record = &self.record;
        let name = record.text(2).or_else(|| record.text(3));
        let base = record.point(10);
        let (Some(name), Ok(base)) = (name, base) else {
            let position = record.position;
            self.notes.warn(|| {
                format!("the block at {position} has no name or no readable base point; not used")
            });
            return;
        };
        // Flags 4 and 8: another drawing, or laid over from one.
        let external = record.int_or(70, 0).unwrap_or(0) & 12 != 0;
        self.block = Some(Block {
            name: self
                .definitions
                .block_names
                .id(name, &self.definitions.page),
            base: base.unwrap_or_default(),
            items: Vec::new(),
            external,
        });
    }

    fn close_block(&mut self) {
        if let Some(mut block) = self.block.take() {
            block.items.shrink_to_fit();
            let name = block.name;
            if !self.definitions.add_block(block) {
                let name = self.definitions.block_names.get(name);
                self.notes.warn(|| {
                    format!("block {name} is defined more than once; the first one counts")
                });
            }
        }
    }

    fn entity(&mut self) {
        match (self.record.name(), &mut self.open) {
            (b"VERTEX", Some(Open::Polyline(polyline))) => {
                polyline.vertex(&self.record);
                return;
            }
            (b"ATTRIB", Some(Open::Insert(insert))) => {
                let attribute = entities::item(&self.record, &mut self.definitions);
                if let Shape::Insert(shape) = &mut insert.shape {
                    shape.attributes.push(attribute);
                }
                return;
            }
            (b"SEQEND", Some(_)) => {
                self.close_open();
                return;
            }
            _ => self.close_open(),
        }
        let mut item = match self.record.name() {
            b"POLYLINE" => {
                let common = entities::common(&self.record, &mut self.definitions);
                let item = Item {
                    common,
                    kind: EntityKind::Polyline,
                    shape: entities::left(&self.record, Refusal::from("unfinished")),
                };
                self.open = Some(Open::Polyline(Box::new(OpenPolyline::new(
                    &self.record,
                    item,
                ))));
                return;
            }
            // Attributes may follow without being announced.
            b"INSERT" => {
                let item = entities::item(&self.record, &mut self.definitions);
                if matches!(item.shape, Shape::Insert(_)) {
                    self.open = Some(Open::Insert(item));
                    return;
                }
                item
            }
            _ => entities::item(&self.record, &mut self.definitions),
        };
        self.note(&mut item);
        self.deliver(item);
    }

    /// A number that cannot be read is damage, not just a kind left out.
    fn note(&mut self, item: &mut Item) {
        if let Shape::Left(left) = &item.shape {
            let (name, reason) = &**left;
            if matches!(reason, Refusal::Number(_) | Refusal::Missing(_)) {
                let position = item.common.position;
                let handle = item.common.handle;
                self.notes.warn(|| {
                    format!("{name} at {position} (handle {handle:X}) is left out: {reason}")
                });
            }
        }
    }

    fn close_open(&mut self) {
        let mut item = match self.open.take() {
            None => return,
            Some(Open::Polyline(polyline)) => polyline.finish(),
            Some(Open::Insert(item)) => item,
        };
        self.note(&mut item);
        self.deliver(item);
    }

    fn deliver(&mut self, item: Item) {
        match &mut self.block {
            Some(block) => block.items.push(item),
            None => self.placed.item(&self.definitions, &item, false),
        }
    }

    fn into_sheet(mut self, shown: &str) -> Sheet {
        self.place_layout_blocks();
        let Self {
            definitions,
            placed,
            notes,
            ..
        } = self;
        let (mut model, mut paper) = (placed.model, placed.paper);
        let (_, _, mut warnings) = notes.into_parts();
        let mut evidence = Vec::new();
        let header = &definitions.header;
        evidence.extend(header.units.map(Evidence::InsUnits));
        evidence.extend(header.measurement.map(Evidence::Measurement));
        evidence.extend(header.factor.map(Evidence::HeaderFactor));
        evidence.extend(header.linear_format.map(Evidence::LinearFormat));
        for (block, units) in &placed.other_units {
            evidence.push(Evidence::BlockUnits {
                block: definitions.block_names.get(*block).to_owned(),
                units: *units,
            });
        }
        let mut space = Space::Model;
        let viewports = std::mem::take(&mut paper.viewports);
        if !model.has_geometry() && paper.has_geometry() {
            space = Space::Paper;
            std::mem::swap(&mut model, &mut paper);
            warnings.push("model space holds no lines; paper space was read instead".to_owned());
        }
        let (read, mut skipped, model_warnings) = model.tally.into_parts();
        let (other_read, other_skipped, paper_warnings) = paper.tally.into_parts();
        for (kind, count) in other_read {
            let reason = match space {
                Space::Model => "in paper space",
                Space::Paper => "in model space, which holds no lines",
            };
            let entry = super::Skipped {
                kind,
                reason: reason.to_owned(),
                matters: false,
            };
            *skipped.entry(entry).or_default() += count;
        }
        for (entry, count) in other_skipped {
            *skipped.entry(entry).or_default() += count;
        }
        warnings.extend(model_warnings);
        warnings.extend(paper_warnings);
        if !header.page_name.is_empty() && !CodePage::knows(&header.page_name) {
            warnings.push(format!(
                "code page {} is not known; texts are read as Windows-1252",
                header.page_name
            ));
        }
        Sheet {
            file: shown.to_owned(),
            version: definitions.header.version,
            evidence,
            sources: placed.sources,
            layers: definitions.layer_names.into_list(),
            linetypes: definitions.linetype_names.into_list(),
            block_paths: placed.block_paths,
            segments: model.segments,
            arcs: model.arcs,
            ellipses: model.ellipses,
            texts: model.texts,
            dimensions: model.dimensions,
            hatch_segments: model.hatch_segments,
            hatch_arcs: model.hatch_arcs,
            hatch_ellipses: model.hatch_ellipses,
            space,
            viewports,
            paper_texts: paper.texts,
            paper_dimensions: paper.dimensions,
            read,
            skipped,
            warnings,
        }
    }

    /// Layouts are blocks, too. The entities of model space and of the layout
    /// last open stand in ENTITIES, those of further layouts in their blocks.
    fn place_layout_blocks(&mut self) {
        for index in 0..self.definitions.blocks.len() {
            let index = u32::try_from(index).unwrap_or(u32::MAX);
            let Some(block) = self.definitions.block(index) else {
                continue;
            };
            let name = self.definitions.block_names.get(block.name).to_lowercase();
            let layout = name.trim_start_matches(['*', '$']);
            let marked = layout.len() < name.len();
            let paper = marked && layout.starts_with("paper_space");
            if paper || (marked && layout == "model_space") {
                for item in &block.items {
                    self.placed.item(&self.definitions, item, paper);
                }
            }
        }
    }
}
