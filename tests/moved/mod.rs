//! The same drawing drawn elsewhere: turned, mirrored, scaled with its unit, its
//! lines split, doubled, turned end for end, its entities in another order. Works
//! on the text of a DXF file, by a small writer of its own, so that reading is
//! tested with it.

mod entity;

pub use entity::Entity;
use std::collections::BTreeMap;

/// Group code and value.
pub type Pair = (i32, String);

/// Mirrored at the y axis if so, then scaled, turned, and shifted.
#[derive(Clone, Copy, Debug)]
pub struct Move {
    pub mirrored: bool,
    pub scale: f64,
    /// Degrees, counterclockwise.
    pub turn: f64,
    pub shift: [f64; 2],
}

impl Default for Move {
    fn default() -> Self {
        Self {
            mirrored: false,
            scale: 1.0,
            turn: 0.0,
            shift: [0.0; 2],
        }
    }
}

impl Move {
    fn vector(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let x = if self.mirrored { -x } else { x };
        // Quarter turns exactly: the sine of half a turn is not quite nought.
        let (sin, cos) = match self.turn.rem_euclid(360.0) {
            0.0 => (0.0, 1.0),
            90.0 => (1.0, 0.0),
            180.0 => (0.0, -1.0),
            270.0 => (-1.0, 0.0),
            turn => turn.to_radians().sin_cos(),
        };
        [
            self.scale * (x * cos - y * sin),
            self.scale * (x * sin + y * cos),
        ]
    }

    fn point(&self, at: [f64; 2]) -> [f64; 2] {
        let [x, y] = self.vector(at);
        [x + self.shift[0], y + self.shift[1]]
    }

    /// Where a line at an angle lies then, when its letters stay readable.
    fn angle(&self, degrees: f64) -> f64 {
        let kept = if self.mirrored { -degrees } else { degrees };
        (kept + self.turn).rem_euclid(360.0)
    }
}

/// A DXF file as text: what comes before the entities, the entities with what
/// belongs to them, and what comes after.
pub struct Drawing {
    before: Vec<Pair>,
    pub entities: Vec<Vec<Entity>>,
    after: Vec<Pair>,
}

impl Drawing {
    /// # Panics
    /// When the text holds no entities.
    pub fn read(text: &str) -> Self {
        let lines: Vec<&str> = text.lines().collect();
        let mut pairs: Vec<Pair> = lines
            .chunks_exact(2)
            .map(|pair| (pair[0].trim().parse().unwrap(), pair[1].to_owned()))
            .collect();
        let start = section(&pairs, "ENTITIES").expect("entities");
        let end = start + ends(&pairs[start..], "ENDSEC");
        let after = pairs.split_off(end);
        let drawn = pairs.split_off(start);
        let mut entities: Vec<Vec<Entity>> = Vec::new();
        for entity in entity::parted(drawn) {
            match entities.last_mut() {
                Some(last) if entity.follows() => last.push(entity),
                _ => entities.push(vec![entity]),
            }
        }
        Self {
            before: pairs,
            entities,
            after,
        }
    }

    pub fn write(&self) -> String {
        let drawn = self.entities.iter().flatten().flat_map(Entity::pairs);
        self.before
            .iter()
            .chain(drawn)
            .chain(&self.after)
            .map(|(code, value)| format!("{code}\n{value}\n"))
            .collect()
    }

    /// Moves everything drawn, with the pictures dimensions keep of themselves.
    pub fn place(&mut self, to: Move) {
        for entity in self.entities.iter_mut().flatten() {
            entity.place(&to);
        }
        self.pictures(|entity| entity.place(&to));
    }

    /// Says another unit (a value of `$INSUNITS`) and draws in it.
    pub fn in_unit(&mut self, code: &str, factor: f64) {
        let metric = if code == "1" { "0" } else { "1" };
        for (name, value) in [("$INSUNITS", code), ("$MEASUREMENT", metric)] {
            let at = self.before.iter().position(|pair| pair.1 == name).unwrap();
            self.before[at + 1].1 = value.to_owned();
        }
        self.place(Move {
            scale: factor,
            ..Move::default()
        });
        // A dimension without text of its own writes what it measures then.
        self.pictures(|entity| entity.number(factor));
    }

    /// Applies to the entities of the blocks that are pictures of dimensions.
    fn pictures(&mut self, mut apply: impl FnMut(&mut Entity)) {
        let Some(start) = section(&self.before, "BLOCKS") else {
            return;
        };
        let rest = self.before.split_off(start);
        let mut is_picture = false;
        for mut entity in entity::parted(rest) {
            match entity.kind() {
                "BLOCK" => {
                    is_picture = entity.text(2).is_some_and(|name| name.starts_with("*D"));
                }
                "ENDBLK" => is_picture = false,
                _ if is_picture => apply(&mut entity),
                _ => {}
            }
            self.before.extend(entity.into_pairs());
        }
    }

    /// Cuts every line at a part of its length, and polylines likewise.
    pub fn split(&mut self, part: f64) {
        let mut next = 0xF0_0000;
        for group in &mut self.entities {
            if let [only] = &mut group[..]
                && let Some(rest) = only.split(part)
            {
                group.push(rest);
            }
        }
        self.renumber(&mut next);
    }

    /// Draws every line, polyline and circle a second time.
    pub fn double(&mut self) {
        let again: Vec<Vec<Entity>> = self
            .entities
            .iter()
            .filter(|group| ["LINE", "LWPOLYLINE", "POLYLINE", "CIRCLE"].contains(&group[0].kind()))
            .cloned()
            .collect();
        self.entities.extend(again);
        self.renumber(&mut 0xF0_0000);
    }

    /// Starts every line where it ended.
    pub fn reverse(&mut self) {
        for entity in self.entities.iter_mut().flatten() {
            entity.reverse();
        }
    }

    /// Puts the entities into the order of the keys, each taken as often as needed.
    pub fn shuffle(&mut self, keys: &[u32]) {
        let groups = std::mem::take(&mut self.entities);
        let mut keyed: Vec<(u32, Vec<Entity>)> = groups
            .into_iter()
            .enumerate()
            .map(|(at, group)| {
                let round = u32::try_from(at / keys.len()).unwrap() + 1;
                let key = keys[at % keys.len()].wrapping_mul(2 * round + 1);
                (key, group)
            })
            .collect();
        keyed.sort_by_key(|(key, _)| *key);
        self.entities = keyed.into_iter().map(|(_, group)| group).collect();
    }

    /// Gives entities that have the handle of another one of their own.
    fn renumber(&mut self, next: &mut u32) {
        let mut seen: BTreeMap<String, ()> = BTreeMap::new();
        for entity in self.entities.iter_mut().flatten() {
            let Some(handle) = entity.text_mut(5) else {
                continue;
            };
            if seen.insert(handle.clone(), ()).is_some() {
                *handle = format!("{next:X}");
                *next += 1;
            }
        }
    }
}

/// Where the content of a section starts.
fn section(pairs: &[Pair], name: &str) -> Option<usize> {
    pairs
        .windows(2)
        .position(|two| two[0].1.trim() == "SECTION" && two[1].1.trim() == name)
        .map(|at| at + 2)
}

fn ends(pairs: &[Pair], name: &str) -> usize {
    pairs
        .iter()
        .position(|pair| pair.0 == 0 && pair.1.trim() == name)
        .unwrap()
}
