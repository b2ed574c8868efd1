//! Writes drawings of many cabinets, the same bytes for the same number: one
//! of the worked examples again and again, each copy moved and named anew.

use std::fmt::Write as _;
use std::io::{self, Write};
use std::path::Path;

const TILE: &str = include_str!("../../fixtures/worked/c2/c2.dxf");
const ROWS: &str = include_str!("../../fixtures/worked/c2/c2.csv");
const NAME: &str = "W60";

/// Distance between copies, drawing units (mm). Not round, so that
/// coordinates have as many digits as those of exported models.
const PITCH: [f64; 2] = [4_321.123_456_789_1, 3_456.987_654_321_9];

type Pair<'a> = (i32, &'a str);

fn pairs(text: &str) -> Vec<Pair<'_>> {
    let mut lines = text.lines();
    let mut found = Vec::new();
    while let (Some(code), Some(value)) = (lines.next(), lines.next()) {
        found.push((code.trim().parse().expect("a group code"), value));
    }
    found
}

/// From the group after the section's name to its ENDSEC, that not included.
fn section<'a>(all: &'a [Pair<'a>], name: &str) -> (usize, usize) {
    let start = all
        .windows(2)
        .position(|w| w[0] == (0, "SECTION") && w[1] == (2, name))
        .expect("the section")
        + 2;
    let end = all[start..].iter().position(|p| *p == (0, "ENDSEC"));
    (start, start + end.expect("its end"))
}

struct Copy {
    shift: [f64; 2],
    name: String,
    number: usize,
}

impl Copy {
    fn group(&self, code: i32, value: &str, handle: &mut u64, out: &mut String) {
        let _ = writeln!(out, "{code:>3}");
        let _ = match code {
            5 => {
                *handle += 1;
                writeln!(out, "{handle:X}")
            }
            10..=18 | 20..=28 => {
                let shift = self.shift[usize::from(code >= 20)];
                let value: f64 = value.parse().expect("a coordinate");
                writeln!(out, "{}", value + shift)
            }
            1 => writeln!(out, "{}", value.replace(NAME, &self.name)),
            2 if value.starts_with("*D") => writeln!(out, "{value}_{}", self.number),
            _ => writeln!(out, "{value}"),
        };
    }
}

/// Blocks of dimensions (`*D...`) from a BLOCKS section, each with its BLOCK
/// and ENDBLK.
fn dimension_blocks<'a>(blocks: &[Pair<'a>]) -> Vec<Pair<'a>> {
    let starts: Vec<usize> = (0..blocks.len())
        .filter(|&i| blocks[i] == (0, "BLOCK"))
        .chain([blocks.len()])
        .collect();
    let mut found = Vec::new();
    for range in starts.windows(2) {
        let block = &blocks[range[0]..range[1]];
        if block
            .iter()
            .any(|&(code, value)| code == 2 && value.starts_with("*D"))
        {
            found.extend_from_slice(block);
        }
    }
    found
}

/// Writes `name.dxf` and `name.csv` with `cabinets` cabinets; gives the size
/// of the drawing in bytes.
pub fn write(folder: &Path, name: &str, cabinets: usize) -> io::Result<u64> {
    let tile = pairs(TILE);
    let (blocks_start, blocks_end) = section(&tile, "BLOCKS");
    let (entities_start, entities_end) = section(&tile, "ENTITIES");
    let in_blocks = dimension_blocks(&tile[blocks_start..blocks_end]);
    let entities: Vec<Pair<'_>> = tile[entities_start..entities_end].to_vec();
    let across = (1..).find(|n| n * n >= cabinets).unwrap_or(1);
    let copies: Vec<Copy> = (0..cabinets)
        .map(|number| Copy {
            #[allow(clippy::cast_precision_loss)]
            shift: [
                (number % across) as f64 * PITCH[0],
                (number / across) as f64 * PITCH[1],
            ],
            name: format!("W{:04}", number + 1),
            number,
        })
        .collect();
    let path = folder.join(format!("{name}.dxf"));
    let mut file = io::BufWriter::new(std::fs::File::create(&path)?);
    let mut handle = 0x1000;
    let mut text = String::new();
    let plain = |range: &[Pair<'_>], text: &mut String| {
        for (code, value) in range {
            let value = value.replace("AC1024", "AC1032");
            let _ = writeln!(text, "{code:>3}\n{value}");
        }
    };
    plain(&tile[..blocks_end], &mut text);
    for (repeat, end) in [(&in_blocks, entities_start), (&entities, tile.len())] {
        for copy in &copies {
            let mut in_head = false;
            for &(code, value) in repeat.iter() {
                if code == 0 {
                    // The base point of a block stays.
                    in_head = matches!(value, "BLOCK" | "ENDBLK");
                }
                if in_head && (10..40).contains(&code) {
                    let _ = writeln!(text, "{code:>3}\n{value}");
                } else {
                    copy.group(code, value, &mut handle, &mut text);
                }
            }
            file.write_all(text.as_bytes())?;
            text.clear();
        }
        let start = if end == entities_start {
            blocks_end
        } else {
            entities_end
        };
        plain(&tile[start..end], &mut text);
    }
    file.write_all(text.as_bytes())?;
    file.flush()?;
    let mut list = String::new();
    for (i, line) in ROWS.lines().enumerate() {
        if i == 0 {
            let _ = writeln!(list, "{line}");
        }
    }
    for copy in &copies {
        for line in ROWS.lines().skip(1) {
            let _ = writeln!(list, "{}", line.replace(NAME, &copy.name));
        }
    }
    std::fs::write(folder.join(format!("{name}.csv")), list)?;
    Ok(std::fs::metadata(&path)?.len())
}
