//! Tests of the whole room on hand-built cabinets and lists.

mod bands;
mod basics;
mod causes;
mod drawn;
mod evidence;
mod groups;
mod mutations;
mod order;
mod rounded;
mod size;
mod told;
mod ways;
