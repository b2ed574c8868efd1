//! The groups of one entity or table entry, kept until its end. One record is
//! used over and over, so that reading allocates next to nothing.

use super::Point;
use super::groups::Value;
use super::limits::{MAX_ENTITY_BYTES, MAX_ENTITY_GROUPS};
use super::number;
use super::refusal::Refusal;

/// A group as kept. Of plain numbers and not an `enum`: millions are written a second,
/// and one that is put together in parts and moved as a whole makes the processor wait.
#[derive(Clone, Copy, Debug)]
struct Kept {
    code: i32,
    /// Bytes of a text, or [`REAL`] or [`INT`].
    length: u32,
    /// Where the text starts, or the number.
    bits: u64,
}

/// No text is as long.
const REAL: u32 = u32::MAX;
const INT: u32 = u32::MAX - 1;

/// Codes below this are looked up by number.
const QUICK: usize = 80;
/// No field of a code.
const NONE: u16 = u16::MAX;

#[derive(Debug)]
pub struct Record {
    /// Type as written.
    name: Vec<u8>,
    /// Line (ASCII) or byte offset (binary) of the type.
    pub position: u64,
    fields: Vec<Kept>,
    /// The first field of each small code; extended data left out.
    first: [u16; QUICK],
    extended: bool,
    bytes: Vec<u8>,
    /// Later groups belong to an object embedded in this one.
    embedded: bool,
    /// More groups than the limit.
    pub overflow: bool,
}

impl Default for Record {
    fn default() -> Self {
        Self {
            name: Vec::new(),
            position: 0,
            fields: Vec::new(),
            first: [NONE; QUICK],
            extended: false,
            bytes: Vec::new(),
            embedded: false,
            overflow: false,
        }
    }
}

impl Record {
    pub fn start(&mut self, name: &[u8], position: u64) {
        self.name.clear();
        self.name.extend_from_slice(name);
        self.position = position;
        self.fields.clear();
        self.first = [NONE; QUICK];
        self.extended = false;
        self.bytes.clear();
        self.embedded = false;
        self.overflow = false;
    }

    pub fn name(&self) -> &[u8] {
        &self.name
    }

    pub fn add(&mut self, code: i32, value: Value<'_>) {
        match code {
            // Markers, owners, comments and binary data tell nothing measured.
            100 | 310..=319 | 330 | 360 | 370 | 390 | 999 => return,
            // "Embedded Object" (2018): its groups reuse the codes of the host.
            101 => self.embedded = true,
            _ => {}
        }
        if self.embedded && code < 1000 {
            return;
        }
        if self.fields.len() >= MAX_ENTITY_GROUPS || self.bytes.len() >= MAX_ENTITY_BYTES {
            self.overflow = true;
            return;
        }
        let (length, bits) = match value {
            Value::Real(v) => (REAL, v.to_bits()),
            Value::Int(v) => (INT, v.cast_unsigned()),
            // Coordinates, lengths, angles: all of them will be asked for.
            Value::Text(text) if (10..=59).contains(&code) => match number::real(text) {
                Some(number) => (REAL, number.to_bits()),
                None => self.keep(text),
            },
            Value::Text(text) => self.keep(text),
        };
        self.extended |= code >= 1000;
        let slot = usize::try_from(code)
            .ok()
            .and_then(|c| self.first.get_mut(c));
        if let Some(slot) = slot.filter(|slot| **slot == NONE && !self.extended) {
            // Later ones than that are found the long way.
            *slot = u16::try_from(self.fields.len()).unwrap_or(NONE);
        }
        self.fields.push(Kept { code, length, bits });
    }

    /// Length and start of a text among the bytes.
    fn keep(&mut self, text: &[u8]) -> (u32, u64) {
        let start = self.bytes.len();
        self.bytes.extend_from_slice(text);
        // One line fits: MAX_ENTITY_BYTES is far below 4 GB.
        (u32::try_from(text.len()).unwrap_or(0), start as u64)
    }

