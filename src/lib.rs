//! `dryfit` puts a cut list together on paper before any sheet is cut.
//!
//! Data flows one way through the rooms below; a room imports only from rooms
//! above it in this list:
//!
//! * [`trade`]: the trade's words for parts, and what shops write for them
//! * [`plain`]: plain words, and text that is safe to print
//! * [`assign`]: which of some things go best with which of others
//! * [`length`]: exact lengths, parsing and printing
//! * [`drawing`]: DXF bytes to flat primitives with provenance
//! * [`linework`]: cleaned lines in true size
//! * [`view`]: views, their titles, scale and kind
//! * [`cabinet`]: measured cabinets, their drawn parts and openings
//! * [`cutlist`]: list bytes to rows with typed sizes
//! * [`construction`]: relations between a cabinet's sizes and its parts' sizes
//! * [`audit`]: findings, causes, coverage
//! * [`signoff`]: accepted deviations, released jobs, and what changed since
//! * [`report`]: how an audit is shown
//! * [`cli`]: the command line
#![forbid(unsafe_code)]

pub mod assign;
pub mod audit;
pub mod cabinet;
pub mod cli;
pub mod construction;
pub mod cutlist;
pub mod drawing;
pub mod length;
pub mod linework;
pub mod plain;
pub mod report;
pub mod signoff;
pub mod trade;
pub mod view;
