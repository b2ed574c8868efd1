//! `dryfit compare`: two issues of a job, part by part.

use super::load::Call;
use super::state::{self, Format};
use super::{Colour, Trouble};
use crate::report::changes::{Question, Side};
use crate::signoff::release::difference;
use crate::signoff::release::pairing::{Terms, pair};
use crate::signoff::release::record::{self, Record};
use crate::signoff::release::snapshot::Snapshot;
use std::path::{Path, PathBuf};

#[derive(Clone, Debug, clap::Args)]
#[command(
    after_help = "Exit status: 0 the two are the same; 1 they differ; 2 one of them could \
                        not be used; 3 no difference was found, but not everything could be \
                        compared."
)]
pub struct Arguments {
    /// The earlier issue: a job folder, a release record, a drawing or a list
    #[arg(value_name = "OLD")]
    pub old: PathBuf,
    /// The later issue
    #[arg(value_name = "NEW")]
    pub new: PathBuf,
    /// What to print
    #[arg(long, value_enum, default_value_t)]
    pub format: Format,
    /// When to colour the text
    #[arg(long, value_enum, value_name = "WHEN", default_value_t)]
    pub color: Colour,
}

/// One side: read from its record, or checked now.
struct Issue {
    shown: String,
    record: Option<Record>,
    snapshot: Snapshot,
}

/// Compares and prints.
///
/// # Errors
/// When one of the two cannot be used.
pub fn run(arguments: &Arguments) -> Result<u8, Trouble> {
    let (old, new) = (issue(&arguments.old)?, issue(&arguments.new)?);
    let files = pair(&old.snapshot.files, &new.snapshot.files, Terms::Issues);
    let difference = difference::between(&old.snapshot, &new.snapshot, files, Terms::Issues);
    let changes = state::changes(Question::Compare, old.side(), new.side(), &difference);
    state::print(&changes, arguments.format, arguments.color.on())
}

fn issue(path: &Path) -> Result<Issue, Trouble> {
    let shown = path.display().to_string();
    let is_record = path
        .extension()
        .is_some_and(|extension| extension.eq_ignore_ascii_case("toml"));
    if is_record && !path.is_dir() {
        let record = record::read(path)?;
        return Ok(Issue {
            shown,
            snapshot: record.snapshot.clone(),
            record: Some(record),
        });
    }
    let (_, snapshot) = state::now(&Call {
        paths: vec![path.to_owned()],
        ..Call::default()
    })?;
    Ok(Issue {
        shown,
        record: None,
        snapshot,
    })
}

impl Issue {
    fn side(&self) -> Side<'_> {
        Side {
            shown: &self.shown,
            snapshot: &self.snapshot,
            record: self.record.as_ref(),
        }
    }
}
