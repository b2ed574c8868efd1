//! Changing single cells of a list's text and nothing else. The separator is
//! the one under which every cell that changes reads as it was read; where there
//! is none, a cell is only changed when its text stands in its line once.

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};
use std::ops::Range;

/// Why a list could not be rewritten.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RewriteError {
    #[error("line {line}, column {column}: `{text}` was not found there again")]
    Lost {
        line: usize,
        column: usize,
        text: String,
    },
    #[error("its encoding cannot be written back unchanged")]
    Encoding,
}

/// One cell to change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Edit<'a> {
    /// 1-based first line of the record.
    pub line: usize,
    /// 1-based.
    pub column: usize,
    /// The whole cell as it was read.
    pub whole: &'a str,
    /// The size in it, which may be one of several.
    pub was: &'a str,
    pub now: &'a str,
}

/// The content with its cells changed, in its own encoding.
///
/// # Errors
/// When a cell cannot be found, or the encoding not be written back.
pub fn rewrite(content: &[u8], edits: &[Edit<'_>]) -> Result<Vec<u8>, RewriteError> {
    let (encoding, mark) = Encoding::for_bom(content).unwrap_or_else(|| (guess(content), 0));
    let body = content.get(mark..).unwrap_or_default();
    let (text, _) = encoding.decode_without_bom_handling(body);
    if encode(encoding, &text).as_deref() != Some(body) {
        return Err(RewriteError::Encoding);
    }
    let lines = line_starts(&text);
    let spots = [',', ';', '\t', '|']
        .into_iter()
        .find_map(|separator| {
            edits
                .iter()
                .map(|edit| in_record(&text, &lines, edit, separator))
                .collect::<Option<Vec<_>>>()
        })
        .map_or_else(
            || {
                edits
                    .iter()
                    .map(|edit| in_line(&text, &lines, edit))
                    .collect()
            },
            Ok,
        )?;
    let mut spots: Vec<(Range<usize>, String)> = merged(spots);
    spots.sort_by_key(|(range, _)| range.start);
    let mut changed = String::with_capacity(text.len() + 64);
    let mut from = 0;
    for (range, now) in spots {
        changed.push_str(text.get(from..range.start).unwrap_or_default());
        changed.push_str(&now);
        from = range.end;
    }
    changed.push_str(text.get(from..).unwrap_or_default());
    let mut bytes = content.get(..mark).unwrap_or_default().to_vec();
    bytes.extend(encode(encoding, &changed).ok_or(RewriteError::Encoding)?);
    Ok(bytes)
}

fn guess(content: &[u8]) -> &'static Encoding {
    if std::str::from_utf8(content).is_ok() && !content.contains(&0) {
        return UTF_8;
    }
    // Latin text in UTF-16 has a zero in every second byte.
    let zeros = |from: usize| {
        content
            .iter()
            .skip(from)
            .step_by(2)
            .take(2048)
            .filter(|byte| **byte == 0)
            .count()
    };
    match (zeros(0), zeros(1)) {
        (0, 0) => WINDOWS_1252,
        (even, odd) if odd > even => UTF_16LE,
        _ => UTF_16BE,
    }
}

/// `encoding_rs` writes no UTF-16, so that is done here.
fn encode(encoding: &'static Encoding, text: &str) -> Option<Vec<u8>> {
    if encoding == UTF_16LE {
        return Some(text.encode_utf16().flat_map(u16::to_le_bytes).collect());
    }
    if encoding == UTF_16BE {
        return Some(text.encode_utf16().flat_map(u16::to_be_bytes).collect());
    }
    let (bytes, _, lost) = encoding.encode(text);
    (!lost).then(|| bytes.into_owned())
}

/// Where each physical line starts; lines end with CR LF, LF or CR.
fn line_starts(text: &str) -> Vec<usize> {
    let bytes = text.as_bytes();
    let mut starts = vec![0];
    for (index, byte) in bytes.iter().enumerate() {
        let ends = match byte {
            b'\n' => true,
            b'\r' => bytes.get(index + 1) != Some(&b'\n'),
            _ => false,
        };
        if ends {
            starts.push(index + 1);
        }
    }
    starts
}

/// A change of the raw text: whole raw cell, and what it becomes.
struct Spot {
    raw: Range<usize>,
    /// The size within the cell's value.
    was: String,
    now: String,
    /// The cell's value, with quotes undone.
    value: String,
    quoted: bool,
    separator: Option<char>,
}

/// The cell, if the record at this line reads as it did.
fn in_record(text: &str, lines: &[usize], edit: &Edit<'_>, separator: char) -> Option<Spot> {
    let start = *lines.get(edit.line.checked_sub(1)?)?;
    let (raw, value, quoted) = field(text, start, separator, edit.column.checked_sub(1)?)?;
    (value.trim() == edit.whole.trim()).then(|| Spot {
        raw,
        was: edit.was.trim().to_owned(),
        now: edit.now.to_owned(),
        value,
        quoted,
        separator: Some(separator),
    })
}

