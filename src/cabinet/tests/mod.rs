//! The recogniser held against cabinets whose sizes are known beforehand.

mod beside;
mod boxes;
mod confirm;
mod cut_plan;
mod feet;
mod front_faces;
mod model;
mod posts;
mod random;
mod shop;
mod truth;
mod under_top;
mod unread;
mod whole;
