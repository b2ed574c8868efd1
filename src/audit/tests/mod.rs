//! Tests of the whole room on hand-built cabinets and lists.

mod basics;
mod causes;
mod mutations;
