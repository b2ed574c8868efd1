//! One entity of a DXF file as group codes and values, and how each kind moves.

use super::{Move, Pair};

#[derive(Clone, Debug)]
pub struct Entity(Vec<Pair>);

/// Codes of an entity's kind that hold x of a point; y is the code ten higher.
fn points(kind: &str) -> &'static [i32] {
    match kind {
        "LINE" | "TEXT" | "ATTRIB" => &[10, 11],
        "POINT" | "CIRCLE" | "LWPOLYLINE" | "VERTEX" | "INSERT" | "MTEXT" => &[10],
        "HATCH" => &[10, 11],
        "SOLID" => &[10, 11, 12, 13],
        "DIMENSION" => &[10, 11, 13, 14, 15, 16],
        "POLYLINE" | "SEQEND" => &[],
        other => panic!("no rule for moving {other}"),
    }
}

/// Codes that hold lengths.
fn lengths(kind: &str) -> &'static [i32] {
    match kind {
        "CIRCLE" | "TEXT" | "ATTRIB" => &[40],
        "MTEXT" => &[40, 41, 43],
        "LWPOLYLINE" | "VERTEX" | "POLYLINE" => &[40, 41, 43],
        "INSERT" => &[41, 42, 43],
        "DIMENSION" => &[42],
        _ => &[],
    }
}

/// The entities of a section's content.
pub fn parted(pairs: Vec<Pair>) -> Vec<Entity> {
    let mut out: Vec<Entity> = Vec::new();
    for pair in pairs {
        match out.last_mut() {
            Some(last) if pair.0 != 0 => last.0.push(pair),
            _ => out.push(Entity(vec![pair])),
        }
    }
    out
}

impl Entity {
    pub fn kind(&self) -> &str {
        self.0[0].1.trim()
    }

    pub fn pairs(&self) -> &[Pair] {
        &self.0
    }

    pub fn into_pairs(self) -> Vec<Pair> {
        self.0
    }

    /// Belongs to the entity before it.
    pub fn follows(&self) -> bool {
        ["VERTEX", "ATTRIB", "SEQEND"].contains(&self.kind())
    }

    fn find(&self, code: i32) -> Option<usize> {
        self.0.iter().position(|pair| pair.0 == code)
    }

    pub fn text(&self, code: i32) -> Option<&str> {
        self.find(code).map(|at| self.0[at].1.trim())
    }

    pub fn text_mut(&mut self, code: i32) -> Option<&mut String> {
        self.find(code).map(|at| &mut self.0[at].1)
    }

    fn at(&self, at: usize) -> f64 {
        self.0[at].1.trim().parse().unwrap()
    }

    fn value(&self, code: i32) -> Option<f64> {
        self.find(code).map(|at| self.at(at))
    }

    /// Puts a value in the place of the first of its code, or behind the first point.
    fn set(&mut self, code: i32, value: impl ToString) {
        match self.find(code) {
            Some(at) => self.0[at].1 = value.to_string(),
            None => {
                let last = if self.find(30).is_some() { 30 } else { 20 };
                let at = self.find(last).unwrap() + 1;
                self.0.insert(at, (code, value.to_string()));
            }
        }
    }

    /// Every place of a point: of its x and of its y.
    fn places(&self, code: i32) -> Vec<(usize, usize)> {
        let xs = (0..self.0.len()).filter(|at| self.0[*at].0 == code);
        xs.map(|x| {
            let y = (x + 1..self.0.len()).find(|at| self.0[*at].0 == code + 10);
            (x, y.unwrap())
        })
        .collect()
    }

    pub fn place(&mut self, to: &Move) {
        let kind = self.kind().to_owned();
        assert!(
            self.value(230).is_none_or(|z| z > 0.0),
            "{kind} seen from below"
        );
        for code in points(&kind) {
            // The first point of a hatch is its height above the sheet.
            let skip = usize::from(kind == "HATCH" && *code == 10);
            for (x, y) in self.places(*code).into_iter().skip(skip) {
                let moved = to.point([self.at(x), self.at(y)]);
                self.0[x].1 = moved[0].to_string();
                self.0[y].1 = moved[1].to_string();
            }
        }
        if to.scale != 1.0 {
            for at in 0..self.0.len() {
                if lengths(&kind).contains(&self.0[at].0) {
                    self.0[at].1 = (self.at(at) * to.scale).to_string();
                }
            }
        }
        match kind.as_str() {
            "TEXT" | "ATTRIB" => {
                self.turn(to);
                if to.mirrored {
                    self.other_side();
                    self.other_hand();
                }
            }
            "MTEXT" => {
                self.direction(to);
                if to.mirrored {
                    self.other_hand();
                    let corner = self.value(71).unwrap_or(1.0);
                    // Sizes are written to be read from below or from the right.
                    let angle = self.value(50).unwrap_or(0.0);
                    if corner == 5.0 && angle > 90.0 && angle <= 270.0 {
                        self.set(50, angle - 180.0);
                    }
                    // Corners count in threes, from the left to the right.
                    let across = corner - 2.0 * ((corner - 1.0) % 3.0 - 1.0);
                    self.set(71, across);
                }
            }
            "INSERT" => {
                self.turn(to);
                if to.mirrored || to.scale != 1.0 {
                    for code in [41, 42, 43] {
                        let own = if to.mirrored && code == 41 { -1.0 } else { 1.0 };
                        let scale = match self.value(code) {
                            Some(scaled) => scaled * own,
                            None => to.scale * own,
                        };
                        self.set(code, scale);
                    }
                }
            }
            "DIMENSION" if self.value(70).is_some_and(|kind| kind as i32 & 7 == 0) => {
                self.turn(to);
            }
            "LWPOLYLINE" | "VERTEX" if to.mirrored => {
                for pair in &mut self.0 {
                    if pair.0 == 42 {
                        pair.1 = (-pair.1.trim().parse::<f64>().unwrap()).to_string();
                    }
                }
            }
            _ => {}
        }
    }

