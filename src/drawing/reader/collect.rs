//! Complete records to table entries, blocks and items.

use std::io::{Read, Seek};

use super::{Open, Pass};
use crate::drawing::definitions::Block;
use crate::drawing::entities::{self, OpenPolyline};
use crate::drawing::groups::Groups;
use crate::drawing::limits::{MAX_ATTRIBUTES, MAX_BLOCK_ITEMS};
use crate::drawing::shape::{Item, Shape};
use crate::drawing::sheet::EntityKind;

impl Pass {
    pub(super) fn table_entry(&mut self) {
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
            self.defining
                .warn(|| format!("table entry {name} at {position} is not used: {reason}"));
        }
    }

    pub(super) fn block_head(&mut self) {
        let record = &self.record;
        let name = record.text(2).or_else(|| record.text(3));
        let base = record.point(10);
        let (Some(name), Ok(base)) = (name, base) else {
            let position = record.position;
            self.defining.warn(|| {
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

    pub(super) fn close_block(&mut self) {
        if let Some(mut block) = self.block.take() {
            block.items.shrink_to_fit();
            let name = block.name;
            if !self.definitions.add_block(block) {
                let name = self.definitions.block_names.get(name);
                self.defining.warn(|| {
                    format!("block {name} is defined more than once; the first one counts")
                });
            }
        }
    }

    pub(super) fn entity(&mut self) {
        match (self.record.name(), &mut self.open) {
            (b"VERTEX", Some(Open::Polyline(polyline))) => {
                polyline.vertex(&self.record);
                return;
            }
            (b"ATTRIB", Some(Open::Insert(insert))) => {
                let attribute = entities::item(&self.record, &mut self.definitions);
                if let Shape::Insert(shape) = &mut insert.shape {
                    if shape.attributes.len() < MAX_ATTRIBUTES {
                        shape.attributes.push(attribute);
                    } else {
                        self.odd = true;
                        let reason = "over the limit of attributes of one INSERT";
                        let tally = match self.block {
                            Some(_) => &mut self.defining,
                            None => &mut self.placed.model.tally,
                        };
                        tally.skip("ATTRIB", reason, true, 1);
                    }
                }
                return;
            }
            (b"SEQEND", Some(_)) => {
                self.close_open();
                return;
            }
            _ => self.close_open(),
        }
        let item = match self.record.name() {
            b"POLYLINE" => {
                let item = Item {
                    common: entities::common(&self.record, &mut self.definitions),
                    kind: EntityKind::Polyline,
                    // Until its vertices are there.
                    shape: Shape::Left { what: 0, times: 0 },
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
        self.note(&item);
        self.deliver(item);
    }

    /// Takes the LINE that starts at this position when it is a plain one; gives the
    /// position of the last group taken, and where the next starts when that is a LINE, too.
    pub(super) fn plain_line<R: Read + Seek>(
        &mut self,
        groups: &mut Groups<R>,
        position: u64,
    ) -> Option<(u64, Option<u64>)> {
        let (line, end) = groups.plain_line()?;
        // As an entity does that is read whole first.
        self.close_open();
        let item = Item {
            common: line.common(position, &mut self.definitions),
            kind: EntityKind::Line,
            shape: Shape::Line(line.a, line.b),
        };
        let next = line.again.then_some(end);
        self.deliver(item);
        Some((end, next))
    }

    /// A number that cannot be read is damage, not just a kind left out.
    pub(super) fn note(&mut self, item: &Item) {
        let Shape::Left { what, .. } = item.shape else {
            return;
        };
        if let Some(left) = self.definitions.leftovers.get(what)
            && left.damage
        {
            let tally = match self.block {
                Some(_) => &mut self.defining,
                None => &mut self.notes,
            };
            tally.warn(|| {
                format!(
                    "{} at {} (handle {:X}) is left out: {}",
                    left.kind, item.common.position, item.common.handle, left.reason
                )
            });
        }
    }

    pub(super) fn close_open(&mut self) {
        let item = match self.open.take() {
            None => return,
            Some(Open::Polyline(polyline)) => polyline.finish(&mut self.definitions),
            Some(Open::Insert(item)) => item,
        };
        self.note(&item);
        self.deliver(item);
    }

    pub(super) fn deliver(&mut self, item: Item) {
        if let Some(understood) = &mut self.understood {
            understood.push(item);
            return;
        }
        match &mut self.block {
            Some(block) => {
                let last = block.items.last_mut();
                if last.is_some_and(|last| last.absorbs(&item)) {
                    return;
                }
                if self.definitions.block_items >= MAX_BLOCK_ITEMS {
                    let reason = "in a block, over the limit of entities in blocks";
                    let tally = &mut self.defining;
                    tally.skip(item.kind.as_str(), reason, true, 1);
                    tally.warn(|| {
                        format!(
                            "the blocks hold more than {MAX_BLOCK_ITEMS} entities; the rest is \
                             left out. Purge the blocks that are not used"
                        )
                    });
                    return;
                }
                self.definitions.block_items += 1;
                block.items.push(item);
            }
            None => self.placed.item(&self.definitions, &item, false),
        }
    }
}
