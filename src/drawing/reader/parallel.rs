//! The pass as a whole and as a worker on pieces of the entities.

use std::io::{self, Read, Seek, SeekFrom};

use super::{Known, Pass, Section};
use crate::drawing::ascii::Ascii;
use crate::drawing::groups::{End, Groups};
use crate::drawing::limits::MAX_LINE_BYTES;
use crate::drawing::pieces::{self, LEAST, Place, Understand};
use crate::drawing::shape::Item;

impl Pass {
    /// Reads entities on all cores as far as that goes, from where one starts;
    /// what comes next is the group that starts where that ended.
    ///
    /// # Errors
    /// When the reader fails.
    pub(super) fn in_pieces<R: Read + Seek>(
        &mut self,
        groups: &mut Groups<R>,
        from: Place,
    ) -> io::Result<()> {
        let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        // Unless it is worth while: not here, nor further on.
        self.pieces_from = u64::MAX;
        let mut reached = from;
        if let Some((reader, newline)) = groups.for_pieces()
            && cores > 1
            && let size = reader.seek(SeekFrom::End(0))?
            && size >= from.offset.saturating_add(LEAST)
        {
            let mut roomy = false;
            let workers: Vec<Worker> = (0..cores).map(|_| Worker::new(self, newline)).collect();
            reached = pieces::read(reader, newline, from, workers, |items, end| {
                for item in items {
                    self.note(&item);
                    self.deliver(item);
                }
                let (read, rest) = (end.offset - from.offset, size.saturating_sub(end.offset));
                if !roomy && read >= LEAST / 4 {
                    // The rest of the file is like its start, as far as one can tell.
                    self.placed.expect_times(rest as f64 / read as f64);
                    roomy = true;
                }
            })?;
            // What could not be read in pieces is read in one go; the more often
            // that happens, the longer it takes to try again.
            self.tries += 1;
            let wait = LEAST.saturating_mul(1 << self.tries.min(32));
            self.pieces_from = reached.offset.saturating_add(wait);
        }
        groups.resume(reached)
    }
}

/// Understands pieces with the names known when it was made.
struct Worker {
    pass: Pass,
    known: [usize; 5],
    newline: u8,
}

impl Worker {
    fn new(of: &Pass, newline: u8) -> Self {
        let mut pass = Pass::new(of.definitions.for_understanding(), Known::All);
        pass.pieces_from = u64::MAX;
        Self {
            known: pass.definitions.known(),
            pass,
            newline,
        }
    }
}

impl Understand for Worker {
    fn understand(&mut self, bytes: &mut Vec<u8>, lines: u64, items: &mut Vec<Item>) -> bool {
        // The stream cuts such lines short.
        if has_longer_line(bytes, self.newline, MAX_LINE_BYTES) {
            return false;
        }
        let pass = &mut self.pass;
        pass.section = Section::Entities;
        items.clear();
        pass.understood = Some(std::mem::take(items));
        pass.ended = None;
        let whole = std::mem::take(bytes);
        let mut groups = Groups::Ascii(Ascii::<io::Empty>::over(whole, self.newline, lines));
        let read = pass.run(&mut groups);
        *items = pass.understood.take().unwrap_or_default();
        let whole = read.is_ok()
            && pass.ended == Some(End::Clean)
            && pass.section == Section::Entities
            && groups.overlong() == 0
            && !pass.odd
            && pass.definitions.known() == self.known;
        if let Groups::Ascii(groups) = groups {
            *bytes = groups.into_buffer();
        }
        whole
    }
}

