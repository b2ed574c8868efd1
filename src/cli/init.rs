//! `dryfit init`: a first job file with what the job itself shows.

use super::{Trouble, discover, load};
use crate::construction::{Proposal, proposal};
use std::io::Write;
use std::path::{Path, PathBuf};

#[derive(Clone, Debug, clap::Args)]
pub struct Arguments {
    /// The job folder
    #[arg(value_name = "DIR", default_value = ".")]
    pub folder: PathBuf,
    /// Replace a job file that is already there
    #[arg(long)]
    pub force: bool,
    /// Print it instead of writing it
    #[arg(long, conflicts_with = "force")]
    pub print: bool,
}

/// Why no job file was written.
#[derive(Debug, thiserror::Error)]
pub enum InitError {
    #[error("{folder} is not a folder; give the folder with the drawings and the list")]
    NoFolder { folder: String },
    #[error("{file} is already there; --force replaces it, --print shows what would be written")]
    Exists { file: String },
    #[error("{file} cannot be written: {message}")]
    Write { file: String, message: String },
}

/// Writes the job file of a folder; gives the exit status.
///
/// # Errors
/// When the folder holds no job, or the file is there already or cannot be written.
pub fn run(arguments: &Arguments) -> Result<u8, Trouble> {
    let folder = &arguments.folder;
    if !folder.is_dir() {
        return Err(InitError::NoFolder {
            folder: folder.to_string_lossy().into_owned(),
        }
        .into());
    }
    let file = folder.join(discover::JOB_FILE);
    let shown = file.to_string_lossy().into_owned();
    if file.exists() && !arguments.force && !arguments.print {
        return Err(InitError::Exists { file: shown }.into());
    }
    let text = propose(folder)?;
    if arguments.print {
        super::print(&text)?;
        return Ok(0);
    }
    write_whole(&file, &text, arguments.force).map_err(|message| InitError::Write {
        file: shown.clone(),
        message,
    })?;
    super::print(&format!(
        "{shown} written. Take the # away from the lines that are right.\n"
    ))?;
    Ok(0)
}

/// The text for a folder, as though it had no job file.
fn propose(folder: &Path) -> Result<String, Trouble> {
    let found = discover::discover(&[folder.to_owned()]);
    let paths: Vec<PathBuf> = found
        .drawings
        .iter()
        .chain(&found.lists)
        .map(|input| input.path.clone())
        .collect();
    let call = load::Call {
        // An empty folder is said to be empty by the loader.
        paths: if paths.is_empty() {
            vec![folder.to_owned()]
        } else {
            paths
        },
        ..load::Call::default()
    };
    let job = load::load(&call)?;
    let drawings: Vec<String> = job.sheets.iter().map(|sheet| sheet.file.clone()).collect();
    Ok(proposal(&Proposal {
        name: &found.name,
        unit: load::usual_unit(&job.lists),
        rules: &job.rules,
        cabinets: &job.cabinets,
        lists: &job.lists,
        views: &job.views,
        drawings: &drawings,
    }))
}

/// Writes a file whole or not at all.
pub(super) fn write_whole(file: &Path, text: &str, force: bool) -> Result<(), String> {
    let folder = file.parent().unwrap_or(Path::new("."));
    let said = |error: std::io::Error| error.to_string();
    let mut builder = tempfile::Builder::new();
    builder.prefix(".dryfit-");
    // Others in the shop may read it, as any file written here.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut scratch = builder.tempfile_in(folder).map_err(said)?;
    scratch.write_all(text.as_bytes()).map_err(said)?;
    scratch.as_file().sync_all().map_err(said)?;
    let done = if force {
        scratch.persist(file)
    } else {
        scratch.persist_noclobber(file)
    };
    done.map(drop).map_err(|error| said(error.error))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn arguments(folder: &Path, force: bool) -> Arguments {
        Arguments {
            folder: folder.to_owned(),
            force,
            print: false,
        }
    }

    fn with_list() -> tempfile::TempDir {
        let folder = tempfile::tempdir().expect("a folder");
        let list = "Cabinet,Part,Qty,Length,Width,Thickness\nB1,Side,2,34 1/2,23 1/4,3/4\n";
        std::fs::write(folder.path().join("list.csv"), list).expect("written");
        folder
    }

    #[test]
    fn writes_a_job_file_that_reads_back() {
        let folder = with_list();
        run(&arguments(folder.path(), false)).expect("written");
        let file = folder.path().join("dryfit.toml");
        crate::construction::JobFile::load(&file, "dryfit.toml").expect("a job file");
        let left: Vec<_> = std::fs::read_dir(folder.path())
            .expect("a folder")
            .collect();
        assert_eq!(left.len(), 2, "nothing else is left behind");
    }

    #[test]
    fn never_replaces_a_job_file_unasked() {
        let folder = with_list();
        let file = folder.path().join("dryfit.toml");
        // One that cannot even be read: it is not looked at.
        std::fs::write(&file, "kept [").expect("written");
        let error = run(&arguments(folder.path(), false)).expect_err("kept");
        assert!(
            error
                .to_string()
                .contains("is already there; --force replaces it")
        );
        assert_eq!(std::fs::read_to_string(&file).expect("read"), "kept [");
        run(&arguments(folder.path(), true)).expect("replaced");
        assert!(
            std::fs::read_to_string(&file)
                .expect("read")
                .contains("[job]")
        );
    }

    #[test]
    fn says_what_is_missing() {
        let folder = tempfile::tempdir().expect("a folder");
        let error = run(&arguments(&folder.path().join("none"), false)).expect_err("none");
        assert!(
            error
                .to_string()
                .contains("is not a folder; give the folder")
        );
        let error = run(&arguments(folder.path(), false)).expect_err("empty");
        assert!(error.to_string().starts_with("no drawing and no cut list"));
        assert!(!folder.path().join("dryfit.toml").exists());
        let error = write_whole(Path::new("/nowhere/at/all/dryfit.toml"), "", false);
        assert!(error.is_err());
    }
}
