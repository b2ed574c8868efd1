//! Watching a job, with real files being saved. Every wait ends as soon as what is
//! waited for comes, and fails after a time no machine should need.

mod common;

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

const LONGEST: Duration = Duration::from_secs(90);

struct Job {
    home: tempfile::TempDir,
}

impl Job {
    /// The constructed wall cabinet C2, whose list agrees.
    fn new() -> Self {
        let home = tempfile::tempdir().unwrap();
        for name in ["c2.dxf", "c2.csv", "dryfit.toml"] {
            let from = common::fixture("worked/c2").join(name);
            fs::copy(from, home.path().join(name)).unwrap();
        }
        Job { home }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.home.path().join(name)
    }

    /// The list with another length of the sides.
    fn list(&self, length: u32) -> String {
        let text = fs::read_to_string(common::fixture("worked/c2/c2.csv")).unwrap();
        text.replace("W60;Side;2;720", &format!("W60;Side;2;{length}"))
    }
}

struct Watch {
    child: Child,
    lines: Receiver<String>,
}

impl Watch {
    fn start(job: &Job, options: &[&str]) -> Self {
        Watch::start_on(&[job.home.path().to_owned()], options)
    }

    fn start_on(paths: &[PathBuf], options: &[&str]) -> Self {
        let mut child = Command::new(assert_cmd::cargo::cargo_bin!("dryfit"))
            .arg("watch")
            .args(paths)
            .args(options)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let out = child.stdout.take().unwrap();
        let (sender, lines) = channel();
        std::thread::spawn(move || {
            for line in BufReader::new(out).lines().map_while(Result::ok) {
                if sender.send(line).is_err() {
                    return;
                }
            }
        });
        Watch { child, lines }
    }

    /// Lines up to the first that holds this text.
    #[track_caller]
    fn until(&mut self, needle: &str) -> String {
        let start = Instant::now();
        let mut read = String::new();
        while let Some(left) = LONGEST.checked_sub(start.elapsed()) {
            match self.lines.recv_timeout(left) {
                Ok(line) => {
                    read.push_str(&line);
                    read.push('\n');
                    if line.contains(needle) {
                        return read;
                    }
                }
                Err(_) => break,
            }
        }
        panic!("no line with {needle:?} in:\n{read}");
    }

    /// One check: from its head to the blank line after it.
    #[track_caller]
    fn check(&mut self, head: &str) -> String {
        let line = self.until("Check ");
        let last = line.lines().last().unwrap();
        assert_eq!(last, head, "{line}");
        let mut text = String::new();
        loop {
            let line = self.lines.recv_timeout(LONGEST).unwrap();
            if line.is_empty() {
                return text;
            }
            text.push_str(&line);
            text.push('\n');
        }
    }

    #[cfg(unix)]
    fn interrupt(mut self) -> Option<i32> {
        let id = self.child.id().to_string();
        assert!(
            Command::new("kill")
                .args(["-INT", &id])
                .status()
                .unwrap()
                .success()
        );
        self.ended()
    }