/// Whether a line has more than `limit` bytes: looks at the lines that go over a
/// multiple of it, since a longer one must.
fn has_longer_line(bytes: &[u8], newline: u8, limit: usize) -> bool {
    let mut at = limit;
    while let Some((before, after)) = bytes.split_at_checked(at) {
        let start = memchr::memrchr(newline, before).map_or(0, |end| end + 1);
        let end = memchr::memchr(newline, after).map_or(bytes.len(), |end| at + end);
        if end - start > limit {
            return true;
        }
        at = end.max(at) + limit;
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn longer_lines_are_found_wherever_they_start() {
        let slow = |bytes: &[u8], limit| bytes.split(|b| *b == b'-').any(|l| l.len() > limit);
        for length in 0..12_u32 {
            for bits in 0..1_u32 << length {
                let letter = |i| if bits >> i & 1 == 1 { b'-' } else { b'x' };
                let bytes: Vec<u8> = (0..length).map(letter).collect();
                for limit in 1..6 {
                    let found = has_longer_line(&bytes, b'-', limit);
                    assert_eq!(found, slow(&bytes, limit), "{bits:b} of {length}, {limit}");
                }
            }
        }
    }
    use crate::drawing::assemble;
    use crate::drawing::definitions::Definitions;
    use std::fmt::Write as _;
    use std::io::Cursor;

    /// The sheet of a drawing, and how often pieces were tried.
    fn read(text: &str, in_pieces: bool) -> (String, u32) {
        let mut groups = Groups::open(Cursor::new(text.as_bytes()), "x.dxf").unwrap();
        let mut pass = Pass::new(Definitions::default(), Known::Nothing);
        if !in_pieces {
            pass.pieces_from = u64::MAX;
        }
        pass.run(&mut groups).unwrap();
        let notes = [pass.defining, pass.notes];
        let sheet = assemble::sheet(pass.definitions, pass.placed, notes, "x.dxf");
        (format!("{sheet:#?}"), pass.tries)
    }

    fn drawing(end: &str) -> String {
        let mut text = "0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n2\nB\n10\n0\n20\n0\n0\nLINE\n8\n0\n10\n0\n20\n0\n11\n1\n21\n1\n0\nENDBLK\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n".to_owned();
        for i in 0..2000 {
            // Layers and kinds that nothing announced, early and late.
            let layer = if i % 700 == 3 { i } else { 0 };
            let _ = match i % 7 {
                0 => write!(
                    text,
                    "0\nPOLYLINE\n8\nP\n70\n1\n0\nVERTEX\n8\nP\n10\n{i}\n20\n0\n0\nVERTEX\n8\nP\n10\n{i}\n20\n5\n0\nVERTEX\n8\nP\n10\n0\n20\n9\n0\nSEQEND\n8\nP\n"
                ),
                1 => write!(
                    text,
                    "0\nINSERT\n8\nI\n66\n1\n2\nB\n10\n{i}\n20\n0\n0\nATTRIB\n8\nI\n10\n0\n20\n0\n40\n3\n1\nA{i}\n0\nSEQEND\n8\nI\n"
                ),
                2 => write!(text, "0\nTEXT\n8\nT\n62\n0\n10\n{i}\n20\n0\n40\n3\n1\n0\n"),
                3 if i > 1500 => write!(text, "0\nKIND{}\n8\nK\n", i % 3),
                4 if i % 500 == 4 => write!(
                    text,
                    "0\nLINE\n8\nL\n10\nno number\n20\n0\n11\n1\n21\n{i}\n"
                ),
                _ => write!(
                    text,
                    "0\nLINE\n5\n{i:X}\n8\nL{layer}\n10\n0\n20\n0\n11\n1\n21\n{i}\n"
                ),
            };
        }
        text + end
    }

    #[test]
    fn pieces_give_what_reading_in_one_go_gives() {
        for text in [
            drawing("0\nENDSEC\n0\nEOF\n"),
            drawing(""),
            drawing("0\nENDSEC\n0\nEOF\n").replace('\n', "\r\n"),
            // A lost line, and one too many.
            drawing("0\nENDSEC\n0\nEOF\n").replacen("8\nL0\n", "8\n", 400),
            drawing("0\nENDSEC\n0\nEOF\n").replacen("0\nTEXT\n8\n", "0\nTEXT\n8\n8\n", 90),
        ] {
            let ((pieces, tries), (whole, none)) = (read(&text, true), read(&text, false));
            assert_eq!(none, 0);
            let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
            assert!(tries > 0 || cores == 1);
            assert!(pieces == whole, "{tries} tries");
        }
    }
}
