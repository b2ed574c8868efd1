//! Groups of a binary DXF file (DXF Reference, "Binary DXF Files"). Codes take
//! one byte up to Release 12 (255 announces a two-byte code) and two after it.

use std::io::{self, BufReader, Read};

use super::groups::{End, Group, Value};
use super::limits::MAX_LINE_BYTES;

pub struct Binary<R> {
    reader: BufReader<R>,
    /// Offset of the next byte in the file.
    offset: u64,
    wide: bool,
    text: Vec<u8>,
    overlong: u64,
}

/// How the value of a code is stored.
enum Kind {
    Text,
    Real,
    Byte,
    Short,
    Long,
    LongLong,
    Chunk,
}

fn kind_of(code: i32) -> Option<Kind> {
    Some(match code {
        10..=59 | 110..=149 | 210..=239 | 460..=469 | 1010..=1059 => Kind::Real,
        60..=79 | 170..=179 | 270..=289 | 370..=389 | 400..=409 | 1060..=1070 => Kind::Short,
        90..=99 | 420..=429 | 440..=459 | 1071 => Kind::Long,
        160..=169 => Kind::LongLong,
        290..=299 => Kind::Byte,
        310..=319 | 1004 => Kind::Chunk,
        -5..=9
        | 100..=102
        | 105
        | 300..=309
        | 320..=369
        | 390..=399
        | 410..=419
        | 430..=439
        | 470..=481
        | 999..=1003
        | 1005..=1009 => Kind::Text,
        _ => return None,
    })
}

impl<R: Read> Binary<R> {
    /// `offset` is where the reader stands; `wide` says codes take two bytes.
    pub fn new(reader: R, offset: u64, wide: bool) -> Self {
        Self {
            reader: BufReader::with_capacity(256 * 1024, reader),
            offset,
            wide,
            text: Vec::new(),
            overlong: 0,
        }
    }

    pub fn overlong(&self) -> u64 {
        self.overlong
    }

    pub fn into_inner(self) -> R {
        self.reader.into_inner()
    }

    pub fn next(&mut self) -> io::Result<Result<Group<'_>, End>> {
        let position = self.offset;
        let Some([first]) = self.take()? else {
            return Ok(Err(End::Clean));
        };
        let code = if self.wide {
            let Some([second]) = self.take()? else {
                return Ok(Err(End::Cut));
            };
            i32::from(i16::from_le_bytes([first, second]))
        } else if first == 255 {
            let Some(bytes) = self.take()? else {
                return Ok(Err(End::Cut));
            };
            i32::from(i16::from_le_bytes(bytes))
        } else {
            i32::from(first)
        };
        // Without lengths there is no way to find the next group again.
        let Some(kind) = kind_of(code) else {
            return Ok(Err(End::Cut));
        };
        let value = match kind {
            Kind::Real => self.take()?.map(|b| Value::Real(f64::from_le_bytes(b))),
            Kind::Byte => self.take()?.map(|[b]| Value::Int(i64::from(b))),
            Kind::Short => self
                .take()?
                .map(|b| Value::Int(i64::from(i16::from_le_bytes(b)))),
            Kind::Long => self
                .take()?
                .map(|b| Value::Int(i64::from(i32::from_le_bytes(b)))),
            Kind::LongLong => self.take()?.map(|b| Value::Int(i64::from_le_bytes(b))),
            Kind::Chunk => self.chunk()?.then_some(Value::Text(&[])),
            Kind::Text => self.string()?.then_some(Value::Text(&self.text)),
        };
        Ok(match value {
            Some(value) => Ok(Group {
                code,
                value,
                position,
                offset: None,
                damage: None,
            }),
            None => Err(End::Cut),
        })
    }

    fn take<const N: usize>(&mut self) -> io::Result<Option<[u8; N]>> {
        let mut bytes = [0; N];
        match self.reader.read_exact(&mut bytes) {
            Ok(()) => {
                self.offset += N as u64;
                Ok(Some(bytes))
            }
            Err(error) if error.kind() == io::ErrorKind::UnexpectedEof => Ok(None),
            Err(error) => Err(error),
        }
    }

    /// Passes over a chunk of bytes; nothing measured is stored in one.
    fn chunk(&mut self) -> io::Result<bool> {
        let Some([length]) = self.take()? else {
            return Ok(false);
        };
        let mut bytes = [0; 255];
        let part = bytes.get_mut(..usize::from(length)).unwrap_or_default();
        match self.reader.read_exact(part) {
            Ok(()) => {
                self.offset += u64::from(length);
                Ok(true)
            }
            Err(error) if error.kind() == io::ErrorKind::UnexpectedEof => Ok(false),
            Err(error) => Err(error),
        }
    }

    /// Reads up to a zero byte into `text`, at most [`MAX_LINE_BYTES`] of it.
    fn string(&mut self) -> io::Result<bool> {
        use io::BufRead;
        self.text.clear();
        let mut over = false;
        loop {
            let available = match self.reader.fill_buf() {
                Ok(bytes) => bytes,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(error),
            };
            if available.is_empty() {
                return Ok(false);
            }
            let end = memchr::memchr(0, available);
            let piece = available
                .get(..end.unwrap_or(available.len()))
                .unwrap_or_default();
            let room = MAX_LINE_BYTES - self.text.len();
            over |= piece.len() > room;
            self.text
                .extend_from_slice(piece.get(..room.min(piece.len())).unwrap_or_default());
            let used = piece.len() + usize::from(end.is_some());
            self.reader.consume(used);
            self.offset += used as u64;
            if end.is_some() {
                self.overlong += u64::from(over);
                return Ok(true);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_byte_codes_and_the_escape() {
        let mut bytes = vec![0];
        bytes.extend(b"LINE\0");
        bytes.push(10);
        bytes.extend(1.5_f64.to_le_bytes());
        bytes.push(255);
        bytes.extend(1070_i16.to_le_bytes());
        bytes.extend((-3_i16).to_le_bytes());
        let mut groups = Binary::new(&bytes[..], 22, false);
        let first = groups.next().unwrap().unwrap();
        assert_eq!((first.code, first.position), (0, 22));
        assert_eq!(first.value, Value::Text(b"LINE"));
        assert_eq!(groups.next().unwrap().unwrap().value, Value::Real(1.5));
        let third = groups.next().unwrap().unwrap();
        assert_eq!((third.code, third.value), (1070, Value::Int(-3)));
        assert_eq!(groups.next().unwrap(), Err(End::Clean));
    }

    #[test]
    fn two_byte_codes_and_a_cut_value() {
        let mut bytes = Vec::new();
        bytes.extend(90_i16.to_le_bytes());
        bytes.extend(7_i32.to_le_bytes());
        bytes.extend(310_i16.to_le_bytes());
        bytes.extend([2, 9, 9]);
        bytes.extend(1_i16.to_le_bytes());
        bytes.extend(b"no end");
        let mut groups = Binary::new(&bytes[..], 22, true);
        assert_eq!(groups.next().unwrap().unwrap().value, Value::Int(7));
        assert_eq!(groups.next().unwrap().unwrap().code, 310);
        assert_eq!(groups.next().unwrap(), Err(End::Cut));
    }

    #[test]
    fn an_unknown_code_ends_the_stream_as_damage() {
        let bytes = 85_i16.to_le_bytes();
        let mut groups = Binary::new(&bytes[..], 22, true);
        assert_eq!(groups.next().unwrap(), Err(End::Cut));
    }
}
