//! The trade's words: what a part is, and which way it lies in a cabinet.

mod axis;
mod role;

pub use axis::{Axis, Dimension};
pub use role::{Family, Role};
