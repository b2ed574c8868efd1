//! What exploding each block would draw, found before anything is exploded:
//! so that cycles, nesting bombs and arrays of a thousand million are refused
//! as a whole instead of filling memory.

use std::collections::HashSet;

use super::definitions::Definitions;
use super::shape::{Item, Shape};

#[derive(Debug, Default)]
pub struct Plan {
    blocks: Vec<Cost>,
    /// INSERTs (block, place in it) that lead back to a block around them.
    cut: HashSet<(u32, usize)>,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Cost {
    /// Primitives drawn by one copy, everything within included.
    pub primitives: u64,
    /// Levels of INSERTs within.
    pub depth: u32,
}

/// Cost of an item outside or inside a block; `None` inside means unknown.
fn copies(item: &Item) -> Option<(u32, u64)> {
    match &item.shape {
        Shape::Insert(insert) => Some((insert.block, insert.rows.saturating_mul(insert.columns))),
        _ => None,
    }
}

impl Plan {
    pub fn new(definitions: &Definitions) -> Self {
        #[derive(Clone, Copy, PartialEq)]
        enum State {
            New,
            Open,
            Done,
        }
        let count = definitions.blocks.len();
        let mut plan = Self {
            blocks: vec![Cost::default(); count],
            cut: HashSet::new(),
        };
        let mut states = vec![State::New; count];
        for root in 0..u32::try_from(count).unwrap_or(u32::MAX) {
            if states.get(root as usize) != Some(&State::New) {
                continue;
            }
            // Block, next item, cost so far: a stack of our own, because
            // nesting may be deeper than the program's.
            let mut stack = vec![(root, 0_usize, Cost::default())];
            set(&mut states, root, State::Open);
            while let Some((block, next, cost)) = stack.last_mut() {
                let block = *block;
                let items = definitions.block(block).map_or(&[][..], |b| &b.items);
                let Some(item) = items.get(*next) else {
                    let done = *cost;
                    set(&mut plan.blocks, block, done);
                    set(&mut states, block, State::Done);
                    stack.pop();
                    continue;
                };
                let inner = copies(item)
                    .and_then(|(name, n)| definitions.find_block(name).map(|inner| (inner, n)));
                let state = inner.and_then(|(inner, _)| states.get(inner as usize).copied());
                match (inner, state) {
                    (Some((inner, _)), Some(State::New)) => {
                        // The same item is met again when the inner one is done.
                        set(&mut states, inner, State::Open);
                        stack.push((inner, 0, Cost::default()));
                        continue;
                    }
                    (Some(_), Some(State::Open)) => {
                        plan.cut.insert((block, *next));
                        cost.primitives = cost.primitives.saturating_add(1);
                    }
                    (Some((inner, n)), _) => {
                        let within = plan.blocks.get(inner as usize).copied().unwrap_or_default();
                        cost.add(item, within, n);
                    }
                    (None, _) => cost.primitives = cost.primitives.saturating_add(item.weight()),
                }
                *next += 1;
            }
        }
        plan
    }

    /// Cost of one copy of a block; `None` for one that came later.
    pub fn cost(&self, block: u32) -> Option<Cost> {
        self.blocks.get(block as usize).copied()
    }

    /// True when this INSERT leads back to a block around it.
    pub fn is_cycle(&self, block: u32, place: usize) -> bool {
        self.cut.contains(&(block, place))
    }
}

impl Cost {
    fn add(&mut self, item: &Item, within: Self, copies: u64) {
        // Every copy costs at least one, also of an empty block: the copying
        // itself takes time.
        let drawn = within.primitives.max(1).saturating_mul(copies);
        self.primitives = self
            .primitives
            .saturating_add(drawn)
            .saturating_add(item.weight());
        self.depth = self.depth.max(within.depth.saturating_add(1));
    }
}

fn set<T>(list: &mut [T], at: u32, value: T) {
    if let Some(slot) = list.get_mut(at as usize) {
        *slot = value;
    }
}
