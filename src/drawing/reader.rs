//! The sections of a DXF file, one group after the other.
//!
//! Header, tables and blocks are kept; entities are placed as they come and
//! forgotten. Files whose entities come before what they need (blocks, tables,
//! header) are read a second time with the definitions of the first.

mod collect;
mod parallel;

use std::io::{self, Read, Seek};

use super::DrawingError;
use super::assemble;
use super::definitions::{Block, Definitions};
use super::entities::{self, OpenPolyline};
use super::groups::{End, Group, Groups, Value};
use super::pieces::{Place, starts_alone};
use super::place::Placed;
use super::record::{Field, Record};
use super::shape::Item;
use super::sheet::Sheet;
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
    /// About entities, and the file as a whole.
    notes: Tally,
    /// About header, tables and blocks: kept when the file is read again.
    defining: Tally,
    /// From this offset on, entities may be read in pieces, and how often that
    /// was tried.
    pieces_from: u64,
    tries: u32,
    /// Items not to be placed here: this pass reads a piece.
    understood: Option<Vec<Item>>,
    /// Something happened that is no piece's business.
    odd: bool,
    /// How the stream ended, when it did before its EOF mark.
    ended: Option<End>,
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
        let defining = pass.defining;
        pass = Pass::new(pass.definitions, Known::All);
        pass.defining = defining;
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
    Ok(assemble::sheet(
        pass.definitions,
        pass.placed,
        [pass.defining, pass.notes],
        shown,
    ))
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
            defining: Tally::default(),
            pieces_from: 0,
            tries: 0,
            understood: None,
            odd: false,
            ended: None,
        }
    }

    fn run<R: Read + Seek>(&mut self, groups: &mut Groups<R>) -> io::Result<()> {
        let place = if groups.is_binary() { "byte" } else { "line" };
        let mut last = 0;
        loop {
            if self.holding != Holding::Nothing
                && let Some(position) = groups.fill(&mut self.record)
            {
                last = position;
            }
            let group = match groups.next()? {
                Ok(group) => group,
                Err(end) => {
                    self.finish_record();
                    self.close_open();
                    self.close_block();
                    self.ended = Some(end);
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
            if self.section == Section::Entities
                && let Some(offset) = group.offset.filter(|offset| *offset >= self.pieces_from)
                && starts_alone(name)
            {
                let lines = group.position - 1;
                // As the entity itself would, if it were read here.
                self.close_open();
                self.in_pieces(groups, Place { offset, lines })?;
                continue;
            }
            let position = group.position;
            if name == b"LINE" && self.takes_entities() {
                let mut next = Some(position);
                while let Some(position) = next {
                    let Some((end, another)) = self.plain_line(groups, position) else {
                        self.begin(b"LINE", position);
                        break;
                    };
                    (last, next) = (end, another);
                }
                continue;
            }
            self.begin(name, position);
        }
    }

    /// Whether a group 0 starts an entity here.
    fn takes_entities(&self) -> bool {
        match self.section {
            Section::Entities => true,
            Section::Blocks => self.block.is_some(),
            _ => false,
        }
    }

    fn damaged(&mut self, line: u64, resumed: u64) {
        self.odd = true;
        const REASON: &str = "a line in it is no group code";
        let tally = match self.section {
            Section::Entities => &mut self.placed.model.tally,
            _ => &mut self.defining,
        };
        if self.holding != Holding::Nothing {
            let name = entities::type_name(self.record.name());
            tally.skip(&name, REASON, true, 1);
        }
        self.holding = Holding::Nothing;
        // A polyline that lost a part must not pass for a whole one.
        if let Some(Open::Polyline(_)) = self.open {
            tally.skip("POLYLINE", REASON, true, 1);
            self.open = None;
        }
        self.close_open();
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
            self.defining
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
            _ if self.takes_entities() => Holding::Entity,
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
}
