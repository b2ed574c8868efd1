//! List bytes (CSV, XLSX, ODS) to rows with typed sizes, each with the file,
//! line and column it came from and the text as written. Knows nothing of drawings.
//!
//! The way of a list: bytes → text ([`text`](self)) → lines of cells (`separated`,
//! `workbook`) → the heading line and what its columns hold (`columns`) → rows as
//! written (`lines`) → the unit of each row (`units`) → typed rows (`rows`), with
//! sizes that have two readings asked about (`suspect`).
#![cfg_attr(
    not(test),
    deny(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing)
)]

mod attributes;
mod boring;
mod cabinets;
mod columns;
mod contents;
mod heading;
mod kinds;
mod lines;
mod marks;
mod normal;
mod outline;
#[cfg(test)]
mod proofs;
mod propose;
mod read;
mod roles;
mod rows;
mod separated;
mod sizes;
mod spoken;
mod suspect;
mod table;
mod text;
mod typed;
mod types;
mod units;
mod words;
mod workbook;

pub use outline::{Outline, OutlineColumn, outline};
pub use read::{read_bytes, read_file};
pub use types::*;
pub use words::{field_names, is_field};
