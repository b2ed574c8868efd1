//! Released jobs: what a job was when someone put their name to it, in a file that
//! stays beside it, and how a job now differs from a job then.
//!
//! * [`snapshot`]: a job's files by hash and all its sizes and rows
//! * [`take`]: a snapshot of a checked job
//! * [`record`]: a snapshot with a name and a day under it, sealed, as a file
//! * [`pairing`]: which file now is which file then
//! * [`rows`]: which row now is which row then
//! * [`difference`]: what is not as it was, size by size and row by row

pub mod difference;
mod line;
pub mod pairing;
pub mod record;
pub mod rows;
pub mod snapshot;
pub mod take;

#[cfg(test)]
mod tests;
