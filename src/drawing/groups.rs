//! A DXF file as a stream of groups (code and value), whatever its encoding.

use std::io::{self, Read, Seek, SeekFrom};

use super::DrawingError;
use super::ascii::Ascii;
use super::binary::Binary;
use super::pieces::Place;
use super::plain_line::PlainLine;
use super::record::Record;

/// Value of a group. ASCII files hold text only; numbers are parsed when asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value<'a> {
    Text(&'a [u8]),
    Real(f64),
    Int(i64),
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Group<'a> {
    pub code: i32,
    pub value: Value<'a>,
    /// 1-based line of the code in an ASCII file, byte offset in a binary one.
    pub position: u64,
    /// Where in an ASCII file it starts, as long as that is known.
    pub offset: Option<u64>,
    /// Where the stream lost its step before this group, when it did.
    pub damage: Option<u64>,
}

/// How the stream came to its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Between two groups.
    Clean,
    /// Inside a group.
    Cut,
}

/// Start of every binary DXF file (DXF Reference, "Binary DXF Files").
pub const BINARY_SENTINEL: &[u8; 22] = b"AutoCAD Binary DXF\r\n\x1a\0";

pub enum Groups<R> {
    Ascii(Ascii<R>),
    Binary(Binary<R>),
}

impl<R: Read + Seek> Groups<R> {
    /// Looks at the first bytes and starts at the first group.
    ///
    /// # Errors
    /// When the reader fails, or the first bytes are not those of a DXF file.
    pub fn open(mut reader: R, shown: &str) -> Result<Self, DrawingError> {
        let io = |source| DrawingError::Io {
            file: shown.to_owned(),
            source,
        };
        reader.seek(SeekFrom::Start(0)).map_err(io)?;
        let mut head = Vec::with_capacity(SNIFF);
        reader
            .by_ref()
            .take(SNIFF as u64)
            .read_to_end(&mut head)
            .map_err(io)?;
        if head.starts_with(BINARY_SENTINEL) {
            let start = BINARY_SENTINEL.len() as u64;
            reader.seek(SeekFrom::Start(start)).map_err(io)?;
            // The first code is 0 (or 999 for a comment): one byte of it, and
            // a letter follows, or two.
            let narrow = match (head.get(22), head.get(23)) {
                (Some(0), Some(letter)) => letter.is_ascii_alphabetic(),
                (Some(255), _) => true,
                _ => false,
            };
            return Ok(Self::Binary(Binary::new(reader, start, !narrow)));
        }
        match foreign(&head) {
            Some(found) => Err(DrawingError::NotDxf {
                file: shown.to_owned(),
                found,
            }),
            None => {
                let skip = if head.starts_with(BOM) { BOM.len() } else { 0 };
                reader.seek(SeekFrom::Start(skip as u64)).map_err(io)?;
                let newline = if head.contains(&b'\n') { b'\n' } else { b'\r' };
                Ok(Self::Ascii(Ascii::new(reader, newline, skip as u64)))
            }
        }
    }

    /// The next group, or how the stream ended.
    pub fn next(&mut self) -> io::Result<Result<Group<'_>, End>> {
        match self {
            Self::Ascii(groups) => groups.next(),
            Self::Binary(groups) => groups.next(),
        }
    }

    /// Adds the groups that come next to a record where that is the quicker way; see
    /// [`Ascii::fill`].
    pub fn fill(&mut self, record: &mut Record) -> Option<u64> {
        match self {
            Self::Ascii(groups) => groups.fill(record),
            Self::Binary(_) => None,
        }
    }

    /// The groups of a plain LINE, when they come next; see [`Ascii::plain_line`].
    pub fn plain_line(&mut self) -> Option<(PlainLine<'_>, u64)> {
        match self {
            Self::Ascii(groups) => groups.plain_line(),
            Self::Binary(_) => None,
        }
    }

    /// Lines or strings that were longer than the reader looks at.
    pub fn overlong(&self) -> u64 {
        match self {
            Self::Ascii(groups) => groups.overlong(),
            Self::Binary(groups) => groups.overlong(),
        }
    }

    /// The reader of an ASCII file and what ends its lines, for reading in pieces.
    pub fn for_pieces(&mut self) -> Option<(&mut R, u8)> {
        match self {
            Self::Ascii(groups) => {
                let newline = groups.newline();
                Some((groups.reader(), newline))
            }
            Self::Binary(_) => None,
        }
    }

    /// Goes on at a group that starts at a place of an ASCII file.
    ///
    /// # Errors
    /// When the reader fails.
    pub fn resume(&mut self, place: Place) -> io::Result<()> {
        if let Self::Ascii(groups) = self {
            groups.reader().seek(SeekFrom::Start(place.offset))?;
            groups.resume(place);
        }
        Ok(())
    }

    pub fn is_binary(&self) -> bool {
        matches!(self, Self::Binary(_))
    }

    pub fn into_inner(self) -> R {
        match self {
            Self::Ascii(groups) => groups.into_inner(),
            Self::Binary(groups) => groups.into_inner(),
        }
    }
}

const SNIFF: usize = 4096;
const BOM: &[u8] = b"\xef\xbb\xbf";

/// What a file that cannot be DXF seems to be, in plain words.
fn foreign(head: &[u8]) -> Option<String> {
    let known: [(&[u8], &str); 12] = [
        (b"AC10", "a DWG drawing"),
        (b"AC1.", "an old DWG drawing"),
        (b"AutoCAD DXB", "a DXB file"),
        (
            b"AutoCAD Binary",
            "a binary DXF file with a damaged first line",
        ),
        (b"%PDF", "a PDF document"),
        (b"PK\x03\x04", "a ZIP archive or office document"),
        (b"\x89PNG", "a PNG picture"),
        (b"\xff\xd8\xff", "a JPEG picture"),
        (b"\xff\xfe", "UTF-16 text"),
        (b"\xfe\xff", "UTF-16 text"),
        (b"<", "an XML, HTML or SVG file"),
        (b"ISO-10303-21", "a STEP file"),
    ];
    if head.is_empty() {
        return Some("the file is empty".to_owned());
    }
    if let Some((_, what)) = known.iter().find(|(start, _)| head.starts_with(start)) {
        return Some(format!("it looks like {what}"));
    }
    if head.trim_ascii().is_empty() && head.len() < SNIFF {
        return Some("the file holds blanks only".to_owned());
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    #[test]
    fn foreign_files_are_named() {
        for (bytes, word) in [
            (&b""[..], "empty"),
            (b"AC1032\0\0\0", "DWG"),
            (b"%PDF-1.7", "PDF"),
            (b"PK\x03\x04rest", "ZIP"),
            (b"<svg/>", "SVG"),
            (b"\xff\xfe0\0", "UTF-16"),
            (b"  \r\n ", "blanks"),
        ] {
            let error = Groups::open(Cursor::new(bytes), "x.dxf").err().unwrap();
            let text = error.to_string();
            assert!(text.contains(word) && text.contains("x.dxf"), "{text}");
        }
    }
}
