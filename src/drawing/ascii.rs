//! Groups of an ASCII DXF file: one line of code, one line of value, read in
//! chunks.

use std::io::{self, Read};
use std::ops::Range;

use super::groups::{End, Group, Value};
use super::limits::MAX_LINE_BYTES;
use super::pieces::Place;
use super::plain_line::{self, Between, PlainLine};
use super::record::Record;

const CHUNK: usize = 256 * 1024;

pub struct Ascii<R> {
    reader: R,
    buffer: Vec<u8>,
    /// Unread bytes are `buffer[at..filled]`.
    at: usize,
    filled: usize,
    finished: bool,
    newline: u8,
    /// Lines taken so far.
    line: u64,
    /// Bytes before the buffer.
    passed: u64,
    overlong: u64,
    /// A group has been given.
    started: bool,
    /// The last value given was a lone 0.
    after_zero: bool,
    between: Between,
}

impl<R: Read> Ascii<R> {
    /// `newline` ends a line; carriage returns before it are no part of it.
    pub fn new(reader: R, newline: u8, offset: u64) -> Self {
        Self {
            reader,
            buffer: vec![0; CHUNK],
            at: 0,
            filled: 0,
            finished: false,
            newline,
            line: 0,
            passed: offset,
            overlong: 0,
            started: false,
            after_zero: false,
            between: Between::default(),
        }
    }

    /// Groups that are all in memory.
    pub fn over(bytes: Vec<u8>, newline: u8, lines: u64) -> Ascii<io::Empty> {
        Ascii {
            reader: io::empty(),
            at: 0,
            filled: bytes.len(),
            buffer: bytes,
            finished: true,
            newline,
            line: lines,
            passed: 0,
            overlong: 0,
            started: true,
            after_zero: false,
            between: Between::default(),
        }
    }

    /// Goes on at a group that starts at a place.
    pub fn resume(&mut self, place: Place) {
        self.at = 0;
        self.filled = 0;
        self.finished = false;
        self.passed = place.offset;
        self.line = place.lines;
        self.after_zero = false;
    }

    /// Where in the file the next group starts; `None` once lines were cut short.
    fn offset(&self) -> Option<u64> {
        (self.overlong == 0).then_some(self.passed + self.at as u64)
    }

    pub fn newline(&self) -> u8 {
        self.newline
    }

    pub fn reader(&mut self) -> &mut R {
        &mut self.reader
    }

    pub fn overlong(&self) -> u64 {
        self.overlong
    }

    pub fn into_inner(self) -> R {
        self.reader
    }

    pub fn into_buffer(self) -> Vec<u8> {
        self.buffer
    }

