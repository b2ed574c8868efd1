//! `dryfit measure`: views, cabinets and measured sizes, without judging a list.

use super::arguments::JobArguments;
use super::{Trouble, load};
use crate::report::{measured, picture};
use std::io::Write as _;
use std::path::{Path, PathBuf};

#[derive(Clone, Debug, clap::Args)]
#[command(
    after_help = "Exit status: 0 every size was measured; 1 a drawing contradicts itself; 2 \
                        the input or the call could not be used; 3 a size or a view could not be \
                        measured."
)]
pub struct Arguments {
    #[command(flatten)]
    pub job: JobArguments,
    /// What to print
    #[arg(long, value_enum, default_value_t)]
    pub format: Format,
    /// Paint what was recognised into this file (.svg or .html)
    #[arg(long, value_name = "FILE", value_parser = picture_file)]
    pub picture: Option<PathBuf>,
    /// Let --picture replace a file that is already there
    #[arg(long, requires = "picture")]
    pub force: bool,
}

/// What `measure` can print.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// For a terminal, 80 columns
    #[default]
    Text,
    /// For programs; documented in the README
    Json,
}

/// Why a picture could not be written.
#[derive(Debug, thiserror::Error)]
pub enum MeasureError {
    #[error("{file} is already there; --force replaces it")]
    Exists { file: String },
    #[error("{file} is a file of the job itself and is never replaced; name another file")]
    Input { file: String },
    #[error("{file} cannot be written: {source}")]
    Io {
        file: String,
        source: std::io::Error,
    },
}

/// A file name that says what the picture is to be.
fn picture_file(text: &str) -> Result<PathBuf, String> {
    let path = PathBuf::from(text);
    match kind(&path) {
        Some(_) => Ok(path),
        None => Err(format!("`{text}` ends neither in .svg nor in .html")),
    }
}

fn kind(path: &Path) -> Option<picture::Format> {
    let extension = path.extension()?.to_str()?.to_ascii_lowercase();
    match &*extension {
        "svg" => Some(picture::Format::Svg),
        "html" | "htm" => Some(picture::Format::Html),
        _ => None,
    }
}

/// Measures the drawings and prints what was found. The status is 0 when every
/// size was measured, 1 when a drawing contradicts itself, 3 when a size or a
/// view could not be measured.
///
/// # Errors
/// When there is nothing to measure or the picture cannot be written.
pub fn run(arguments: &Arguments) -> Result<u8, Trouble> {
    let job = load::load(&arguments.job.call())?;
    if let Some(path) = &arguments.picture {
        let format = kind(path).unwrap_or(picture::Format::Svg);
        let inputs = job
            .sheets
            .iter()
            .map(|sheet| &*sheet.file)
            .chain(job.lists.iter().map(|list| &*list.file));
        write(
            path,
            &picture::render(&job, format),
            inputs,
            arguments.force,
        )?;
        eprintln!("dryfit: picture written to {}", path.display());
    }
    let text = match arguments.format {
        Format::Text => measured::text(&job),
        Format::Json => measured::json(&job),
    };
    super::print(&text)?;
    Ok(status(&job))
}

fn status(job: &crate::audit::Job) -> u8 {
    let contradicted =
        !job.views.conflicts.is_empty() || job.cabinets.iter().any(|c| !c.conflicts.is_empty());
    if contradicted {
        return 1;
    }
    let whole = |sizes: &crate::cabinet::Sizes| {
        [&sizes.width, &sizes.height, &sizes.depth]
            .iter()
            .all(|m| m.known().is_some())
    };
    let measured = !job.cabinets.is_empty()
        && job.unusable.is_empty()
        && job
            .cabinets
            .iter()
            .all(|c| whole(&c.overall) && whole(&c.interior));
    if measured { 0 } else { 3 }
}

/// Writes the picture whole or not at all, never over an input.
fn write<'a>(
    path: &Path,
    content: &str,
    mut inputs: impl Iterator<Item = &'a str>,
    force: bool,
) -> Result<(), MeasureError> {
    let file = path.display().to_string();
    let real = path.canonicalize().ok();
    if real.is_some() && inputs.any(|input| Path::new(input).canonicalize().ok() == real) {
        return Err(MeasureError::Input { file });
    }
    if path.exists() && !force {
        return Err(MeasureError::Exists { file });
    }
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let trouble = |source: std::io::Error| MeasureError::Io {
        file: file.clone(),
        source,
    };
    let mut temporary = tempfile::NamedTempFile::new_in(folder).map_err(trouble)?;
    temporary.write_all(content.as_bytes()).map_err(trouble)?;
    temporary
        .persist(path)
        .map_err(|error| trouble(error.error))?;
    Ok(())
}
