//! `dryfit accept`: put a name to a deviation.

use super::arguments::Settings;
use super::checked::{Checked, check, content_hash};
use super::{Trouble, print};
use crate::report::page::{Page, Tone};
use crate::report::words;
use crate::signoff::accepted::{self, Entry};
use crate::signoff::date::Day;
use crate::signoff::open;
use crate::signoff::settle::find;
use std::path::PathBuf;

#[derive(Clone, Debug, clap::Args)]
pub struct Arguments {
    /// The job's folder
    #[arg(value_name = "JOB")]
    pub folder: PathBuf,
    /// What is accepted: findings (F1, or an id) and what is not checked (U1, or an id)
    #[arg(value_name = "ITEM", required = true)]
    pub items: Vec<String>,
    /// Why it is accepted
    #[arg(long, value_name = "TEXT", value_parser = filled)]
    pub reason: String,
    /// Who accepts it
    #[arg(long, value_name = "NAME", value_parser = filled)]
    pub by: String,
    /// Last day it holds, like 2026-03-31
    #[arg(long, value_name = "DAY", value_parser = day)]
    pub until: Option<Day>,
    #[command(flatten)]
    pub settings: Settings,
}

pub(super) fn filled(text: &str) -> Result<String, String> {
    let text = text.trim();
    if text.is_empty() {
        return Err("it is empty".to_owned());
    }
    Ok(text.to_owned())
}

fn day(text: &str) -> Result<Day, String> {
    Day::parse(text).map_err(|error| error.to_string())
}

/// Why something could not be accepted.
#[derive(Debug, thiserror::Error)]
pub enum AcceptError {
    #[error("{folder} is no folder; accepted deviations are kept in the job's folder")]
    NotAFolder { folder: String },
    #[error("there is no {asked} in this job; `dryfit check` shows what there is, F1 and U1 on")]
    NoSuchItem { asked: String },
    #[error("{until} is over already")]
    Over { until: String },
}

/// Writes the entries; nothing when one of them cannot be.
///
/// # Errors
/// When the job can't be checked, an item is not there, or the file cannot be
/// written.
pub fn run(arguments: &Arguments) -> Result<u8, Trouble> {
    let folder = &arguments.folder;
    if !folder.is_dir() {
        return Err(AcceptError::NotAFolder {
            folder: folder.display().to_string(),
        }
        .into());
    }
    let today = Day::today();
    if let Some(until) = arguments.until.filter(|until| *until < today) {
        return Err(AcceptError::Over {
            until: until.to_string(),
        }
        .into());
    }
    let Checked {
        job,
        audit,
        mut accepted,
        ..
    } = check(&arguments.settings.call(std::slice::from_ref(folder)))?;
    let open = open::items(&audit);
    let mut page = Page::new(false);
    for asked in &arguments.items {
        let item = find(&audit, &open, asked).ok_or_else(|| AcceptError::NoSuchItem {
            asked: asked.clone(),
        })?;
        let entry = Entry {
            item: item.id().to_owned(),
            says: item.says().to_owned(),
            reason: arguments.reason.clone(),
            by: arguments.by.clone(),
            date: today.to_string(),
            until: arguments.until.map(|until| until.to_string()),
            on: item.evidence(&job, &content_hash),
        };
        page.wrapped(
            Tone::Plain,
            "",
            "  ",
            &format!("{}: {}", entry.item, words::accepted(&entry)),
        );
        accepted.accepted.retain(|other| other.item != entry.item);
        accepted.accepted.push(entry);
    }
    accepted::write(folder, &accepted)?;
    print(&page.finish())?;
    Ok(0)
}
