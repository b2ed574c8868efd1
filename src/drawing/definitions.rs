//! What the header, tables and blocks of a drawing define.

use foldhash::{HashMap, HashMapExt};

use super::Point;
use super::cue::{self, Cue};
use super::encoding::CodePage;
use super::leftover::Leftovers;
use super::names::Names;
use super::record::Record;
use super::refusal::Refusal;
use super::shape::Item;

pub const BY_LAYER: u32 = 0;
pub const BY_BLOCK: u32 = 1;
pub const CONTINUOUS: u32 = 2;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Layer {
    pub off: bool,
    pub frozen: bool,
    pub never_prints: bool,
    /// Id of its line style.
    pub linetype: u32,
    pub cue: Cue,
}

#[derive(Debug, Default)]
pub struct Block {
    /// Id of its name.
    pub name: u32,
    pub base: Point,
    pub items: Vec<Item>,
    /// Another file's content, or an overlay of it.
    pub external: bool,
}

#[derive(Debug, Default)]
pub struct Header {
    pub version: String,
    pub page_name: String,
    pub units: Option<i64>,
    pub measurement: Option<i64>,
    pub linear_format: Option<i64>,
    pub factor: Option<f64>,
}

impl Header {
    pub fn page(&self) -> CodePage {
        CodePage::new(&self.page_name, &self.version)
    }
}

#[derive(Debug)]
pub struct Definitions {
    pub header: Header,
    pub page: CodePage,
    pub layer_names: Names,
    layers: Vec<Layer>,
    pub linetype_names: Names,
    /// By id of the name.
    linetype_cues: Vec<Cue>,
    pub style_names: Names,
    style_factors: HashMap<u32, f64>,
    pub block_names: Names,
    pub blocks: Vec<Block>,
    block_index: HashMap<u32, u32>,
    pub block_units: HashMap<u32, i64>,
    pub leftovers: Leftovers,
    /// Items kept in all blocks.
    pub block_items: usize,
}

impl Default for Definitions {
    fn default() -> Self {
        Self {
            header: Header::default(),
            page: CodePage::default(),
            layer_names: Names::with(&["0"]),
            layers: Vec::new(),
            linetype_names: Names::with(&["ByLayer", "ByBlock", "Continuous"]),
            linetype_cues: Vec::new(),
            style_names: Names::default(),
            style_factors: HashMap::new(),
            block_names: Names::default(),
            blocks: Vec::new(),
            block_index: HashMap::new(),
            block_units: HashMap::new(),
            leftovers: Leftovers::default(),
            block_items: 0,
        }
    }
}

impl Definitions {
    pub fn with_header(header: Header) -> Self {
        Self {
            page: header.page(),
            header,
            ..Self::default()
        }
    }

    /// What it takes to understand entities, not to place them.
    pub fn for_understanding(&self) -> Self {
        Self {
            page: self.page,
            layer_names: self.layer_names.clone(),
            linetype_names: self.linetype_names.clone(),
            style_names: self.style_names.clone(),
            block_names: self.block_names.clone(),
            leftovers: self.leftovers.clone(),
            ..Self::default()
        }
    }

    /// How many names and leftovers are known.
    pub fn known(&self) -> [usize; 5] {
        [
            self.layer_names.count(),
            self.linetype_names.count(),
            self.style_names.count(),
            self.block_names.count(),
            self.leftovers.count(),
        ]
    }

    fn new_layer(&self, id: u32) -> Layer {
        let name = self.layer_names.get(id);
        Layer {
            off: false,
            frozen: false,
            // Its own rule in every CAD program: shown, never printed.
            never_prints: name.eq_ignore_ascii_case("Defpoints"),
            linetype: CONTINUOUS,
            cue: cue::of_layer(name),
        }
    }

    /// Layer id of a name, with its entry made when it is new.
    pub fn layer_id(&mut self, name: &[u8]) -> u32 {
        let id = self.layer_names.id(name, &self.page);
        while self.layers.len() <= id as usize {
            let next = u32::try_from(self.layers.len()).unwrap_or(u32::MAX);
            self.layers.push(self.new_layer(next));
        }
        id
    }

