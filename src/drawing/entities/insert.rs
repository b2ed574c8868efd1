//! INSERT.

use crate::drawing::definitions::Definitions;
use crate::drawing::record::Record;
use crate::drawing::refusal::Refusal;
use crate::drawing::shape::{InsertShape, Shape};

pub fn insert(record: &Record, definitions: &mut Definitions) -> Result<Shape, Refusal> {
    let name = record.text(2).ok_or(Refusal::Missing(2))?;
    let scale = [
        record.real_or(41, 1.0)?,
        record.real_or(42, 1.0)?,
        record.real_or(43, 1.0)?,
    ];
    let [sx, sy, _] = scale;
    if sx == 0.0 || sy == 0.0 {
        return Err("its scale is zero".into());
    }
    // Counts below one mean one, as in the programs that write them.
    let count = |code| -> Result<u64, Refusal> {
        Ok(u64::try_from(record.int_or(code, 1)?).map_or(1, |n| n.max(1)))
    };
    Ok(Shape::Insert(Box::new(InsertShape {
        block: definitions.block_names.id(name, &definitions.page),
        at: record.needed_point(10)?,
        scale,
        turn: record.real_or(50, 0.0)?.to_radians(),
        normal: record.normal()?,
        columns: count(70)?,
        rows: count(71)?,
        column_step: record.real_or(44, 0.0)?,
        row_step: record.real_or(45, 0.0)?,
        attributes: Vec::new(),
    })))
}
