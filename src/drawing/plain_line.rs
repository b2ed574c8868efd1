//! LINEs as nearly all programs write them, understood group by group where they stand: a
//! large drawing holds a million, and most of its reading would be to keep their groups
//! and look them up. All that is out of the ordinary is left to [`super::record`] and
//! [`super::entities`], which understand the same of a plain one.

use super::Point;
use super::ascii::{likely, quick, without_returns};
use super::definitions::{BY_LAYER, Definitions};
use super::number;
use super::shape::Common;
use std::ops::Range;

/// More groups or bytes than this are no plain line: far below the limits of an entity.
const MOST_GROUPS: u64 = 64;
const MOST_BYTES: usize = 4096;

/// A LINE of which nothing else matters.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PlainLine<'a> {
    pub handle: Option<&'a [u8]>,
    pub layer: Option<&'a [u8]>,
    pub linetype: Option<&'a [u8]>,
    /// World coordinates (DXF Reference, LINE).
    pub a: Point,
    pub b: Point,
    /// How far it reaches from where its first group starts.
    pub groups: u64,
    pub bytes: usize,
    /// The value of its last group.
    pub last: &'a [u8],
    /// Another LINE starts after it: groups and bytes are with its type.
    pub again: bool,
}

impl PlainLine<'_> {
    /// What all entities have, of one that starts at this position.
    pub fn common(&self, position: u64, definitions: &mut Definitions) -> Common {
        Common {
            handle: self.handle.and_then(number::handle).unwrap_or(0),
            position,
            layer: self.layer.map_or(0, |name| definitions.layer_id(name)),
            linetype: self
                .linetype
                .map_or(BY_LAYER, |name| definitions.linetype_id(name)),
            invisible: false,
            paper: false,
        }
    }
}

/// What stands between the handle and the first coordinate of a plain line, byte for byte:
/// owner, class marks and layer are those of the next one as a rule.
#[derive(Debug, Default)]
pub struct Between {
    text: Vec<u8>,
    groups: u64,
    names: Names,
}

/// Groups 8 and 6, where they stand.
type Names = [Option<Range<usize>>; 2];

fn moved(names: &Names, by: impl Fn(usize) -> usize) -> Names {
    let moved = |name: &Range<usize>| by(name.start)..by(name.end);
    names.each_ref().map(|name| name.as_ref().map(moved))
}

/// The coordinate that programs write after this one, with its columns.
const fn after(code: i32) -> Option<(i32, [u8; 3])> {
    match code {
        10 => Some((20, *b" 20")),
        20 => Some((30, *b" 30")),
        30 => Some((11, *b" 11")),
        11 => Some((21, *b" 21")),
        21 => Some((31, *b" 31")),
        31 => Some((0, *b"  0")),
        _ => None,
    }
}

