//! Items to primitives: visibility, inherited properties, explosion of blocks.

use std::collections::{BTreeMap, HashMap};

use super::Point;
use super::conic::{self, Round};
use super::cue::Cue;
use super::definitions::{BY_BLOCK, BY_LAYER, CONTINUOUS, Definitions};
use super::limits::{
    MAX_BLOCK_PATHS, MAX_COORDINATE, MAX_EXPANDED, MAX_NESTING, MAX_PATH_BYTES, MAX_PRIMITIVES,
};
use super::plan::Plan;
use super::shape::{Common, DimensionShape, InsertShape, Item, Outline, Shape, TextShape};
use super::sheet::{
    Arc, Dimension, DimensionKind, Ellipse, EntityKind, Segment, Source, SourceId, Text, Viewport,
};
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
        if let Shape::Left(left) = &item.shape {
            let (name, reason) = &**left;
            let tally = &mut self.content(paper).tally;
            tally.skip(name, &reason.to_string(), reason.matters());
            return;
        }
        let (layer, linetype) = resolve(definitions, &item.common, frame);
        if let Some(reason) = unseen(definitions, item, layer) {
            self.content(paper)
                .tally
                .skip(kind.as_str(), &reason, false);
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
                content
                    .tally
                    .skip(kind.as_str(), reason, reason != NO_LENGTH);
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
        tally.skip(item.kind.as_str(), &reason, true);
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
                draw_outline(outline, to_world, source, into)
            }
            Shape::Hatch(outline) => {
                let into = (
                    &mut content.hatch_segments,
                    &mut content.hatch_arcs,
                    &mut content.hatch_ellipses,
                );
                draw_outline(outline, to_world, source, into)
            }
            Shape::Text(text) => {
                content.texts.push(draw_text(text, to_world, source)?);
                Ok(())
            }
            Shape::Dimension(dimension) => {
                let drawn = draw_dimension(definitions, dimension, to_world, source)?;
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
            Shape::Insert(_) | Shape::Left(_) => Ok(()),
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
        tally.skip("INSERT", &format!("block {name}: {reason}"), true);
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
        let cost = plan.cost(index);
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

const NO_LENGTH: &str = "no length";
const TOO_FAR: &str = "a coordinate is farther out than a drawing can be measured";
const FLAT: &str = "scaled to nothing";

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

/// Layer and line style in force. What lies on layer 0 of a block takes the
/// layer of the INSERT; `ByBlock` takes its line style.
fn resolve(definitions: &Definitions, common: &Common, frame: &Frame) -> (u32, u32) {
    const LAYER_0: u32 = 0;
    let layer = match frame.inherited {
        Some((layer, _)) if common.layer == LAYER_0 => layer,
        _ => common.layer,
    };
    let linetype = match (common.linetype, frame.inherited) {
        (BY_LAYER, _) => definitions.layer(layer).linetype,
        (BY_BLOCK, Some((_, linetype))) => linetype,
        (BY_BLOCK, None) => CONTINUOUS,
        (own, _) => own,
    };
    (layer, linetype)
}

/// Why an item does not show, if it does not. A frozen layer hides an INSERT
/// with all it holds; a layer switched off hides only what lies on it.
fn unseen(definitions: &Definitions, item: &Item, layer: u32) -> Option<String> {
    if item.common.invisible {
        return Some("invisible".to_owned());
    }
    let name = definitions.layer_names.get(layer);
    if super::is_mark_layer(name) {
        return Some("marks of an earlier check".to_owned());
    }
    let state = definitions.layer(layer);
    let is_insert = matches!(item.shape, Shape::Insert(_));
    let is_window = matches!(item.shape, Shape::Viewport(_));
    let what = if state.frozen {
        "is frozen"
    } else if state.off && !is_insert && !is_window {
        "is switched off"
    } else if state.never_prints && !is_insert && !is_window {
        "never prints"
    } else {
        return None;
    };
    Some(format!("layer {} {what}", short(name)))
}

/// Names of any length fit into a sentence.
fn short(name: &str) -> &str {
    let end = name.char_indices().nth(80).map_or(name.len(), |(i, _)| i);
    name.get(..end).unwrap_or(name)
}

fn world(to_world: Option<&Affine>, point: Point) -> Result<Point, &'static str> {
    let point = match to_world {
        Some(map) => map.point(point),
        None => point,
    };
    if point.iter().all(|c| c.abs() <= MAX_COORDINATE) {
        Ok(point)
    } else {
        Err(TOO_FAR)
    }
}

