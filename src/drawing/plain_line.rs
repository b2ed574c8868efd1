//! LINEs as nearly all programs write them, understood group by group where they stand: a
//! large drawing holds a million, and most of its reading would be to keep their groups
//! and look them up. All that is out of the ordinary is left to [`super::record`] and
//! [`super::entities`], which understand the same of a plain one.

use super::Point;
use super::ascii::{quick, without_returns};
use super::definitions::{BY_LAYER, Definitions};
use super::number;
use super::shape::Common;

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

/// Reads the groups after the type of a LINE, up to the next group 0, which must be within
/// `bytes`. `None` for one that is not plain.
pub fn read(bytes: &[u8], newline: u8) -> Option<PlainLine<'_>> {
    let mut line = PlainLine::default();
    let [mut ax, mut ay, mut bx, mut by] = [None; 4];
    let [mut az, mut bz] = [0.0; 2];
    loop {
        let rest = bytes.get(line.bytes..)?;
        let (code, value, used) = quick(rest, newline)?;
        if code == 0 {
            break;
        }
        let text = without_returns(rest.get(value)?);
        let real = || number::real(text);
        let name = match code {
            5 => Some(&mut line.handle),
            6 => Some(&mut line.linetype),
            8 => Some(&mut line.layer),
            _ => None,
        };
        // Of several, each would be made known.
        if let Some(name) = name
            && name.replace(text).is_some()
        {
            return None;
        }
        match code {
            10 => ax = Some(real()?),
            20 => ay = Some(real()?),
            30 => az = real()?,
            11 => bx = Some(real()?),
            21 => by = Some(real()?),
            31 => bz = real()?,
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
    }
    (line.a, line.b) = ([ax?, ay?, az], [bx?, by?, bz]);
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
        let _ = write!(text, "  0{newline}LINE{newline}");
        let line = read(text.as_bytes(), b'\n')?;
        assert_eq!(line.bytes, end);
        assert_eq!(line.groups, groups.len() as u64);
        assert_eq!(line.last, groups.last()?.1.as_bytes());
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
        assert_eq!(read(text, b'\n'), None);
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
