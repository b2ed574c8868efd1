//! Entities on all cores: a large file is cut where an entity starts, and its
//! pieces are understood beside one another. They are placed in the order of the
//! file, so that what comes out is what reading it in one go gives.
//!
//! A piece in which anything is out of the ordinary (damage, a name not met
//! before, the end of the section) is given back, and read in one go instead.

use std::collections::{BTreeMap, VecDeque};
use std::io::{self, Read, Seek, SeekFrom};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Mutex, mpsc};
use std::vec::Drain;

use super::shape::Item;

/// Bytes of a piece, about: few enough to stay near the core that works at them. Fewer
/// in tests, which have to reach them.
const PIECE: usize = if cfg!(test) { 2 << 10 } else { 256 << 10 };
/// An entity longer than this is read in one go.
const LONGEST: usize = 16 * PIECE;
/// Smallest rest of a file that is worth cutting up.
pub const LEAST: u64 = 16 * PIECE as u64;

/// A place in the file between two entities.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    pub offset: u64,
    /// Lines before it.
    pub lines: u64,
}

struct Piece {
    number: usize,
    bytes: Vec<u8>,
    lines: u64,
    items: Vec<Item>,
    understood: bool,
}

/// Makes items of a piece that starts after so many lines; false for one that has to
/// be read in one go. The memory of both is used again.
pub trait Understand: Send {
    fn understand(&mut self, bytes: &mut Vec<u8>, lines: u64, items: &mut Vec<Item>) -> bool;
}

/// Reads on from `from`, where an entity starts, and gives all items in order, those of
/// a piece at once, with its end; gives the place up to which it came.
///
/// # Errors
/// When the reader fails.
pub fn read<R: Read + Seek, W: Understand>(
    reader: &mut R,
    newline: u8,
    from: Place,
    workers: Vec<W>,
    mut give: impl FnMut(Drain<'_, Item>, Place),
) -> io::Result<Place> {
    reader.seek(SeekFrom::Start(from.offset))?;
    // Enough for them while this thread waits for a core: it places what they give.
    let most = 16 * workers.len();
    let (give_piece, pieces) = mpsc::channel::<Piece>();
    let pieces = Mutex::new(pieces);
    let (give_back, understood) = mpsc::channel::<Piece>();
    std::thread::scope(|scope| {
        // Gone at the end of this scope, which is what the workers wait for.
        let give_piece = give_piece;
        for mut worker in workers {
            let (pieces, give_back) = (&pieces, give_back.clone());
            scope.spawn(move || {
                loop {
                    let next = pieces.lock().ok().and_then(|pieces| pieces.recv().ok());
                    let Some(mut piece) = next else { return };
                    let Piece {
                        bytes,
                        items,
                        lines,
                        ..
                    } = &mut piece;
                    // What panics here does so again where it is read in one go.
                    let understood =
                        catch_unwind(AssertUnwindSafe(|| worker.understand(bytes, *lines, items)));
                    piece.understood = understood.unwrap_or(false);
                    if give_back.send(piece).is_err() {
                        return;
                    }
                }
            });
        }
        let mut cutter = Cutter {
            reader,
            newline,
            rest: Vec::new(),
            at: from,
        };
        let mut reached = from;
        // Ends of the pieces under way.
        let mut ends: VecDeque<Place> = VecDeque::new();
        let mut done: BTreeMap<usize, Piece> = BTreeMap::new();
        // Memory of pieces that are done.
        let mut spare: Vec<(Vec<u8>, Vec<Item>)> = Vec::new();
        let mut number = 0;
        let mut more = true;
        for next in 0.. {
            while more && ends.len() < most {
                let lines = cutter.at.lines;
                let (bytes, items) = spare.pop().unwrap_or_default();
                match cutter.next(bytes)? {
                    Some(bytes) => {
                        let piece = Piece {
                            number,
                            bytes,
                            lines,
                            items,
                            understood: false,
                        };
                        number += 1;
                        ends.push_back(cutter.at);
                        more = give_piece.send(piece).is_ok();
                    }
                    None => more = false,
                }
            }
            let Some(end) = ends.pop_front() else { break };
            while !done.contains_key(&next) {
                match understood.recv() {
                    Ok(piece) => done.insert(piece.number, piece),
                    Err(_) => return Ok(reached),
                };
            }
            let Some(mut piece) = done.remove(&next).filter(|piece| piece.understood) else {
                break;
            };
            give(piece.items.drain(..), end);
            spare.push((piece.bytes, piece.items));
            reached = end;
        }
        Ok(reached)
    })
}

/// Cuts a file where entities start.
struct Cutter<'a, R> {
    reader: &'a mut R,
    newline: u8,
    /// Read, but of the next piece.
    rest: Vec<u8>,
    at: Place,
}

impl<R: Read> Cutter<'_, R> {
    /// The next piece; `None` where the file ends, or where no entity starts for long.
    /// The memory of `bytes` is used for it.
    fn next(&mut self, mut bytes: Vec<u8>) -> io::Result<Option<Vec<u8>>> {
        bytes.clear();
        bytes.append(&mut self.rest);
        loop {
            let before = bytes.len();
            let mut part = (&mut *self.reader).take(PIECE as u64);
            // Beside a piece, what the one before left.
            bytes.reserve(PIECE + PIECE / 8);
            if part.read_to_end(&mut bytes)? == 0 || before >= LONGEST {
                return Ok(None);
            }
            if let Some(cut) = last_start(&bytes, self.newline) {
                self.rest
                    .extend_from_slice(bytes.get(cut..).unwrap_or_default());
                bytes.truncate(cut);
                self.at.offset += cut as u64;
                self.at.lines += memchr::memchr_iter(self.newline, &bytes).count() as u64;
                return Ok(Some(bytes));
            }
        }
    }
}

/// Where the last entity starts that stands by itself; not at the very start.
fn last_start(bytes: &[u8], newline: u8) -> Option<usize> {
    // The line after the one looked at.
    let mut name: &[u8] = b"";
    let mut end = memchr::memrchr(newline, bytes)?;
    while let Some(before) = memchr::memrchr(newline, bytes.get(..end)?) {
        let line = bytes.get(before + 1..end)?;
        if line.trim_ascii() == b"0" && starts_alone(name) {
            return Some(before + 1);
        }
        name = line.trim_ascii();
        end = before;
    }
    None
}

/// Whether this begins an entity that does not belong to the one before it.
pub fn starts_alone(name: &[u8]) -> bool {
    name.first().is_some_and(u8::is_ascii_alphabetic)
        && !matches!(
            name,
            b"VERTEX" | b"ATTRIB" | b"SEQEND" | b"SECTION" | b"ENDSEC" | b"EOF"
        )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_piece_ends_where_an_entity_starts_that_stands_by_itself() {
        for (text, cut) in [
            ("0\nLINE\n8\n0\n0\nARC\n40\n1", Some("0\nLINE\n8\n0\n")),
            (
                "  0\r\nLINE\r\n  0\r\nARC\r\n 40\r\n",
                Some("  0\r\nLINE\r\n"),
            ),
            ("0\nPOLYLINE\n0\nVERTEX\n0\nSEQEND\n", None),
            // A colour 0 is followed by a code.
            ("0\nLINE\n62\n0\n10\n1\n", None),
            // Whether the last line is whole can't be known.
            ("0\nLINE\n0\nARC", None),
            ("", None),
        ] {
            let found = last_start(text.as_bytes(), b'\n');
            assert_eq!(found.and_then(|at| text.get(..at)), cut, "{text:?}");
        }
    }
}
