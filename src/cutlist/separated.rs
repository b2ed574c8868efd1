//! Text to lines of cells. Written here and not taken from a CSV reader because
//! lists hold bare inch marks: `"24 1/2""` and `24 1/2"` stand beside the proper
//! `"24 1/2"""`, and one wrong guess swallows the rest of the file.

use super::table::{Cell, Line, Table};
use super::types::RowSource;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Separators a list may use, in order of preference when nothing tells them apart.
const SEPARATORS: [char; 4] = [',', ';', '\t', '|'];

/// Lines looked at to find the separator and the usual number of cells.
const SAMPLE: usize = 400;

/// A quoted cell longer than this was never closed. The bound also keeps a file
/// full of stray quotes from being read to its end once for every line.
const LONGEST_RECORD: usize = 1 << 16;

/// One record and where the next one starts.
struct Record {
    cells: Vec<String>,
    next: usize,
    /// A quoted cell held a line break.
    spans_lines: bool,
    /// A quote was never closed, or text follows a closing quote.
    torn: bool,
}

/// Splits text to lines of cells. `heads` counts how many cells of a line are
/// headings this program knows.
pub(super) fn split(text: &str, file: &Arc<str>, heads: &dyn Fn(&[String]) -> usize) -> Table {
    let mut table = Table::default();
    let (text, said, skipped) = said_separator(text);
    let separator = said.unwrap_or_else(|| sniff(text, heads));
    let usual = usual_width(text, separator);
    let mut at = 0;
    let mut line = 1 + skipped;
    while at < text.len() {
        let record = record(text, at, separator, usual);
        let next = record.next.max(at + 1);
        let raw = text.get(at..next).unwrap_or("");
        if record.torn {
            table.torn.push(line);
        }
        table.lines.push(Line {
            source: RowSource {
                file: Arc::clone(file),
                sheet: None,
                line,
            },
            raw: raw.trim_end_matches(['\r', '\n']).to_owned(),
            cells: record.cells.into_iter().map(Cell::text).collect(),
        });
        line += line_breaks(raw).max(1);
        at = next;
    }
    let name = match separator {
        ',' => "comma",
        ';' => "semicolon",
        '\t' => "tab",
        _ => "vertical bar",
    };
    table.reading.push(if said.is_some() {
        format!("cells separated by {name}, as its first line says")
    } else {
        format!("cells separated by {name}")
    });
    table
}

/// Some programs write `sep=;` on a first line of its own.
fn said_separator(text: &str) -> (&str, Option<char>, usize) {
    let end = line_end(text, 0);
    let first = text.get(..end).unwrap_or("").trim();
    let mark = first
        .get(..4)
        .filter(|head| head.eq_ignore_ascii_case("sep="))
        .and_then(|_| first.get(4..))
        .and_then(|rest| {
            let mut chars = rest.chars();
            let mark = chars.next();
            if chars.next().is_none() { mark } else { None }
        })
        .filter(|mark| SEPARATORS.contains(mark));
    match mark {
        Some(mark) => (
            text.get(after_break(text, end)..).unwrap_or(""),
            Some(mark),
            1,
        ),
        None => (text, None, 0),
    }
}

fn sniff(text: &str, heads: &dyn Fn(&[String]) -> usize) -> char {
    let mut best = (0.0, ',');
    for separator in SEPARATORS {
        let mut widths: BTreeMap<usize, usize> = BTreeMap::new();
        let mut known = 0;
        let mut lines = 0;
        for line in text_lines(text)
            .take(SAMPLE)
            .filter(|line| !line.trim().is_empty())
        {
            let cells = lenient(line, separator);
            lines += 1;
            if cells.len() > 1 {
                *widths.entry(cells.len()).or_default() += 1;
                known = known.max(heads(&cells));
            }
        }
        // Many lines of one width speak for a separator; a heading line it
        // divides into known headings settles it.
        let (width, count) = widths
            .iter()
            .max_by_key(|(width, count)| (**count, **width))
            .map_or((1, 0), |(width, count)| (*width, *count));
        let agreement = count as f64 / (lines.max(1)) as f64;
        let score = known as f64 * 10.0 + agreement * width.min(12) as f64;
        if score > best.0 {
            best = (score, separator);
        }
    }
    best.1
}

/// The number of cells most lines have, taken line by line.
fn usual_width(text: &str, separator: char) -> usize {
    let mut widths: BTreeMap<usize, usize> = BTreeMap::new();
    for line in text_lines(text)
        .take(SAMPLE)
        .filter(|line| !line.trim().is_empty())
    {
        *widths.entry(lenient(line, separator).len()).or_default() += 1;
    }
    widths
        .into_iter()
        .max_by_key(|(width, count)| (*count, *width))
        .map_or(1, |(width, _)| width)
}