    /// All groups in file order.
    pub fn fields(&self) -> impl Iterator<Item = Field<'_>> {
        self.fields.iter().map(|field| self.field(field))
    }

    fn field(&self, kept: &Kept) -> Field<'_> {
        let value = match kept.length {
            REAL => Value::Real(f64::from_bits(kept.bits)),
            INT => Value::Int(kept.bits.cast_signed()),
            length => {
                let start = kept.bits as usize;
                let text = self.bytes.get(start..start + length as usize);
                Value::Text(text.unwrap_or_default())
            }
        };
        Field {
            code: kept.code,
            value,
        }
    }

    /// Groups of the entity itself: extended data (1000 and up) left out.
    pub fn own(&self) -> impl Iterator<Item = Field<'_>> {
        self.fields().take_while(|field| field.code < 1000)
    }

    pub fn first(&self, code: i32) -> Option<Field<'_>> {
        match usize::try_from(code).ok().and_then(|c| self.first.get(c)) {
            Some(&at) if at != NONE => self.fields.get(usize::from(at)).map(|f| self.field(f)),
            Some(_) if self.fields.len() < usize::from(NONE) => None,
            _ => self.own().find(|field| field.code == code),
        }
    }

    /// # Errors
    /// When the group is there and no number.
    pub fn real(&self, code: i32) -> Result<Option<f64>, Refusal> {
        self.first(code).map(|field| field.real()).transpose()
    }

    /// # Errors
    /// As [`Record::real`].
    pub fn real_or(&self, code: i32, default: f64) -> Result<f64, Refusal> {
        Ok(self.real(code)?.unwrap_or(default))
    }

    /// # Errors
    /// When the group is there and no whole number.
    pub fn int(&self, code: i32) -> Result<Option<i64>, Refusal> {
        self.first(code).map(|field| field.int()).transpose()
    }

    /// # Errors
    /// As [`Record::int`].
    pub fn int_or(&self, code: i32, default: i64) -> Result<i64, Refusal> {
        Ok(self.int(code)?.unwrap_or(default))
    }

    pub fn text(&self, code: i32) -> Option<&[u8]> {
        self.first(code).and_then(|field| field.text())
    }

    /// Point whose x has this code; y and z follow ten higher each.
    ///
    /// # Errors
    /// When a coordinate is no number.
    pub fn point(&self, code: i32) -> Result<Option<Point>, Refusal> {
        let (x, y) = (self.real(code)?, self.real(code + 10)?);
        let (Some(x), Some(y)) = (x, y) else {
            return Ok(None);
        };
        Ok(Some([x, y, self.real_or(code + 20, 0.0)?]))
    }

    /// # Errors
    /// When the point is missing or a coordinate is no number.
    pub fn needed_point(&self, code: i32) -> Result<Point, Refusal> {
        self.point(code)?.ok_or(Refusal::Missing(code))
    }

    /// Extrusion direction, world z when not given.
    ///
    /// # Errors
    /// When a coordinate is no number.
    pub fn normal(&self) -> Result<Point, Refusal> {
        let [mut x, mut y, mut z] = super::vector::Z;
        for field in self.own() {
            match field.code {
                210 => x = field.real()?,
                220 => y = field.real()?,
                230 => z = field.real()?,
                _ => {}
            }
        }
        Ok([x, y, z])
    }
}

/// A group of a record.
#[derive(Clone, Copy, Debug)]
pub struct Field<'a> {
    pub code: i32,
    pub value: Value<'a>,
}

impl<'a> Field<'a> {
    /// # Errors
    /// When the value is no finite number.
    pub fn real(&self) -> Result<f64, Refusal> {
        let value = match self.value {
            Value::Real(v) => Some(v),
            #[allow(clippy::cast_precision_loss)]
            Value::Int(v) => Some(v as f64),
            Value::Text(text) => number::real(text),
        };
        value
            .filter(|v| v.is_finite())
            .ok_or(Refusal::Number(self.code))
    }

    /// # Errors
    /// When the value is no whole number.
    pub fn int(&self) -> Result<i64, Refusal> {
        match self.value {
            Value::Int(v) => Some(v),
            Value::Real(v) => number::whole(v),
            Value::Text(text) => number::integer(text),
        }
        .ok_or(Refusal::Number(self.code))
    }

    pub fn text(&self) -> Option<&'a [u8]> {
        match self.value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }
}
