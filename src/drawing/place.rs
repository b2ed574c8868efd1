//! Items to primitives: visibility, inherited properties, explosion of blocks.

use foldhash::{HashMap, HashMapExt};
use std::collections::BTreeMap;

use super::cue::Cue;
use super::definitions::Definitions;
use super::draw::{self, NO_LENGTH, world};
use super::limits::{MAX_BLOCK_PATHS, MAX_EXPANDED, MAX_NESTING, MAX_PATH_BYTES, MAX_PRIMITIVES};
use super::plan::Plan;
use super::shape::{InsertShape, Item, Shape};
use super::sheet::{
    Arc, Dimension, Ellipse, EntityKind, Segment, Source, SourceId, Text, Viewport,
};
use super::sight::{resolve, short, unseen};
use super::tally::Tally;
use super::vector::{self, Affine};

/// Primitives of one space.
#[derive(Debug, Default)]
pub struct Content {
    pub segments: Vec<Segment>,
    pub arcs: Vec<Arc>,
    pub ellipses: Vec<Ellipse>,
    pub texts: Vec<Text>,
    pub dimensions: Vec<Dimension>,
    pub hatch_segments: Vec<Segment>,
    pub hatch_arcs: Vec<Arc>,
    pub hatch_ellipses: Vec<Ellipse>,
    pub viewports: Vec<Viewport>,
    pub tally: Tally,
}

impl Content {
    pub fn has_geometry(&self) -> bool {
        !self.segments.is_empty() || !self.arcs.is_empty() || !self.ellipses.is_empty()
    }

    fn count(&self) -> usize {
        self.segments.len()
            + self.arcs.len()
            + self.ellipses.len()
            + self.texts.len()
            + self.dimensions.len()
            + self.hatch_segments.len()
            + self.hatch_arcs.len()
            + self.hatch_ellipses.len()
    }
}

/// Where an item stands: in the drawing itself or in a copy of a block.
#[derive(Clone, Copy)]
struct Frame {
    to_world: Option<Affine>,
    path: u32,
    /// Layer and line style of the INSERT, for what follows it.
    inherited: Option<(u32, u32)>,
    depth: u32,
    paper: bool,
}

/// Everything placed so far.
pub struct Placed {
    pub model: Content,
    pub paper: Content,
    pub sources: Vec<Source>,
    pub block_paths: Vec<String>,
    path_ids: HashMap<(u32, u32), u32>,
    /// Made at the first insert.
    plan: Option<Plan>,
    expanded: u64,
    full: bool,
    /// Blocks drawn in other units than the drawing, by name and units.
    pub other_units: BTreeMap<u32, i64>,
}

impl Default for Placed {
    fn default() -> Self {
        Self {
            model: Content::default(),
            paper: Content::default(),
            sources: Vec::new(),
            block_paths: vec![String::new()],
            path_ids: HashMap::new(),
            plan: None,
            expanded: 0,
            full: false,
            other_units: BTreeMap::new(),
        }
    }
}

impl Placed {
    /// Makes room for so many times what is there to come: a list that grows step by step
    /// is copied at every step, and touches as much memory again.
    pub fn expect_times(&mut self, times: f64) {
        fn room<T>(list: &mut Vec<T>, times: f64) {
            // What never comes is never touched. Where there is no such room, none is needed yet.
            let more = (list.len() as f64 * times).min(limit() as f64) as usize;
            let _ = list.try_reserve_exact(more);
        }
        let Content {
            segments,
            arcs,
            ellipses,
            texts,
            dimensions,
            ..
        } = &mut self.model;
        room(segments, times);
        room(arcs, times);
        room(ellipses, times);
        room(texts, times);
        room(dimensions, times);
        room(&mut self.sources, times);
    }
}

/// Undo point: a primitive with an unusable coordinate takes its whole entity back.
struct Mark([usize; 6]);

impl Placed {
    /// Places an item of the drawing itself. Blocks must be complete.
    pub fn item(&mut self, definitions: &Definitions, item: &Item, paper: bool) {
        let frame = Frame {
            to_world: None,
            path: 0,
            inherited: None,
            depth: 0,
            paper: paper || item.common.paper,
        };
        self.put(definitions, item, &frame, false);
    }

    pub fn content(&mut self, paper: bool) -> &mut Content {
        if paper {
            &mut self.paper
        } else {
            &mut self.model
        }
    }