/// The record at `at`, strict where that gives the usual number of cells, else
/// by the rule for bare inch marks on its first line alone.
fn record(text: &str, at: usize, separator: char, usual: usize) -> Record {
    let end = line_end(text, at);
    let line = text.get(at..end).unwrap_or("");
    if !line.contains('"') {
        return Record {
            cells: line.split(separator).map(str::to_owned).collect(),
            next: after_break(text, end),
            spans_lines: false,
            torn: false,
        };
    }
    let strict = strict(text, at, separator);
    if !strict.torn && !strict.spans_lines {
        return strict;
    }
    let one_line = lenient(line, separator);
    let strict_fits = !strict.torn && strict.cells.len() == usual;
    if strict_fits {
        return strict;
    }
    let lenient_fits = one_line.len() == usual;
    // A quote never closed must not swallow the rest of the file.
    if lenient_fits || strict.torn {
        return Record {
            cells: one_line,
            next: after_break(text, end),
            spans_lines: false,
            torn: !lenient_fits,
        };
    }
    strict
}

/// By the usual rule (RFC 4180): a cell that starts with a quote ends at the
/// next single quote; two quotes stand for one.
fn strict(text: &str, start: usize, separator: char) -> Record {
    let mut cells = Vec::new();
    let mut cell = String::new();
    let mut quoted = false;
    let mut closed = false;
    let mut spans_lines = false;
    let mut torn = false;
    let mut chars = text.get(start..).unwrap_or("").char_indices().peekable();
    let mut next = text.len();
    while let Some((offset, c)) = chars.next() {
        if quoted && offset > LONGEST_RECORD {
            break;
        }
        if quoted {
            match c {
                '"' if chars.peek().is_some_and(|(_, n)| *n == '"') => {
                    cell.push('"');
                    chars.next();
                }
                '"' => {
                    quoted = false;
                    closed = true;
                }
                '\r' | '\n' => {
                    spans_lines = true;
                    cell.push(c);
                }
                _ => cell.push(c),
            }
            continue;
        }
        match c {
            '"' if !closed && cell.trim().is_empty() => {
                cell.clear();
                quoted = true;
            }
            '\r' | '\n' => {
                next = after_break(text, start + offset);
                break;
            }
            _ if c == separator => {
                cells.push(std::mem::take(&mut cell));
                closed = false;
            }
            _ => {
                torn |= closed && !c.is_whitespace();
                cell.push(c);
            }
        }
    }
    torn |= quoted;
    cells.push(cell);
    Record {
        cells,
        next,
        spans_lines,
        torn,
    }
}

/// One line, by the rule for bare inch marks: a quote ends a quoted cell only
/// right before a separator or the end of the line, and of the quotes before it
/// one closes and the others are inch marks.
fn lenient(line: &str, separator: char) -> Vec<String> {
    let mut cells = Vec::new();
    let mut rest = line;
    loop {
        let trimmed = rest.trim_start_matches(' ');
        let quoted = trimmed
            .strip_prefix('"')
            .and_then(|inside| closing(inside, separator));
        match quoted {
            Some((cell, after)) => {
                cells.push(cell);
                match after {
                    Some(after) => rest = after,
                    None => return cells,
                }
            }
            None => match rest.split_once(separator) {
                Some((cell, after)) => {
                    cells.push(cell.to_owned());
                    rest = after;
                }
                None => {
                    cells.push(rest.to_owned());
                    return cells;
                }
            },
        }
    }
}

/// The inside of a quoted cell up to its closing quote, and what follows the separator.
fn closing(inside: &str, separator: char) -> Option<(String, Option<&str>)> {
    for (at, _) in inside.match_indices('"') {
        let after = inside.get(at + 1..)?;
        let trimmed = after.trim_start_matches(' ');
        let follows = if trimmed.is_empty() {
            None
        } else if let Some(more) = trimmed.strip_prefix(separator) {
            Some(more)
        } else {
            continue;
        };
        let body = inside.get(..at)?;
        // An odd number of quotes before the closing one leaves a bare inch mark
        // at the end; pairs inside stand for one each.
        let bare = body.len() - body.trim_end_matches('"').len();
        let (body, mark) = if bare % 2 == 1 {
            (body.get(..body.len() - 1)?, "\"")
        } else {
            (body, "")
        };
        return Some((format!("{}{mark}", body.replace("\"\"", "\"")), follows));
    }
    None
}