type Into<'a> = (&'a mut Vec<Segment>, &'a mut Vec<Arc>, &'a mut Vec<Ellipse>);

fn draw_outline(
    outline: &Outline,
    to_world: Option<&Affine>,
    source: SourceId,
    (segments, arcs, ellipses): Into<'_>,
) -> Result<(), &'static str> {
    let mut drawn = false;
    for &(a, b) in &outline.segments {
        let (a, b) = (world(to_world, a)?, world(to_world, b)?);
        if a != b {
            segments.push(Segment { a, b, source });
            drawn = true;
        }
    }
    for conic in &outline.conics {
        let conic = match to_world {
            Some(map) => conic.under(map),
            None => *conic,
        };
        // The box of the whole curve stays in bounds.
        for axis in [conic.u, conic.v] {
            world(None, vector::add(conic.centre, axis))?;
            world(None, vector::sub(conic.centre, axis))?;
        }
        match conic::round(&conic, source) {
            Some(Round::Arc(arc)) => arcs.push(arc),
            Some(Round::Ellipse(ellipse)) => ellipses.push(ellipse),
            None => return Err(FLAT),
        }
        drawn = true;
    }
    if drawn { Ok(()) } else { Err(NO_LENGTH) }
}

fn draw_text(
    text: &TextShape,
    to_world: Option<&Affine>,
    source: SourceId,
) -> Result<Text, &'static str> {
    let at = world(to_world, text.at)?;
    let (along, up) = match to_world {
        Some(map) => (map.vector(text.along), map.vector(text.up)),
        None => (text.along, text.up),
    };
    let [x, y, _] = along;
    // Height is measured square to the line of text, also when it is slanted.
    let height = match vector::unit(along) {
        Some(unit) => vector::length(vector::cross(unit, up)),
        None => vector::length(up),
    };
    world(None, [height, x, y])?;
    Ok(Text {
        text: text.text.clone(),
        at,
        height,
        rotation: y.atan2(x),
        source,
    })
}

fn draw_dimension(
    definitions: &Definitions,
    dimension: &DimensionShape,
    to_world: Option<&Affine>,
    source: SourceId,
) -> Result<Dimension, &'static str> {
    let from = world(to_world, dimension.from)?;
    let to = world(to_world, dimension.to)?;
    let line_at = world(to_world, dimension.line_at)?;
    let between = vector::sub(to, from);
    let along = match (dimension.along, to_world) {
        (Some(along), Some(map)) => vector::unit(map.vector(along)),
        (along, _) => along,
    };
    let (measured, [x, y, _]) = match (dimension.kind, along) {
        (DimensionKind::Angular, _) => (dimension.opening, between),
        (_, Some(along)) => (vector::dot(between, along).abs(), along),
        (_, None) => (vector::length(between), between),
    };
    let style = dimension.style.and_then(|id| definitions.style_factor(id));
    let (factor, factor_origin) = [
        (dimension.factor, "the dimension's own override"),
        (style, "its dimension style"),
        (definitions.header.factor, "the drawing's header"),
    ]
    .into_iter()
    .find_map(|(factor, origin)| factor.map(|factor| (factor, origin)))
    .unwrap_or((1.0, "nothing says otherwise"));
    let drawn_text = dimension
        .block
        .and_then(|name| definitions.find_block(name))
        .and_then(|index| definitions.block(index))
        .and_then(|block| {
            block.items.iter().find_map(|item| match &item.shape {
                Shape::Text(text) => Some(text.text.clone()),
                _ => None,
            })
        });
    Ok(Dimension {
        kind: dimension.kind,
        from,
        to,
        line_at,
        angle: y.atan2(x),
        measured,
        text: dimension.text.clone(),
        around: dimension.around.clone(),
        suppressed: dimension.suppressed,
        stated: dimension.stated,
        drawn_text,
        factor,
        factor_origin,
        source,
    })
}