    fn put(&mut self, definitions: &Definitions, item: &Item, frame: &Frame, cycle: bool) {
        let paper = frame.paper;
        let kind = item.kind;
        let left = match item.shape {
            Shape::Left { what, times } => definitions.leftovers.get(what).map(|l| (l, times)),
            _ => None,
        };
        let (layer, linetype) = resolve(definitions, &item.common, frame.inherited);
        if let Some(reason) = unseen(definitions, item, layer) {
            let (name, times) = match left {
                Some((left, times)) => (left.kind.as_str(), times),
                None => (kind.as_str(), 1),
            };
            let tally = &mut self.content(paper).tally;
            tally.skip(name, &reason, false, times);
            return;
        }
        if let Some((left, times)) = left {
            let tally = &mut self.content(paper).tally;
            tally.skip(&left.kind, &left.reason, left.matters, times);
            return;
        }
        if self.full || self.model.count() + self.paper.count() >= limit() {
            self.over_limit(item, paper);
            return;
        }
        if let Shape::Insert(insert) = &item.shape {
            if cycle {
                self.refuse_insert(definitions, item, insert, paper, "it contains itself");
            } else {
                self.insert(definitions, item, insert, frame, (layer, linetype));
            }
            return;
        }
        let source = self.source(definitions, item, frame.path, (layer, linetype));
        let mark = Mark::of(self.content(paper));
        let outcome = self.draw(definitions, item, frame, source);
        match outcome {
            Ok(()) => self.content(paper).tally.read(kind),
            Err(reason) => {
                self.sources.pop();
                let content = self.content(paper);
                mark.back(content);
                let matters = reason != NO_LENGTH;
                content.tally.skip(kind.as_str(), reason, matters, 1);
            }
        }
    }

    fn over_limit(&mut self, item: &Item, paper: bool) {
        self.full = true;
        let tally = &mut self.content(paper).tally;
        tally.warn(|| {
            format!(
                "the drawing holds more than {MAX_PRIMITIVES} lines, arcs and texts; \
                 the rest is left out. Split it into one file for each cabinet"
            )
        });
        let reason = format!("over the limit of {MAX_PRIMITIVES} lines, arcs and texts");
        tally.skip(item.kind.as_str(), &reason, true, 1);
    }

    fn source(
        &mut self,
        definitions: &Definitions,
        item: &Item,
        block_path: u32,
        (layer, linetype): (u32, u32),
    ) -> SourceId {
        let cue = definitions.cue(layer, linetype);
        let id = SourceId::try_from(self.sources.len()).unwrap_or(SourceId::MAX);
        self.sources.push(Source {
            kind: item.kind,
            handle: item.common.handle,
            layer,
            block_path,
            linetype,
            hidden: cue == Cue::Hidden,
            centre: cue == Cue::Centre,
            position: item.common.position,
        });
        id
    }