    /// The next group. A line that should be a group code and is none starts a
    /// search for the next entity; the group found says where the damage was.
    pub fn next(&mut self) -> io::Result<Result<Group<'_>, End>> {
        if let Some((code, value, used)) = quick(self.unread(), self.newline) {
            let position = self.line + 1;
            let offset = self.offset();
            let start = self.at + value.start;
            let end = self.at + value.end;
            self.at += used;
            self.line += 2;
            let bytes = self.buffer.get(start..end).unwrap_or_default();
            let bytes = without_returns(bytes);
            self.started = true;
            self.after_zero = is_zero(bytes);
            return Ok(Ok(Group {
                code,
                value: Value::Text(bytes),
                position,
                offset,
                damage: None,
            }));
        }
        self.next_with_care()
    }

    /// Adds the groups that come next to a record as long as they are of the common
    /// kind; left are a group 0 and all that needs care. Gives the position of the last.
    pub fn fill(&mut self, record: &mut Record) -> Option<u64> {
        let mut last = None;
        while let Some((code, value, used)) = quick(self.unread(), self.newline) {
            if code == 0 {
                break;
            }
            let value = self.at + value.start..self.at + value.end;
            let bytes = self.buffer.get(value.clone()).unwrap_or_default();
            record.add(code, Value::Text(without_returns(bytes)));
            last = Some(value);
            self.at += used;
            self.line += 2;
        }
        let bytes = self.buffer.get(last?).unwrap_or_default();
        self.after_zero = is_zero(without_returns(bytes));
        self.started = true;
        Some(self.line - 1)
    }

    /// The groups that come next, when they are those of a plain LINE and all in the
    /// buffer, with the position of the last; the type of another LINE is taken with it.
    pub fn plain_line(&mut self) -> Option<(PlainLine<'_>, u64)> {
        let unread = self.buffer.get(self.at..self.filled)?;
        let line = plain_line::read(unread, self.newline, &mut self.between)?;
        self.at += line.bytes;
        self.line += 2 * line.groups;
        self.after_zero = is_zero(line.last);
        Some((line, self.line - 1))
    }

    /// As [`Ascii::next`], for all that [`quick`] leaves: the end of the
    /// buffer or of the file, and damage.
    fn next_with_care(&mut self) -> io::Result<Result<Group<'_>, End>> {
        let mut damage = None;
        loop {
            let Some((code, value)) = self.pair()? else {
                let rest = self.unread().trim_ascii();
                // A lone Ctrl-Z ended files on old systems.
                let clean = rest.is_empty() || rest == b"\x1a";
                return Ok(Err(if clean && damage.is_none() {
                    End::Clean
                } else {
                    End::Cut
                }));
            };
            let position = self.line + 1;
            let offset = self.offset();
            let parsed = code_of(self.slice(&code));
            let usable = match parsed {
                Some(_) if damage.is_none() => parsed,
                // In step again: an entity, section or table starts here.
                Some(0) if is_name(self.slice(&value)) => parsed,
                _ => None,
            };
            if let Some(code) = usable {
                self.at = value.end + 1;
                self.line += 2;
                let end = value.end.min(self.filled);
                let bytes = self.buffer.get(value.start..end).unwrap_or_default();
                let bytes = without_returns(bytes);
                self.started = true;
                self.after_zero = is_zero(bytes);
                return Ok(Ok(Group {
                    code,
                    value: Value::Text(bytes),
                    position,
                    offset,
                    damage,
                }));
            }
            // Out of step by one line: what was taken for a value is the code
            // of this entity.
            if std::mem::take(&mut self.after_zero) && is_name(self.slice(&code)) {
                self.at = code.end + 1;
                self.line += 1;
                let bytes = self.buffer.get(code).unwrap_or_default();
                return Ok(Ok(Group {
                    code: 0,
                    value: Value::Text(without_returns(bytes)),
                    position: position - 1,
                    offset: None,
                    damage: damage.or(Some(position)),
                }));
            }
            // Blank lines ahead of the first group are common and harmless.
            if self.started || !self.slice(&code).trim_ascii().is_empty() {
                damage = damage.or(Some(position));
            }
            self.at = code.end + 1;
            self.line += 1;
        }
    }

    fn slice(&self, range: &Range<usize>) -> &[u8] {
        self.buffer
            .get(range.start..range.end.min(self.filled))
            .unwrap_or_default()
    }

    fn unread(&self) -> &[u8] {
        self.buffer.get(self.at..self.filled).unwrap_or_default()
    }

    /// The next two lines, both in the buffer. `None` at the end of the file,
    /// also when one line is left.
    fn pair(&mut self) -> io::Result<Option<(Range<usize>, Range<usize>)>> {
        loop {
            let unread = self.buffer.get(self.at..self.filled).unwrap_or_default();
            let first = memchr::memchr(self.newline, unread);
            let second = first.and_then(|first| {
                let rest = unread.get(first + 1..).unwrap_or_default();
                let end = memchr::memchr(self.newline, rest).or_else(|| {
                    (self.finished && !rest.trim_ascii().is_empty()).then_some(rest.len())
                });
                end.map(|end| (first, first + 1 + end))
            });
            if let Some((first, second)) = second {
                let at = self.at;
                return Ok(Some((at..at + first, at + first + 1..at + second)));
            }
            if self.finished {
                return Ok(None);
            }
            self.refill()?;
        }
    }

    fn refill(&mut self) -> io::Result<()> {
        self.buffer.copy_within(self.at..self.filled, 0);
        self.passed += self.at as u64;
        self.filled -= self.at;
        self.at = 0;
        if self.filled >= 2 * MAX_LINE_BYTES {
            self.pass_over_long_line()?;
        }
        if self.filled == self.buffer.len() {
            self.buffer.resize(self.buffer.len() * 2, 0);
        }
        loop {
            let free = self.buffer.get_mut(self.filled..).unwrap_or_default();
            match self.reader.read(free) {
                Ok(0) => self.finished = true,
                Ok(n) => self.filled += n,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(error),
            }
            return Ok(());
        }
    }

    /// The buffer is full and one of its lines has no end: cut that line
    /// short and read up to where it ends.
    fn pass_over_long_line(&mut self) -> io::Result<()> {
        self.overlong += 1;
        let keep = MAX_LINE_BYTES + MAX_LINE_BYTES / 2;
        let mut chunk = vec![0; CHUNK];
        loop {
            match self.reader.read(&mut chunk) {
                Ok(0) => {
                    self.finished = true;
                    self.filled = keep;
                    return Ok(());
                }
                Ok(n) => {
                    let got = chunk.get(..n).unwrap_or_default();
                    if let Some(end) = memchr::memchr(self.newline, got) {
                        let rest = got.get(end..).unwrap_or_default();
                        self.buffer.truncate(keep);
                        self.buffer.extend_from_slice(rest);
                        self.filled = self.buffer.len();
                        return Ok(());
                    }
                }
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
    }
}

/// The common group: a code of a few digits and a value, both whole in
/// `bytes`. Gives code, place of the value, and how many bytes were used.
#[inline]
pub(super) fn quick(bytes: &[u8], newline: u8) -> Option<(i32, Range<usize>, usize)> {
    // The line of the code, eight bytes at once.
    let word = *bytes.first_chunk()?;
    let length = first_in(word, newline)?;
    let code = match word {
        // As nearly all programs write it: three columns.
        [a, b, c, ..] if length == 3 => three_columns([a, b, c]),
        _ => None,
    };
    let code = match code {
        Some(code) => code,
        None => few_digits(word.get(..length)?)?,
    };
    let start = length + 1;
    let end = start + first_of(bytes.get(start..)?, newline)?;
    Some((code, start..end, end + 1))
}

/// As [`quick`], for a group that most likely has this code, in three columns.
#[inline]
pub(super) fn likely(
    bytes: &[u8],
    newline: u8,
    [a, b, c]: [u8; 3],
) -> Option<(Range<usize>, usize)> {
    let start = if bytes.starts_with(&[a, b, c, newline]) {
        4
    } else if bytes.starts_with(&[a, b, c, b'\r', newline]) {
        5
    } else {
        return None;
    };
    let end = start + first_of(bytes.get(start..)?, newline)?;
    Some((start..end, end + 1))
}

/// The first of eight bytes that is `byte`.
#[inline]
fn first_in(word: [u8; 8], byte: u8) -> Option<usize> {
    const EACH: u64 = 0x0101_0101_0101_0101;
    let others = u64::from_le_bytes(word) ^ (EACH * u64::from(byte));
    // Marks above the lowest may be wrong, the lowest is right.
    let marks = others.wrapping_sub(EACH) & !others & (EACH << 7);
    (marks != 0).then_some(marks.trailing_zeros() as usize / 8)
}

/// The first byte that is `byte`: in most values among the first few words.
#[inline]
fn first_of(bytes: &[u8], byte: u8) -> Option<usize> {
    let (words, _) = bytes.as_chunks();
    for (number, word) in words.iter().take(3).enumerate() {
        if let Some(at) = first_in(*word, byte) {
            return Some(8 * number + at);
        }
    }
    let passed = 8 * words.len().min(3);
    Some(passed + memchr::memchr(byte, bytes.get(passed..)?)?)
}

/// A code in three columns, filled up with blanks on its left.
#[inline]
fn three_columns(columns: [u8; 3]) -> Option<i32> {
    let digit = |byte: u8| byte.is_ascii_digit();
    let [a, b, c] = columns;
    let right = digit(c) && (digit(b) && (digit(a) || a == b' ') || [a, b] == *b"  ");
    // A blank counts as nought here: its lower half is none.
    let [a, b, c] = columns.map(|byte| i32::from(byte & 0xf));
    right.then_some(100 * a + 10 * b + c)
}

/// A code of at most four digits with blanks before it, and blanks or carriage returns
/// after it.
fn few_digits(line: &[u8]) -> Option<i32> {
    let first = line.iter().position(|b| *b != b' ')?;
    let (digits, after) = line.get(first..)?.split_at(
        line.get(first..)?
            .iter()
            .position(|b| !b.is_ascii_digit())
            .unwrap_or(line.len() - first),
    );
    if digits.is_empty() || digits.len() > 4 || !after.iter().all(|b| matches!(b, b' ' | b'\r')) {
        return None;
    }
    let add = |code: i32, digit: &u8| code * 10 + i32::from(digit - b'0');
    Some(digits.iter().fold(0, add))
}

fn is_zero(value: &[u8]) -> bool {
    match value {
        [b'0'] => true,
        [.., before, b'0'] => before.is_ascii_whitespace() && value.trim_ascii() == b"0",
        [.., b' ' | b'\t'] => value.trim_ascii() == b"0",
        _ => false,
    }
}

pub(super) fn without_returns(mut line: &[u8]) -> &[u8] {
    while let Some((b'\r', rest)) = line.split_last() {
        line = rest;
    }
    line
}

/// A group code: a small whole number with blanks around it.
fn code_of(line: &[u8]) -> Option<i32> {
    let line = line.trim_ascii();
    let (sign, digits) = match line.split_first() {
        Some((b'-', rest)) => (-1, rest),
        _ => (1, line),
    };
    if digits.is_empty() || digits.len() > 5 {
        return None;
    }
    let mut code: i32 = 0;
    for &b in digits {
        let digit = b.wrapping_sub(b'0');
        if digit > 9 {
            return None;
        }
        code = code * 10 + i32::from(digit);
    }
    Some(sign * code)
}

/// Looks like the name of an entity, section or table.
fn is_name(line: &[u8]) -> bool {
    let line = line.trim_ascii();
    (3..=40).contains(&line.len())
        && line
            .iter()
            .all(|b| b.is_ascii_uppercase() || b.is_ascii_digit() || *b == b'_')
        && line.iter().any(u8::is_ascii_uppercase)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    type Read = (i32, String, u64, Option<u64>);

    /// All groups of a text, read in bites of one byte, and the end.
    fn groups(text: &[u8], newline: u8) -> (Vec<Read>, End) {
        struct Bites<'a>(&'a [u8]);
        impl io::Read for Bites<'_> {
            fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
                let n = self.0.len().min(1);
                into[..n].copy_from_slice(&self.0[..n]);
                self.0 = &self.0[n..];
                Ok(n)
            }
        }
        let mut ascii = Ascii::new(Bites(text), newline, 0);
        let mut all = Vec::new();
        loop {
            match ascii.next().unwrap() {
                Ok(Group {
                    code,
                    value: Value::Text(text),
                    position,
                    damage,
                    ..
                }) => all.push((
                    code,
                    String::from_utf8_lossy(text).into_owned(),
                    position,
                    damage,
                )),
                Ok(other) => panic!("{other:?}"),
                Err(end) => return (all, end),
            }
        }
    }

    fn group(code: i32, text: &str, position: u64) -> Read {
        (code, text.to_owned(), position, None)
    }

    #[test]
    fn any_line_end_and_padding_reads_the_same() {
        let want = vec![group(0, "LINE", 1), group(10, " 1.5 ", 3), group(1, "", 5)];
        for text in [
            "0\nLINE\n 10\n 1.5 \n  1\n\n",
            "0\r\nLINE\r\n 10\r\n 1.5 \r\n  1\r\n\r\n",
            "0\r\r\nLINE\r\r\n 10\r\r\n 1.5 \r\r\n  1\r\r\n\r\r\n",
        ] {
            assert_eq!(groups(text.as_bytes(), b'\n'), (want.clone(), End::Clean));
        }
        let text = "0\rLINE\r 10\r 1.5 \r  1\r\r";
        assert_eq!(groups(text.as_bytes(), b'\r'), (want, End::Clean));
    }

    #[test]
    fn the_last_line_needs_no_end() {
        let (all, end) = groups(b"0\nEOF", b'\n');
        assert_eq!((all, end), (vec![group(0, "EOF", 1)], End::Clean));
        let (all, end) = groups(b"0\nLINE\n 10", b'\n');
        assert_eq!((all, end), (vec![group(0, "LINE", 1)], End::Cut));
        let (_, end) = groups(b"0\nEOF\n\x1a", b'\n');
        assert_eq!(end, End::Clean);
    }

    #[test]
    fn blank_lines_at_the_start_are_passed_over() {
        let (all, _) = groups(b"\n\n0\nSECTION\n", b'\n');
        assert_eq!(all.first().map(|g| (g.0, g.2)), Some((0, 3)));
    }

    #[test]
    fn a_lost_line_costs_one_entity() {
        // The value of group 20 is missing.
        let text = b"0\nLINE\n10\n1\n20\n11\n5.5\n21\n5\n0\nCIRCLE\n40\n3\n";
        let (all, _) = groups(text, b'\n');
        let found = all.iter().find(|g| g.1 == "CIRCLE").unwrap();
        assert_eq!((found.2, found.3), (10, Some(7)));
    }

    #[test]
    fn a_line_without_end_is_cut_short() {
        let mut text = b"0\nMTEXT\n1\n".to_vec();
        text.extend(std::iter::repeat_n(b'x', 5 * MAX_LINE_BYTES));
        text.extend(b"\n0\nLINE\n");
        let mut ascii = Ascii::new(&text[..], b'\n', 0);
        let mut names = Vec::new();
        while let Ok(group) = ascii.next().unwrap() {
            if let Value::Text(t) = group.value {
                names.push(t.len());
            }
        }
        assert_eq!(names.len(), 3);
        assert!(names[1] <= 2 * MAX_LINE_BYTES);
        assert_eq!(names[2], 4);
        assert_eq!(ascii.overlong(), 1);
    }

    proptest! {
        #[test]
        fn the_quick_way_reads_what_the_careful_one_does(text in "[0-9 \r\n-]{8,48}") {
            let bytes = text.as_bytes();
            if let Some((code, value, used)) = quick(bytes, b'\n') {
                let mut lines = text.split('\n');
                prop_assert_eq!(code_of(lines.next().unwrap().as_bytes()), Some(code));
                prop_assert_eq!(&text[value.clone()], lines.next().unwrap());
                prop_assert_eq!(bytes[used - 1], b'\n');
                prop_assert_eq!(used, value.end + 1);
                let columns = *bytes.first_chunk().unwrap();
                if three_columns(columns).is_some()
                    && let Some(found) = likely(bytes, b'\n', columns)
                {
                    prop_assert_eq!(found, (value, used));
                }
            }
        }
    }
}
