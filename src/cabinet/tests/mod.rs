//! The recogniser held against cabinets whose sizes are known beforehand.

mod model;
mod random;
mod shop;
mod truth;