    fn draw(
        &mut self,
        definitions: &Definitions,
        item: &Item,
        frame: &Frame,
        source: SourceId,
    ) -> Result<(), &'static str> {
        let content = self.content(frame.paper);
        let to_world = frame.to_world.as_ref();
        match &item.shape {
            Shape::Line(a, b) => {
                let segment = Segment {
                    a: world(to_world, *a)?,
                    b: world(to_world, *b)?,
                    source,
                };
                if segment.a == segment.b {
                    return Err(NO_LENGTH);
                }
                content.segments.push(segment);
                Ok(())
            }
            Shape::Many(outline) => {
                let into = (
                    &mut content.segments,
                    &mut content.arcs,
                    &mut content.ellipses,
                );
                draw::outline(outline, to_world, source, into)
            }
            Shape::Hatch(outline) => {
                let into = (
                    &mut content.hatch_segments,
                    &mut content.hatch_arcs,
                    &mut content.hatch_ellipses,
                );
                draw::outline(outline, to_world, source, into)
            }
            Shape::Text(text) => {
                content.texts.push(draw::text(text, to_world, source)?);
                Ok(())
            }
            Shape::Dimension(dimension) => {
                let drawn = draw::dimension(definitions, dimension, to_world, source)?;
                content.dimensions.push(drawn);
                Ok(())
            }
            Shape::Viewport(v) => {
                // Windows are paper things wherever a file puts them.
                self.paper.viewports.push(Viewport {
                    centre: world(to_world, v.centre)?,
                    width: v.width,
                    height: v.height,
                    view_centre: v.view_centre,
                    view_height: v.view_height,
                    direction: v.direction,
                    target: v.target,
                    twist: v.twist,
                    off: v.off,
                    source,
                });
                Ok(())
            }
            Shape::Insert(_) | Shape::Left { .. } => Ok(()),
        }
    }

    fn refuse_insert(
        &mut self,
        definitions: &Definitions,
        item: &Item,
        insert: &InsertShape,
        paper: bool,
        reason: &str,
    ) {
        let name = short(definitions.block_names.get(insert.block));
        let tally = &mut self.content(paper).tally;
        tally.skip("INSERT", &format!("block {name}: {reason}"), true, 1);
        tally.warn(|| {
            format!(
                "INSERT of block {name} (handle {:X}, at {}) is left out: {reason}",
                item.common.handle, item.common.position
            )
        });
    }

    fn insert(
        &mut self,
        definitions: &Definitions,
        item: &Item,
        insert: &InsertShape,
        frame: &Frame,
        inherited: (u32, u32),
    ) {
        let paper = frame.paper;
        let block = definitions
            .find_block(insert.block)
            .and_then(|index| definitions.block(index).map(|block| (index, block)));
        let Some((index, block)) = block else {
            let reason = "the drawing does not define it";
            self.refuse_insert(definitions, item, insert, paper, reason);
            return;
        };
        if block.external && block.items.is_empty() {
            let reason = "its content is in another file; bind it into this drawing";
            self.refuse_insert(definitions, item, insert, paper, reason);
            return;
        }
        let plan = self.plan.get_or_insert_with(|| Plan::new(definitions));
        let Some(cost) = plan.cost(index) else {
            // Defined after entities were drawn, it is drawn when the file is read again.
            return;
        };
        if frame.depth >= MAX_NESTING {
            let reason = format!("blocks are nested more than {MAX_NESTING} deep");
            self.refuse_insert(definitions, item, insert, paper, &reason);
            return;
        }
        let copies = insert.rows.saturating_mul(insert.columns);
        if frame.depth == 0 {
            let total = cost.primitives.max(1).saturating_mul(copies);
            if cost.depth + 1 > MAX_NESTING {
                let reason = format!("blocks are nested more than {MAX_NESTING} deep");
                self.refuse_insert(definitions, item, insert, paper, &reason);
                return;
            }
            if total > MAX_EXPANDED.saturating_sub(self.expanded) {
                let reason = format!(
                    "exploding it would pass the limit of {MAX_EXPANDED} lines, arcs and texts from blocks"
                );
                self.refuse_insert(definitions, item, insert, paper, &reason);
                return;
            }
            self.expanded += total;
        }
        let placing = Affine::from_ocs(insert.normal)
            .after(&Affine::shift(insert.at))
            .after(&Affine::turn(insert.turn));
        let placing = match &frame.to_world {
            Some(outer) => outer.after(&placing),
            None => placing,
        };
        let inner =
            Affine::stretch(insert.scale).after(&Affine::shift(vector::scale(block.base, -1.0)));
        let path = self.path(definitions, frame.path, insert.block);
        let units = definitions.block_units.get(&insert.block);
        if let (Some(&own), Some(all)) = (units, definitions.header.units) {
            // 0 says nothing.
            if own != 0 && all != 0 && own != all {
                self.other_units.insert(insert.block, own);
            }
        }
        for row in 0..insert.rows {
            for column in 0..insert.columns {
                // The steps turn with the INSERT and are not scaled.
                #[allow(clippy::cast_precision_loss)]
                let step = [
                    column as f64 * insert.column_step,
                    row as f64 * insert.row_step,
                    0.0,
                ];
                let to_world = placing.after(&Affine::shift(step)).after(&inner);
                let frame = Frame {
                    to_world: Some(to_world),
                    path,
                    inherited: Some(inherited),
                    depth: frame.depth + 1,
                    paper,
                };
                for (place, inner) in block.items.iter().enumerate() {
                    let cycle = self
                        .plan
                        .as_ref()
                        .is_some_and(|plan| plan.is_cycle(index, place));
                    self.put(definitions, inner, &frame, cycle);
                }
            }
        }
        // Attributes stand beside the block, not in it.
        let beside = Frame {
            path,
            inherited: Some(inherited),
            depth: frame.depth + 1,
            ..*frame
        };
        for attribute in &insert.attributes {
            self.put(definitions, attribute, &beside, false);
        }
        self.content(paper).tally.read(EntityKind::Insert);
    }

    /// Plans anew when blocks were defined since. A drawing has one section of
    /// blocks; damaged ones have several, and what a new block holds may close a
    /// circle with blocks that are known already.
    fn path(&mut self, definitions: &Definitions, outer: u32, block: u32) -> u32 {
        if let Some(&id) = self.path_ids.get(&(outer, block)) {
            return id;
        }
        let outer_path = self.block_paths.get(outer as usize);
        let outer_path = outer_path.map_or("", String::as_str);
        let name = definitions.block_names.get(block);
        if self.block_paths.len() >= MAX_BLOCK_PATHS
            || outer_path.len() + name.len() > MAX_PATH_BYTES
        {
            return outer;
        }
        let path = if outer_path.is_empty() {
            name.to_owned()
        } else {
            format!("{outer_path}/{name}")
        };
        let id = u32::try_from(self.block_paths.len()).unwrap_or(outer);
        self.block_paths.push(path);
        self.path_ids.insert((outer, block), id);
        id
    }
}

fn limit() -> usize {
    usize::try_from(MAX_PRIMITIVES).unwrap_or(usize::MAX)
}

impl Mark {
    fn of(content: &Content) -> Self {
        Self([
            content.segments.len(),
            content.arcs.len(),
            content.ellipses.len(),
            content.hatch_segments.len(),
            content.hatch_arcs.len(),
            content.hatch_ellipses.len(),
        ])
    }

    fn back(&self, content: &mut Content) {
        let Self(
            [
                segments,
                arcs,
                ellipses,
                hatch_segments,
                hatch_arcs,
                hatch_ellipses,
            ],
        ) = *self;
        content.segments.truncate(segments);
        content.arcs.truncate(arcs);
        content.ellipses.truncate(ellipses);
        content.hatch_segments.truncate(hatch_segments);
        content.hatch_arcs.truncate(hatch_arcs);
        content.hatch_ellipses.truncate(hatch_ellipses);
    }
}
