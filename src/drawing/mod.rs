//! DXF bytes to a [`Sheet`]: flat primitives with provenance, and a tally of
//! everything that was read, left out and why. Knows nothing of cabinets.
#![cfg_attr(
    not(test),
    deny(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing)
)]

mod ascii;
mod assemble;
mod binary;
mod conic;
mod cue;
mod definitions;
mod draw;
mod encoding;
mod entities;
mod groups;
mod leftover;
pub mod limits;
mod names;
mod number;
mod order;
mod pieces;
mod place;
mod plain;
mod plain_line;
mod plan;
mod reader;
mod record;
mod refusal;
mod shape;
mod sheet;
mod sight;
mod tally;
mod vector;

pub use sheet::{
    Arc, Dimension, DimensionKind, Ellipse, EntityKind, Evidence, Point, Segment, Sheet, Skipped,
    Source, SourceId, Space, Text, Viewport,
};

use std::fs::File;
use std::io::{Cursor, Read, Seek};
use std::path::Path;

/// Layers a marked-up copy of a drawing carries its marks on start with this.
pub const MARK_LAYERS: &str = "DRYFIT-";

/// Whether a layer holds marks of an earlier check, which are no part of the
/// drawing.
pub fn is_mark_layer(name: &str) -> bool {
    name.get(..MARK_LAYERS.len())
        .is_some_and(|start| start.eq_ignore_ascii_case(MARK_LAYERS))
}

/// Why a file could not be used as a drawing at all.
#[derive(Debug, thiserror::Error)]
pub enum DrawingError {
    #[error("{file}: cannot be read: {source}")]
    Io {
        file: String,
        source: std::io::Error,
    },
    #[error("{file}: not a DXF file: {found}; export the drawing as DXF (ASCII or binary)")]
    NotDxf { file: String, found: String },
}

/// Reads a DXF file as a stream. `shown` is the path as the user gave it.
///
/// # Errors
/// When the file cannot be read or is not a DXF file; damage inside a DXF file
/// is recorded in the sheet instead.
pub fn read_file(path: &Path, shown: &str) -> Result<Sheet, DrawingError> {
    let file = File::open(path).map_err(|source| DrawingError::Io {
        file: shown.to_owned(),
        source,
    })?;
    read(file, shown)
}

/// Reads a DXF file from memory.
///
/// # Errors
/// As [`read_file`].
pub fn read_bytes(bytes: &[u8], shown: &str) -> Result<Sheet, DrawingError> {
    read(Cursor::new(bytes), shown)
}

/// Reads a DXF file from anything that can be read twice.
///
/// # Errors
/// As [`read_file`].
pub fn read<R: Read + Seek>(reader: R, shown: &str) -> Result<Sheet, DrawingError> {
    reader::read(reader, shown)
}

#[cfg(test)]
mod tests;