/// Reads the groups after the type of a LINE, up to the next group 0, which must be within
/// `bytes`. `None` for one that is not plain.
pub fn read<'a>(bytes: &'a [u8], newline: u8, between: &mut Between) -> Option<PlainLine<'a>> {
    let mut line = PlainLine::default();
    let mut names = Names::default();
    let [mut ax, mut ay, mut bx, mut by] = [None; 4];
    let [mut az, mut bz] = [0.0; 2];
    // Where the handle ends, as long as no coordinate was met since.
    let mut start = None;
    // The group that comes next in nearly all files.
    let mut next = None;
    loop {
        let rest = bytes.get(line.bytes..)?;
        let expected = next.and_then(|(code, columns)| {
            let (value, used) = likely(rest, newline, columns)?;
            Some((code, value, used))
        });
        let (code, value, used) = expected.or_else(|| quick(rest, newline))?;
        next = after(code);
        let text = without_returns(rest.get(value.clone())?);
        match code {
            0 => {
                if text == b"LINE" {
                    line.again = true;
                    line.groups += 1;
                    line.bytes += used;
                    line.last = text;
                }
                break;
            }
            10 | 20 | 30 | 11 | 21 | 31 => {
                if let Some(start) = start.take() {
                    between.text.clear();
                    between
                        .text
                        .extend_from_slice(bytes.get(start..line.bytes)?);
                    between.groups = line.groups - 1;
                    between.names = moved(&names, |at| at - start);
                }
                let number = number::real(text)?;
                match code {
                    10 => ax = Some(number),
                    20 => ay = Some(number),
                    30 => az = number,
                    11 => bx = Some(number),
                    21 => by = Some(number),
                    _ => bz = number,
                }
            }
            // Of several, each would be made known.
            5 if line.handle.replace(text).is_some() => return None,
            6 | 8 => {
                let at = line.bytes + value.start;
                let [layer, linetype] = &mut names;
                let name = if code == 8 { layer } else { linetype };
                if name.replace(at..at + text.len()).is_some() {
                    return None;
                }
            }
            // Invisible, in paper space, with an object in it, or with extended data.
            60 | 67 | 101 | 1000.. => return None,
            _ => {}
        }
        line.groups += 1;
        line.bytes += used;
        line.last = text;
        if line.groups > MOST_GROUPS || line.bytes > MOST_BYTES {
            return None;
        }
        if code == 5 && line.groups == 1 {
            let rest = bytes.get(line.bytes..)?;
            if !between.text.is_empty() && rest.starts_with(&between.text) {
                names = moved(&between.names, |at| line.bytes + at);
                line.groups += between.groups;
                line.bytes += between.text.len();
                next = Some((10, *b" 10"));
            } else {
                start = Some(line.bytes);
            }
        }
    }
    (line.a, line.b) = ([ax?, ay?, az], [bx?, by?, bz]);
    [line.layer, line.linetype] = names.map(|name| bytes.get(name?));
    Some(line)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::entities;
    use crate::drawing::groups::Value;
    use crate::drawing::record::Record;
    use crate::drawing::shape::{Item, Shape};
    use crate::drawing::sheet::EntityKind;
    use proptest::prelude::*;
    use std::fmt::Write as _;

    /// What keeping all groups and looking them up understands.
    fn kept(groups: &[(i32, &str)]) -> Item {
        let mut record = Record::default();
        record.start(b"LINE", 1);
        for (code, text) in groups {
            record.add(*code, Value::Text(text.as_bytes()));
        }
        entities::item(&record, &mut Definitions::default())
    }

    /// What reading it where it stands does.
    fn plain(groups: &[(i32, &str)], newline: &str) -> Option<(Common, Point, Point)> {
        let mut text = String::new();
        for (code, value) in groups {
            let _ = write!(text, "{code:3}{newline}{value}{newline}");
        }
        let end = text.len();
        let mut more = text.clone();
        let _ = write!(text, "  0{newline}ARC{newline}");
        let _ = write!(more, "  0{newline}LINE{newline}");
        // Alone, and after one that has the same between handle and coordinates.
        let mut between = Between::default();
        let line = read(text.as_bytes(), b'\n', &mut between)?;
        let again = read(text.as_bytes(), b'\n', &mut between);
        assert_eq!(again, Some(line));
        assert_eq!(line.bytes, end);
        assert_eq!(line.groups, groups.len() as u64);
        assert_eq!(line.last, groups.last()?.1.as_bytes());
        let next = PlainLine {
            groups: line.groups + 1,
            bytes: more.len(),
            last: b"LINE",
            again: true,
            ..line
        };
        assert_eq!(read(more.as_bytes(), b'\n', &mut between), Some(next));
        let common = line.common(1, &mut Definitions::default());
        Some((common, line.a, line.b))
    }

    const PLAIN: [(i32, &str); 11] = [
        (5, "1F"),
        (330, "17"),
        (100, "AcDbEntity"),
        (8, "CASE"),
        (100, "AcDbLine"),
        (10, "1.5"),
        (20, "-2"),
        (30, "0.0"),
        (11, "134536.8271604621"),
        (21, "4"),
        (31, "1e-3"),
    ];

    #[test]
    fn a_line_as_programs_write_it_is_plain() {
        for newline in ["\n", "\r\n"] {
            let (common, a, b) = plain(&PLAIN, newline).unwrap();
            assert_eq!((common.handle, common.position), (0x1f, 1));
            assert_eq!(
                (a, b),
                ([1.5, -2.0, 0.0], [134_536.827_160_462_1, 4.0, 0.001])
            );
        }
        // At its end the next group has to stand, whole.
        let text = b"10\n1\n20\n1\n11\n1\n21\n9\n";
        assert_eq!(read(text, b'\n', &mut Between::default()), None);
    }

    #[test]
    fn what_hides_or_extends_a_line_is_not_passed_over() {
        for more in [
            (60, "1"),
            (67, "1"),
            (101, "Embedded Object"),
            (1001, "ACAD"),
            (10, "x"),
        ] {
            let mut groups = PLAIN.to_vec();
            groups.push(more);
            assert_eq!(plain(&groups, "\n"), None, "{more:?}");
        }
        let without = |code| {
            let rest = PLAIN.iter().filter(|group| group.0 != code);
            plain(&rest.copied().collect::<Vec<_>>(), "\n")
        };
        for code in [10, 20, 11, 21] {
            assert_eq!(without(code), None, "{code}");
        }
        assert!(without(30).is_some() && without(31).is_some());
        let long = [(39, "1"); 70];
        assert_eq!(plain(&[&PLAIN[..], &long].concat(), "\n"), None);
    }

    #[test]
    fn what_stands_between_is_passed_over_only_where_it_is_the_same() {
        let text = |layer: &str, first: &str| {
            format!("5\n1F\n330\n17\n8\n{layer}\n10\n{first}\n20\n1\n11\n5\n21\n9\n  0\nLINE\n")
        };
        let mut between = Between::default();
        for (layer, first) in [
            ("CASE", "1"),
            ("CASE", "2"),
            ("CASED", "3"),
            ("CAS", "4"),
            ("CASE", "x"),
            ("CASE", "5"),
        ] {
            let text = text(layer, first);
            let line = read(text.as_bytes(), b'\n', &mut between);
            let alone = read(text.as_bytes(), b'\n', &mut Between::default());
            assert_eq!(line, alone, "{layer} {first}");
            assert_eq!(line.is_some(), first != "x");
        }
    }

    proptest! {
        #[test]
        fn a_plain_line_is_what_keeping_its_groups_gives(
            more in proptest::collection::vec((0..19_usize, 0..8_usize, 0..12_usize), 0..9),
        ) {
            const CODES: [i32; 19] = [
                5, 6, 8, 10, 20, 30, 11, 21, 31, 39, 48, 60, 62, 67, 100, 102, 210, 310, 1000,
            ];
            const VALUES: [&str; 8] = ["", "0", "1", " 2.50 ", "HIDDEN", "FE", "-7.125D+1", "nan"];
            let mut groups = PLAIN.to_vec();
            for (code, value, at) in more {
                groups.insert(at.min(groups.len()), (CODES[code], VALUES[value]));
            }
            if let Some((common, a, b)) = plain(&groups, "\n") {
                let item = kept(&groups);
                prop_assert_eq!(common, item.common);
                prop_assert_eq!(item.kind, EntityKind::Line);
                prop_assert!(matches!(item.shape, Shape::Line(c, d) if (a, b) == (c, d)));
            }
        }
    }
}