    fn turn(&mut self, to: &Move) {
        let angle = to.angle(self.value(50).unwrap_or(0.0));
        self.set(50, angle);
    }

    /// The direction of letters is a vector or an angle.
    fn direction(&mut self, to: &Move) {
        match self.places(11).first() {
            Some(&(x, y)) => {
                let angle = to.angle(self.at(y).atan2(self.at(x)).to_degrees());
                let (sin, cos) = angle.to_radians().sin_cos();
                self.0[x].1 = cos.to_string();
                self.0[y].1 = sin.to_string();
            }
            None => self.turn(to),
        }
    }

    /// Text that began at a point ends there: it is read as before, in the mirrored
    /// place.
    fn other_side(&mut self) {
        let across = self.value(72).unwrap_or(0.0);
        let level = self.value(73).or(self.value(74)).unwrap_or(0.0);
        if across == 0.0 {
            if level == 0.0 {
                let at = [self.value(10).unwrap(), self.value(20).unwrap()];
                self.set(21, at[1]);
                self.set(11, at[0]);
            }
            self.set(72, 2);
        } else if across == 2.0 {
            if level == 0.0 {
                let at = [self.value(11).unwrap(), self.value(21).unwrap()];
                self.set(10, at[0]);
                self.set(20, at[1]);
            }
            self.set(72, 0);
        }
    }

    /// What was the right end is the left end then.
    fn other_hand(&mut self) {
        if let Some(text) = self.text_mut(1) {
            let mut out = String::new();
            for piece in text.split_inclusive(|c: char| !c.is_alphabetic()) {
                let word = piece.trim_end_matches(|c: char| !c.is_alphabetic());
                out += match word {
                    "RIGHT" => "LEFT",
                    "LEFT" => "RIGHT",
                    "Right" => "Left",
                    "Left" => "Right",
                    other => other,
                };
                out += &piece[word.len()..];
            }
            *text = out;
        }
    }

    /// Text that is a plain number, in another unit.
    pub fn number(&mut self, factor: f64) {
        if !["TEXT", "MTEXT"].contains(&self.kind()) {
            return;
        }
        if let Some(text) = self.text_mut(1)
            && let Ok(number) = text.trim().parse::<f64>()
        {
            *text = format!("{:.3}", number * factor);
        }
    }

    /// Cuts a line and gives the rest of it; puts a corner into every straight side
    /// of a polyline.
    pub fn split(&mut self, part: f64) -> Option<Entity> {
        let between = |a: f64, b: f64| a + (b - a) * part;
        match self.kind() {
            "LINE" => {
                let mut rest = self.clone();
                for code in [10, 20] {
                    let (a, b) = (self.value(code).unwrap(), self.value(code + 1).unwrap());
                    self.set(code + 1, between(a, b));
                    rest.set(code, between(a, b));
                }
                Some(rest)
            }
            "LWPOLYLINE" if self.find(42).is_none() && self.find(40).is_none() => {
                let places = self.places(10);
                let mut count = places.len();
                for two in places.windows(2).rev() {
                    let x = between(self.at(two[0].0), self.at(two[1].0));
                    let y = between(self.at(two[0].1), self.at(two[1].1));
                    let corner = [(10, x.to_string()), (20, y.to_string())];
                    self.0.splice(two[1].0..two[1].0, corner);
                    count += 1;
                }
                self.set(90, count);
                None
            }
            _ => None,
        }
    }

    pub fn reverse(&mut self) {
        if self.kind() != "LINE" {
            return;
        }
        for pair in &mut self.0 {
            pair.0 = match pair.0 {
                10 => 11,
                11 => 10,
                20 => 21,
                21 => 20,
                30 => 31,
                31 => 30,
                other => other,
            };
        }
    }
}
