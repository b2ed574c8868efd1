//! Errors of the commands that write or serve: what each says, and that nothing
//! is left half written.

mod common;

use std::fs;
use std::path::Path;

/// A folder with the constructed wall cabinet C2, whose list agrees.
fn job() -> tempfile::TempDir {
    let home = tempfile::tempdir().unwrap();
    for name in ["c2.dxf", "c2.csv", "dryfit.toml"] {
        let from = common::fixture("worked/c2").join(name);
        fs::copy(from, home.path().join(name)).unwrap();
    }
    home
}

/// Runs in a folder; gives what standard error says, without line breaks.
#[track_caller]
fn refused(folder: &Path, arguments: &[&str]) -> String {
    let output = assert_cmd::Command::cargo_bin("dryfit")
        .unwrap()
        .current_dir(folder)
        .args(arguments)
        .output()
        .unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[track_caller]
fn says(folder: &Path, arguments: &[&str], needle: &str) {
    let said = refused(folder, arguments);
    assert!(said.contains(needle), "{arguments:?}: {needle:?}: {said}");
}

/// A folder in the place of a file: nothing can be written there, whoever asks.
#[test]
fn a_file_that_cannot_be_written_is_named() {
    let home = job();
    fs::remove_file(home.path().join("dryfit.toml")).unwrap();
    fs::create_dir(home.path().join("dryfit.toml")).unwrap();
    let init = refused(home.path(), &["init", "--force"]);
    assert!(init.contains("dryfit.toml cannot be written: "), "{init}");
    let home = job();
    let picture = "no/such/folder/views.svg";
    says(
        home.path(),
        &["measure", ".", "--picture", picture],
        "views.svg cannot be written: ",
    );
    assert!(!home.path().join("no").exists());
}

#[test]
fn reports_that_are_there_are_not_replaced_unasked() {
    let home = job();
    let check = ["check", ".", "--out", "out"];
    let first = assert_cmd::Command::cargo_bin("dryfit")
        .unwrap()
        .current_dir(home.path())
        .args(check)
        .output()
        .unwrap();
    assert_ne!(first.status.code(), Some(2), "{first:?}");
    says(
        home.path(),
        &check,
        "already there; nothing was written; --force replaces what is there",
    );
}

#[test]
fn a_port_that_is_taken_is_named() {
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    let home = job();
    let said = refused(home.path(), &["page", ".", "--port", &port]);
    assert!(
        said.contains(&format!("port {port} cannot be used: ")),
        "{said}"
    );
    assert!(
        said.contains("; give another with --port, or none"),
        "{said}"
    );
}

#[test]
fn records_that_are_none_are_told() {
    let home = job();
    let accepted = home.path().join("dryfit-accepted.toml");
    fs::write(home.path().join("record.toml"), "job = \"c2\"\n").unwrap();
    says(
        home.path(),
        &["verify", "record.toml"],
        "record.toml: no release record; it has no line that starts with `seal = `",
    );
    fs::write(&accepted, "[[accepted]\n").unwrap();
    says(
        home.path(),
        &[
            "accept",
            ".",
            "F1",
            "--reason",
            "agreed on site",
            "--by",
            "Ada",
        ],
        "dryfit-accepted.toml: not as `dryfit accept` writes it: ",
    );
    fs::remove_file(&accepted).unwrap();
    for label in ["A", "B"] {
        let output = assert_cmd::Command::cargo_bin("dryfit")
            .unwrap()
            .current_dir(home.path())
            .args(["release", ".", "--by", "Ada", "--issue", label])
            .output()
            .unwrap();
        assert!(output.status.success(), "{output:?}");
    }
    says(home.path(), &["verify", "."], "holds several releases, ");
}