/// The raw range, the value, and whether it is quoted, of a field of the record
/// that starts here (RFC 4180; a quote inside an unquoted field is a character
/// of it, as in `24 1/2"`).
fn field(
    text: &str,
    start: usize,
    separator: char,
    wanted: usize,
) -> Option<(Range<usize>, String, bool)> {
    let mut at = start;
    let mut index = 0;
    loop {
        let rest = text.get(at..)?;
        let lead = rest.len() - rest.trim_start_matches(' ').len();
        let quoted = rest.get(lead..)?.starts_with('"');
        let (end, value) = if quoted {
            let (length, value) = quoted_value(rest.get(lead + 1..)?)?;
            // Past both quotes, to whatever blanks follow.
            let close = at + lead + 1 + length;
            let tail = text.get(close..)?;
            let end = close + tail.find([separator, '\r', '\n']).unwrap_or(tail.len());
            (end, value)
        } else {
            let end = at + rest.find([separator, '\r', '\n']).unwrap_or(rest.len());
            (end, text.get(at..end)?.to_owned())
        };
        if index == wanted {
            let raw = text.get(at..end)?;
            let from = at + raw.len() - raw.trim_start().len();
            let to = at + raw.trim_end().len();
            return Some((from..to.max(from), value, quoted));
        }
        if !text.get(end..)?.starts_with(separator) {
            return None;
        }
        at = end + separator.len_utf8();
        index += 1;
    }
}

/// The value after an opening quote, and its length with the closing quote.
fn quoted_value(text: &str) -> Option<(usize, String)> {
    let mut value = String::new();
    let mut characters = text.char_indices().peekable();
    while let Some((at, character)) = characters.next() {
        if character != '"' {
            value.push(character);
        } else if characters.next_if(|(_, next)| *next == '"').is_some() {
            value.push('"');
        } else {
            return Some((at + 1, value));
        }
    }
    None
}

/// The cell in a line that no separator divides.
fn in_line(text: &str, lines: &[usize], edit: &Edit<'_>) -> Result<Spot, RewriteError> {
    let lost = || RewriteError::Lost {
        line: edit.line,
        column: edit.column,
        text: edit.whole.to_owned(),
    };
    let start = edit
        .line
        .checked_sub(1)
        .and_then(|line| lines.get(line))
        .copied()
        .ok_or_else(lost)?;
    let line = text.get(start..).unwrap_or_default();
    let line = line.split(['\r', '\n']).next().unwrap_or_default();
    let whole = edit.whole.trim();
    let alone = |at: usize| {
        let blank = |character: Option<char>| character.is_none_or(char::is_whitespace);
        blank(line.get(..at).and_then(|before| before.chars().next_back()))
            && blank(
                line.get(at + whole.len()..)
                    .and_then(|after| after.chars().next()),
            )
    };
    let mut found = line.match_indices(whole).filter(|(at, _)| alone(*at));
    match (whole.is_empty(), found.next(), found.next()) {
        (false, Some((at, _)), None) => Ok(Spot {
            raw: start + at..start + at + whole.len(),
            was: edit.was.trim().to_owned(),
            now: edit.now.to_owned(),
            value: whole.to_owned(),
            quoted: false,
            separator: None,
        }),
        _ => Err(lost()),
    }
}

/// The new text of every cell; several sizes of one cell are changed together.
fn merged(spots: Vec<Spot>) -> Vec<(Range<usize>, String)> {
    let mut cells: Vec<Vec<Spot>> = Vec::new();
    for spot in spots {
        match cells
            .iter_mut()
            .find(|cell| cell.first().is_some_and(|other| other.raw == spot.raw))
        {
            Some(cell) => cell.push(spot),
            None => cells.push(vec![spot]),
        }
    }
    cells
        .into_iter()
        .filter_map(|cell| {
            let first = cell.first()?;
            let mut value = first.value.trim().to_owned();
            for spot in &cell {
                // Sizes within a cell stand apart from each other: change the one
                // that is no piece of another number.
                if let Some(at) = standing_alone(&value, &spot.was) {
                    value.replace_range(at..at + spot.was.len(), &spot.now);
                }
            }
            Some((first.raw.clone(), raw(first, &value)))
        })
        .collect()
}

/// Where a size stands in a cell, not as a piece of another one.
fn standing_alone(value: &str, size: &str) -> Option<usize> {
    let part_of_number = |character: Option<char>| {
        character.is_some_and(|c| c.is_ascii_digit() || matches!(c, '/' | '.' | ','))
    };
    value.match_indices(size).map(|(at, _)| at).find(|at| {
        !part_of_number(
            value
                .get(..*at)
                .and_then(|before| before.chars().next_back()),
        ) && !part_of_number(
            value
                .get(at + size.len()..)
                .and_then(|after| after.chars().next()),
        )
    })
}