    fn ended(&mut self) -> Option<i32> {
        let start = Instant::now();
        while start.elapsed() < LONGEST {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status.code();
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        panic!("it does not end");
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[cfg(unix)]
#[test]
fn a_saved_list_is_checked_again_until_ctrl_c() {
    let job = Job::new();
    let mut watch = Watch::start(&job, &[]);
    let said = watch.check("Check 1");
    assert!(said.contains("The list agrees with the drawing."), "{said}");
    fs::write(job.path("c2.csv"), job.list(710)).unwrap();
    let said = watch.check("Check 2: c2.csv saved");
    assert!(
        said.contains("F1  new: ") && said.contains("710 mm"),
        "{said}"
    );
    assert!(
        said.lines().all(|line| line.chars().count() <= 80),
        "{said}"
    );
    fs::write(job.path("c2.csv"), job.list(720)).unwrap();
    let said = watch.check("Check 3: c2.csv saved");
    assert!(said.contains("gone: ") && said.contains("710 mm"), "{said}");
    fs::write(job.path("c2.csv"), job.list(710)).unwrap();
    watch.check("Check 4: c2.csv saved");
    // The status of the last check.
    assert_eq!(watch.interrupt(), Some(1));
}

/// Many editors write beside the file and rename over it.
#[test]
fn a_list_replaced_by_another_is_checked_again() {
    let job = Job::new();
    let mut watch = Watch::start(&job, &[]);
    watch.check("Check 1");
    for (number, length) in [(2, 710), (3, 720), (4, 700)] {
        let beside = job.path(".c2.csv.new");
        fs::write(&beside, job.list(length)).unwrap();
        fs::rename(&beside, job.path("c2.csv")).unwrap();
        let said = watch.check(&format!("Check {number}: c2.csv saved"));
        assert_eq!(said.contains("F1"), length != 720, "{said}");
    }
}

#[test]
fn files_that_go_and_come_are_told() {
    let job = Job::new();
    let mut watch = Watch::start(&job, &[]);
    watch.check("Check 1");
    fs::remove_file(job.path("c2.csv")).unwrap();
    watch.check("Check 2: c2.csv gone");
    fs::remove_file(job.path("c2.dxf")).unwrap();
    let said = watch.check("Check 3: c2.dxf gone");
    assert!(said.contains("no drawing and no cut list"), "{said}");
    fs::write(job.path("list.csv"), job.list(720)).unwrap();
    watch.check("Check 4: list.csv new");
    fs::copy(common::fixture("worked/c2/c2.dxf"), job.path("c2.dxf")).unwrap();
    let said = watch.check("Check 5: c2.dxf new");
    assert!(said.contains("The list agrees with the drawing."), "{said}");
}

/// What is saved without a change, and files that are no part of the job, are not
/// worth a check; the next real change is the next check.
#[test]
fn only_changes_of_the_job_are_checked() {
    let job = Job::new();
    let mut watch = Watch::start(&job, &[]);
    watch.check("Check 1");
    fs::write(job.path("c2.csv"), job.list(720)).unwrap();
    fs::write(job.path("photo.jpg"), "x").unwrap();
    fs::write(job.path(".c2.csv.swp"), "x").unwrap();
    fs::create_dir(job.path("old")).unwrap();
    fs::write(job.path("old/c2.csv"), job.list(710)).unwrap();
    fs::write(
        job.path("dryfit.toml"),
        fs::read(job.path("dryfit.toml")).unwrap(),
    )
    .unwrap();
    fs::write(job.path("c2.csv"), job.list(711)).unwrap();
    let said = watch.check("Check 2: c2.csv saved");
    assert!(said.contains("711 mm"), "{said}");
}

/// A drawing written in pieces ends as a whole one.
#[test]
fn a_drawing_written_in_pieces_is_read_whole() {
    let job = Job::new();
    fs::write(job.path("c2.csv"), job.list(710)).unwrap();
    let mut watch = Watch::start(&job, &[]);
    watch.check("Check 1");
    let content = fs::read_to_string(job.path("c2.dxf")).unwrap();
    // Another drawing of the same cabinet.
    let content = content.replace("\n720.0\n", "\n710.0\n");
    let (first, second) = content.split_at(content.len() / 2);
    use std::io::Write as _;
    let mut file = fs::File::create(job.path("c2.dxf")).unwrap();
    for piece in [first, second] {
        file.write_all(piece.as_bytes()).unwrap();
        file.sync_all().unwrap();
        // As long as programs take between two pieces; the outcome does not rest on it.
        std::thread::sleep(Duration::from_millis(100));
    }
    drop(file);
    let said = watch.until("710 mm");
    assert!(said.contains("c2.dxf saved"), "{said}");
}

#[test]
fn the_folder_may_be_replaced() {
    let job = Job::new();
    let folder = job.path("job");
    let fill = |length| {
        fs::create_dir(&folder).unwrap();
        for name in ["c2.dxf", "dryfit.toml"] {
            fs::copy(job.path(name), folder.join(name)).unwrap();
        }
        fs::write(folder.join("c2.csv"), job.list(length)).unwrap();
    };
    fill(720);
    let mut watch = Watch::start_on(std::slice::from_ref(&folder), &[]);
    watch.check("Check 1");
    fs::rename(&folder, job.path("aside")).unwrap();
    watch.until("gone");
    fill(710);
    watch.until("710 mm");
    // And is watched again.
    fs::write(folder.join("c2.csv"), job.list(700)).unwrap();
    watch.until("700 mm");
}

#[test]
fn single_files_are_watched_in_their_folder() {
    let job = Job::new();
    let paths = ["c2.dxf", "c2.csv", "dryfit.toml"].map(|name| job.path(name));
    let mut watch = Watch::start_on(&paths, &["--full"]);
    watch.until("Check 1");
    let said = watch.until("Cabinets, in millimetres");
    assert!(said.contains("The list agrees"), "{said}");
    fs::write(job.path("other.csv"), "Part,Qty,Length\n").unwrap();
    fs::write(job.path("c2.csv"), job.list(705)).unwrap();
    let said = watch.until("Check 2");
    assert!(said.ends_with("Check 2: c2.csv saved\n"), "{said}");
    watch.until("705 mm");
}

#[test]
fn a_line_of_json_a_check() {
    let job = Job::new();
    fs::write(job.path("c2.csv"), job.list(710)).unwrap();
    let watch = Watch::start(&job, &["--format", "json"]);
    let line = || -> serde_json::Value {
        serde_json::from_str(&watch.lines.recv_timeout(LONGEST).unwrap()).unwrap()
    };
    let first = line();
    assert_eq!(first["schema"], "dryfit-watched/1");
    assert_eq!(first["check"], 1);
    assert_eq!(first["report"]["outcome"], "disagrees");
    fs::write(job.path("c2.csv"), job.list(720)).unwrap();
    let second = line();
    assert_eq!(second["saved"], serde_json::json!(["c2.csv saved"]));
    assert_eq!(second["report"]["outcome"], "agrees");
    fs::write(job.path("dryfit.toml"), "[sizes\n").unwrap();
    let third = line();
    assert!(third["trouble"].as_str().unwrap().contains("dryfit.toml"));
}

/// `dryfit watch job | head -1`
#[test]
fn it_ends_when_nobody_reads_any_more() {
    let job = Job::new();
    let mut child = Command::new(assert_cmd::cargo::cargo_bin!("dryfit"))
        .arg("watch")
        .arg(job.home.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut out = BufReader::new(child.stdout.take().unwrap());
    let mut line = String::new();
    out.read_line(&mut line).unwrap();
    assert_eq!(line, "Check 1\n");
    drop(out);
    fs::write(job.path("c2.csv"), job.list(710)).unwrap();
    let mut watch = Watch {
        child,
        lines: channel().1,
    };
    watch.ended();
}

#[test]
fn there_must_be_something_to_watch() {
    let output = assert_cmd::Command::cargo_bin("dryfit")
        .unwrap()
        .args(["watch", "no/such/job"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(
        said.contains("no/such/job: there is no such file or folder to watch"),
        "{said}"
    );
}

/// Names in the folder drive no terminal.
#[cfg(unix)]
#[test]
fn hostile_names_stay_names() {
    let job = Job::new();
    let mut watch = Watch::start(&job, &[]);
    watch.check("Check 1");
    let name = "x\u{1b}[2J<script>\n.csv";
    fs::write(job.path(name), job.list(710)).unwrap();
    let said = watch.until("Check 2");
    assert!(said.contains("x\u{fffd}[2J<script>"), "{said}");
    assert!(!said.contains('\u{1b}'));
}