    pub fn layer(&self, id: u32) -> Layer {
        match self.layers.get(id as usize) {
            Some(layer) => *layer,
            None => self.new_layer(id),
        }
    }

    pub fn linetype_id(&mut self, name: &[u8]) -> u32 {
        let id = self.linetype_names.id(name, &self.page);
        while self.linetype_cues.len() <= id as usize {
            let next = u32::try_from(self.linetype_cues.len()).unwrap_or(u32::MAX);
            let name = self.linetype_names.get(next);
            let cue = cue::of_style_name(name).unwrap_or_default();
            self.linetype_cues.push(cue);
        }
        id
    }

    fn linetype_cue(&self, id: u32) -> Cue {
        let known = self.linetype_cues.get(id as usize);
        known.copied().unwrap_or_default()
    }

    /// What layer and line style (already resolved) say; the layer's word is
    /// heard when the style is plain.
    pub fn cue(&self, layer: u32, linetype: u32) -> Cue {
        match self.linetype_cue(linetype) {
            Cue::None => self.layer(layer).cue,
            cue => cue,
        }
    }

    pub fn style_factor(&self, style: u32) -> Option<f64> {
        self.style_factors.get(&style).copied()
    }

    pub fn find_block(&self, name: u32) -> Option<u32> {
        self.block_index.get(&name).copied()
    }

    pub fn block(&self, index: u32) -> Option<&Block> {
        self.blocks.get(index as usize)
    }

    /// Adds a finished block. Of two with one name the first counts; gives
    /// false for the second.
    pub fn add_block(&mut self, block: Block) -> bool {
        let index = u32::try_from(self.blocks.len()).unwrap_or(u32::MAX);
        if self.block_index.contains_key(&block.name) {
            return false;
        }
        self.block_index.insert(block.name, index);
        self.blocks.push(block);
        true
    }

    /// LAYER table entry.
    ///
    /// # Errors
    /// When a number in it cannot be read.
    pub fn add_layer(&mut self, record: &Record) -> Result<(), Refusal> {
        let id = self.layer_id(record.text(2).ok_or(Refusal::Missing(2))?);
        let linetype = record.text(6).map(|name| self.linetype_id(name));
        let Some(layer) = self.layers.get_mut(id as usize) else {
            return Ok(());
        };
        layer.off = record.int_or(62, 7)? < 0;
        layer.frozen = record.int_or(70, 0)? & 1 != 0;
        layer.never_prints |= record.int_or(290, 1)? == 0;
        if let Some(linetype) = linetype {
            layer.linetype = linetype;
        }
        Ok(())
    }

    /// LTYPE table entry: the pattern tells what the name does not.
    ///
    /// # Errors
    /// When a number in it cannot be read.
    pub fn add_linetype(&mut self, record: &Record) -> Result<(), Refusal> {
        let id = self.linetype_id(record.text(2).ok_or(Refusal::Missing(2))?);
        if id <= CONTINUOUS || cue::of_style_name(self.linetype_names.get(id)).is_some() {
            return Ok(());
        }
        let mut pattern = Vec::new();
        for field in record.own().filter(|field| field.code == 49) {
            pattern.push(field.real()?);
        }
        if let Some(slot) = self.linetype_cues.get_mut(id as usize) {
            *slot = cue::of_pattern(&pattern);
        }
        Ok(())
    }

    /// DIMSTYLE table entry: its linear factor (group 144).
    ///
    /// # Errors
    /// When a number in it cannot be read.
    pub fn add_style(&mut self, record: &Record) -> Result<(), Refusal> {
        let name = record.text(2).ok_or(Refusal::Missing(2))?;
        let id = self.style_names.id(name, &self.page);
        if let Some(factor) = record.real(144)? {
            self.style_factors.entry(id).or_insert(factor);
        }
        Ok(())
    }

    /// BLOCK_RECORD table entry: the units of the block.
    ///
    /// # Errors
    /// When a number in it cannot be read.
    pub fn add_block_record(&mut self, record: &Record) -> Result<(), Refusal> {
        let name = record.text(2).ok_or(Refusal::Missing(2))?;
        let id = self.block_names.id(name, &self.page);
        if let Some(units) = record.int(70)? {
            self.block_units.entry(id).or_insert(units);
        }
        Ok(())
    }
}