/// Physical lines.
fn text_lines(text: &str) -> impl Iterator<Item = &str> {
    let mut at = 0;
    std::iter::from_fn(move || {
        if at >= text.len() {
            return None;
        }
        let end = line_end(text, at);
        let line = text.get(at..end);
        at = after_break(text, end).max(at + 1);
        line
    })
}

fn line_end(text: &str, at: usize) -> usize {
    text.get(at..)
        .and_then(|rest| rest.find(['\r', '\n']))
        .map_or(text.len(), |offset| at + offset)
}

/// The byte after the line break at `end`: `\r`, `\n` or both.
fn after_break(text: &str, end: usize) -> usize {
    match text.get(end..) {
        Some(rest) if rest.starts_with("\r\n") => end + 2,
        Some(rest) if !rest.is_empty() => end + 1,
        _ => text.len(),
    }
}

fn line_breaks(raw: &str) -> usize {
    let bytes = raw.as_bytes();
    bytes
        .iter()
        .enumerate()
        .filter(|(at, byte)| {
            **byte == b'\n' || (**byte == b'\r' && bytes.get(at + 1) != Some(&b'\n'))
        })
        .count()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(text: &str) -> Vec<(usize, Vec<String>)> {
        split(text, &"list.csv".into(), &|_| 0)
            .lines
            .into_iter()
            .map(|line| {
                (
                    line.source.line,
                    line.cells.into_iter().map(|c| c.text).collect(),
                )
            })
            .collect()
    }

    fn row(line: usize, cells: &[&str]) -> (usize, Vec<String>) {
        (line, cells.iter().map(|c| (*c).to_owned()).collect())
    }

    /// RFC 4180, section 2: quoted cells, doubled quotes, line breaks inside.
    #[test]
    fn proper_quotes() {
        let text = "a,b,c\n\"24 1/2\"\"\",\"x, y\",1\n\"two\nlines\",2,3\nd,e,f\n";
        assert_eq!(
            cells(text),
            [
                row(1, &["a", "b", "c"]),
                row(2, &["24 1/2\"", "x, y", "1"]),
                row(3, &["two\nlines", "2", "3"]),
                row(5, &["d", "e", "f"]),
            ]
        );
    }

    #[test]
    fn bare_inch_marks_swallow_nothing() {
        let text = "a,b,c\n24 1/2\",23\",x\n\"24 1/2\"\",\"23\"\",x\n\"34 1/2\"\",2,\"last\"\n1\",\",x\nd,e,f\n";
        assert_eq!(
            cells(text),
            [
                row(1, &["a", "b", "c"]),
                row(2, &["24 1/2\"", "23\"", "x"]),
                row(3, &["24 1/2\"", "23\"", "x"]),
                row(4, &["34 1/2\"", "2", "last"]),
                row(5, &["1\"", "\"", "x"]),
                row(6, &["d", "e", "f"]),
            ]
        );
    }

    #[test]
    fn every_line_break_counts_once() {
        let expected = [
            row(1, &["a", "b"]),
            row(2, &["c", "d"]),
            row(3, &[""]),
            row(4, &["e", "f"]),
        ];
        assert_eq!(cells("a,b\nc,d\n\ne,f"), expected);
        assert_eq!(cells("a,b\r\nc,d\r\n\r\ne,f\r\n"), expected);
        assert_eq!(cells("a,b\rc,d\r\re,f\r"), expected);
    }

    #[test]
    fn separators_are_found() {
        for separator in [',', ';', '\t', '|'] {
            let text = "Part,Qty,Length\nSide,2,34.5\nBottom,1,22.5\n"
                .replace(',', &separator.to_string());
            let table = split(&text, &"list.csv".into(), &|_| 0);
            assert_eq!(table.lines[1].cells.len(), 3, "{separator}");
        }
        // Decimal commas do not make a comma the separator.
        let table = split(
            "Part;Length\nSide;720,5\nDoor;294,5\nTop;18,5\n",
            &"x".into(),
            &|_| 0,
        );
        assert_eq!(table.lines[1].cells[1].text, "720,5");
        let table = split("sep=;\nPart;Length\nSide;720,5\n", &"x".into(), &|_| 0);
        assert_eq!(table.lines[1].source.line, 3);
        assert_eq!(table.lines[1].cells[1].text, "720,5");
    }

    #[test]
    fn an_unclosed_quote_stays_on_its_line() {
        let text = "a,b,c\n\"open,2,3\nd,e,f\n";
        assert_eq!(cells(text).len(), 3);
        let odd = "a,b,c\n\"open,2\nd,e,f\n";
        let table = split(odd, &"x".into(), &|_| 0);
        assert_eq!(table.torn, [2]);
        assert_eq!(table.lines.len(), 3);
    }
}