/// The value as the file writes it.
fn raw(spot: &Spot, value: &str) -> String {
    let bare_quotes = !spot.quoted && spot.value.contains('"');
    let needs_quotes = spot.separator.is_some_and(|separator| {
        value.contains(separator) || (value.contains('"') && !bare_quotes)
    });
    if spot.quoted || needs_quotes {
        format!("\"{}\"", value.replace('"', "\"\""))
    } else {
        value.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edit<'a>(line: usize, column: usize, was: &'a str, now: &'a str) -> Edit<'a> {
        Edit {
            line,
            column,
            whole: was,
            was,
            now,
        }
    }

    fn text(content: &str, edits: &[Edit<'_>]) -> String {
        String::from_utf8(rewrite(content.as_bytes(), edits).unwrap()).unwrap()
    }

    #[test]
    fn quoting_is_kept_as_it_was() {
        let content = "a,\"24 1/2\"\"\",x\n1,24 1/2\",\"30\"\n";
        assert_eq!(
            text(
                content,
                &[edit(1, 2, "24 1/2\"", "25\""), edit(2, 3, "30", "31")]
            ),
            "a,\"25\"\"\",x\n1,24 1/2\",\"31\"\n"
        );
        assert_eq!(
            text(content, &[edit(2, 2, "24 1/2\"", "25\"")]),
            "a,\"24 1/2\"\"\",x\n1,25\",\"30\"\n"
        );
    }

    #[test]
    fn a_decimal_comma_between_commas_is_quoted() {
        assert_eq!(
            text("p,720,q", &[edit(1, 2, "720", "720,5")]),
            "p,\"720,5\",q"
        );
        assert_eq!(text("p;720;q", &[edit(1, 2, "720", "720,5")]), "p;720,5;q");
    }

    #[test]
    fn line_ends_blanks_and_records_over_lines_stay() {
        let content = "\"two\r\nlines\", 31 ,x\r\nb,\t30\t,y\r\n";
        assert_eq!(
            text(
                content,
                &[edit(1, 2, "31", "34 1/2"), edit(3, 2, "30", "31")]
            ),
            "\"two\r\nlines\", 34 1/2 ,x\r\nb,\t31\t,y\r\n"
        );
        assert_eq!(text("a;1\rb;2\r", &[edit(2, 2, "2", "3")]), "a;1\rb;3\r");
    }

    #[test]
    fn one_of_several_sizes_in_a_cell() {
        let whole = "34 1/2 x 4 x 3/4";
        let change = |was, now| Edit {
            line: 1,
            column: 2,
            whole,
            was,
            now,
        };
        assert_eq!(
            text(
                "side,34 1/2 x 4 x 3/4",
                &[change("4", "5"), change("34 1/2", "36")]
            ),
            "side,36 x 5 x 3/4"
        );
    }

    #[test]
    fn every_encoding_is_written_back() {
        let edits = [edit(1, 2, "31", "34½")];
        let utf16: Vec<u8> = [0xff, 0xfe]
            .into_iter()
            .chain("ä,31".encode_utf16().flat_map(u16::to_le_bytes))
            .collect();
        let changed = rewrite(&utf16, &edits).unwrap();
        assert_eq!(&changed[..4], [0xff, 0xfe, 0xe4, 0]);
        assert_eq!(changed.len(), 2 + 2 * "ä,34½".chars().count());
        assert_eq!(rewrite(b"\xe4,31", &edits).unwrap(), b"\xe4,34\xbd");
        assert_eq!(
            rewrite("\u{feff}ä,31".as_bytes(), &edits).unwrap(),
            "\u{feff}ä,34½".as_bytes()
        );
    }

    #[test]
    fn a_typed_line_without_separators() {
        assert_eq!(
            text("2 sides  31 23 3/4\n", &[edit(1, 1, "31", "34 1/2")]),
            "2 sides  34 1/2 23 3/4\n"
        );
        let error = rewrite(b"2 sides  31 31 3/4\n", &[edit(1, 1, "31", "34")]).unwrap_err();
        assert_eq!(
            error.to_string(),
            "line 1, column 1: `31` was not found there again"
        );
    }

    #[test]
    fn a_list_that_changed_meanwhile_is_not_touched() {
        let error = rewrite(b"a,30,x\n", &[edit(1, 2, "31", "34")]).unwrap_err();
        assert!(matches!(error, RewriteError::Lost { line: 1, .. }));
        assert!(rewrite(b"", &[edit(7, 2, "31", "34")]).is_err());
    }

    #[test]
    fn the_error_of_an_encoding_is_plain() {
        assert_eq!(
            rewrite(b"\xff\xfea", &[edit(1, 1, "a", "b")])
                .unwrap_err()
                .to_string(),
            "its encoding cannot be written back unchanged"
        );
    }
}
