//! Releasing a job, verifying its files, comparing two issues of it: from outside.

mod common;

use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

/// A folder with the constructed wall cabinet C2, whose list agrees.
struct Job {
    home: tempfile::TempDir,
}

struct Said {
    status: i32,
    out: String,
    err: String,
}

impl Said {
    /// Without line breaks.
    fn flat(&self) -> String {
        self.out.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    #[track_caller]
    fn says(&self, status: i32, needles: &[&str]) {
        assert_eq!(self.status, status, "{}{}", self.out, self.err);
        let flat = self.flat();
        for needle in needles {
            assert!(flat.contains(needle), "{needle:?} is not in {}", self.out);
        }
    }

    fn json(&self) -> Value {
        serde_json::from_str(&self.out)
            .unwrap_or_else(|error| panic!("{error}: {}{}", self.out, self.err))
    }
}

impl Job {
    fn new() -> Self {
        Job::of("worked/c2", &["c2.dxf", "c2.csv", "dryfit.toml"])
    }

    fn of(fixture: &str, names: &[&str]) -> Self {
        let home = tempfile::tempdir().unwrap();
        for name in names {
            let from = common::fixture(fixture).join(name);
            fs::copy(from, home.path().join(name)).unwrap();
        }
        Job { home }
    }

    fn folder(&self) -> &str {
        self.home.path().to_str().unwrap()
    }

    fn path(&self, name: &str) -> PathBuf {
        self.home.path().join(name)
    }

    fn change(&self, name: &str, from: &str, to: &str) {
        let path = self.path(name);
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains(from), "{from}");
        fs::write(path, text.replace(from, to)).unwrap();
    }

    fn release(&self) -> PathBuf {
        run(&["release", self.folder(), "--by", "Ada", "--issue", "A"])
            .says(0, &["issue A, released by Ada on 2026-03-01"]);
        self.path("dryfit-release-A.toml")
    }

    fn verify(&self) -> Said {
        run(&["verify", self.folder()])
    }

    fn verify_json(&self) -> Value {
        run(&["verify", self.folder(), "--format", "json"]).json()
    }
}

/// Runs on 1 March 2026.
fn run(arguments: &[&str]) -> Said {
    run_on("1772323200", arguments)
}

fn run_on(day: &str, arguments: &[&str]) -> Said {
    let output = assert_cmd::Command::cargo_bin("dryfit")
        .unwrap()
        .env("SOURCE_DATE_EPOCH", day)
        .env("NO_COLOR", "1")
        .args(arguments)
        .output()
        .unwrap();
    Said {
        status: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

fn files(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

/// The state of each file of a JSON answer: name then, name now, state.
fn states(answer: &Value) -> Vec<String> {
    answer["files"]
        .as_array()
        .unwrap()
        .iter()
        .map(|file| {
            let name = |key: &str| file[key].as_str().unwrap_or("-").to_owned();
            format!(
                "{} {} {}",
                name("was_name"),
                name("now_name"),
                name("state")
            )
        })
        .collect()
}

#[test]
fn a_job_that_agrees_is_released_and_verified() {
    let job = Job::new();
    let record = job.release();
    assert_eq!(
        files(job.home.path()),
        ["c2.csv", "c2.dxf", "dryfit-release-A.toml", "dryfit.toml"]
    );
    // What the record holds, as any TOML reader sees it.
    let kept: toml::Table = toml::from_str(&fs::read_to_string(&record).unwrap()).unwrap();
    assert_eq!(kept["schema"].as_str(), Some("dryfit-release/1"));
    assert_eq!(kept["by"].as_str(), Some("Ada"));
    assert_eq!(kept["date"].as_str(), Some("2026-03-01"));
    assert_eq!(
        kept["program"].as_str(),
        Some(concat!("dryfit ", env!("CARGO_PKG_VERSION")))
    );
    for file in kept["files"].as_array().unwrap() {
        let name = file["name"].as_str().unwrap();
        let content = fs::read(job.path(name)).unwrap();
        assert_eq!(
            file["sha256"].as_str(),
            Some(dryfit::signoff::hash::hash(&content).as_str())
        );
    }
    let kinds: Vec<_> = kept["files"]
        .as_array()
        .unwrap()
        .iter()
        .map(|file| file["kind"].as_str().unwrap())
        .collect();
    assert_eq!(kinds, ["list", "drawing", "job-file"]);
    let height = kept["drawn"]
        .as_array()
        .unwrap()
        .iter()
        .find(|size| size["what"].as_str() == Some("overall height"))
        .unwrap();
    assert_eq!(height["mm"].as_float(), Some(720.0));
    assert_eq!(kept["rows"].as_array().unwrap().len(), 6);
    // It is no part of the job: checking goes on as before.
    assert_eq!(run(&["check", job.folder()]).status, 0);
    job.verify().says(
        0,
        &[
            "The files are what was released.",
            "3 files, the same to the byte.",
        ],
    );
    run(&["verify", text(&record)]).says(0, &[]);
}

/// The seal can be checked without this program, as docs/release.md says.
#[test]
fn the_seal_is_the_hash_of_the_text_without_it() {
    let job = Job::new();
    let kept = fs::read_to_string(job.release()).unwrap();
    let line = kept
        .lines()
        .find(|line| line.starts_with("seal = "))
        .unwrap();
    let seal = line.trim_start_matches("seal = ").trim_matches('"');
    let blank = kept.replacen(line, "seal = \"\"", 1);
    assert_eq!(dryfit::signoff::hash::hash(blank.as_bytes()), seal);
}

#[test]
fn the_same_job_gives_the_same_record() {
    let (one, other) = (Job::new(), Job::new());
    for job in [&one, &other] {
        fs::write(job.path("dryfit.toml"), "[job]\nname = \"W\"\n").unwrap();
        fs::copy(
            common::fixture("worked/c2/dryfit.toml"),
            job.path("rules.toml"),
        )
        .unwrap();
        let rules = job.path("rules.toml");
        run(&[
            "release",
            job.folder(),
            "--by",
            "Ada",
            "--issue",
            "A",
            "--job",
            text(&rules),
            "--tolerance",
            "1 mm",
            "--units",
            "list=mm",
        ])
        .says(0, &[]);
    }
    let read = |job: &Job| {
        let text = fs::read_to_string(job.path("dryfit-release-A.toml")).unwrap();
        // The job's name is its folder's, a random one here.
        text.lines()
            .filter(|line| !line.starts_with("job =") && !line.starts_with("seal ="))
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    let lines = read(&one);
    assert_eq!(lines, read(&other));
    assert!(lines.contains(&"said = { tolerance = \"1 mm\", units = [\"list=mm\"] }".to_owned()));
    // The job file of another name is bound, and found again.
    one.verify().says(0, &["same rules.toml"]);
    one.change("c2.csv", "W60;Side;2;720", "W60;Side;2;720.4");
    let answer = one.verify_json();
    assert_eq!(answer["rows"].as_array().unwrap().len(), 1, "{answer:#}");
    assert_eq!(answer["given"].as_array().unwrap().len(), 0, "{answer:#}");
}

#[test]
fn nothing_is_released_while_something_disagrees() {
    let job = Job::new();
    job.change("c2.csv", "W60;Side;2;720", "W60;Side;2;710");
    let said = run(&["release", job.folder(), "--by", "Ada"]);
    said.says(
        1,
        &[
            "Not released.",
            "F1",
            &format!("dryfit accept {} F1", job.folder()),
            "--reason TEXT --by NAME",
        ],
    );
    assert_eq!(files(job.home.path()), ["c2.csv", "c2.dxf", "dryfit.toml"]);
    // Neither a list nor a drawing alone.
    fs::remove_file(job.path("c2.dxf")).unwrap();
    let said = run(&["release", job.folder(), "--by", "Ada"]);
    said.says(
        2,
        &["Not released.", "cannot be released, whatever is accepted"],
    );
    let job = Job::new();
    fs::remove_file(job.path("c2.csv")).unwrap();
    let said = run(&["release", job.folder(), "--by", "Ada"]);
    assert_ne!(said.status, 0, "{}", said.out);
    assert_eq!(files(job.home.path()), ["c2.dxf", "dryfit.toml"]);
}

#[test]
fn nothing_is_released_while_something_is_unchecked_until_it_is_accepted() {
    let job = Job::new();
    job.change("c2.csv", "W60;Shelf;2", "W60;Thing;2");
    let said = run(&["release", job.folder(), "--by", "Ada"]);
    assert!([1, 3].contains(&said.status), "{}", said.out);
    // The call it prints does what it says.
    let call: Vec<&str> = said
        .out
        .split_once("dryfit accept ")
        .unwrap()
        .1
        .split_whitespace()
        .collect();
    let items: Vec<&str> = call
        .iter()
        .skip(1)
        .take_while(|word| **word != "\\")
        .copied()
        .collect();
    assert!(!items.is_empty());
    let mut accept = vec!["accept", job.folder()];
    accept.extend(&items);
    accept.extend([
        "--reason",
        "shelves are cut on site",
        "--by",
        "Ben",
        "--until",
        "2026-03-05",
    ]);
    run(&accept).says(0, &[]);
    run(&["release", job.folder(), "--by", "Ada", "--issue", "A"]).says(
        0,
        &["accepted by Ben on 2026-03-01, until 2026-03-05: shelves are cut on site"],
    );
    let kept = fs::read_to_string(job.path("dryfit-release-A.toml")).unwrap();
    assert!(kept.contains("name = \"dryfit-accepted.toml\", kind = \"accepted\""));
    assert!(kept.contains("shelves are cut on site"));
    job.verify().says(0, &[]);
    // The last day of what it rests on is over.
    run_on("1772755200", &["verify", job.folder()]).says(
        3,
        &[
            "not all it rests on still holds",
            "until 2026-03-05, which is over",
        ],
    );
    // Someone withdraws what was accepted.
    fs::write(job.path("dryfit-accepted.toml"), "").unwrap();
    let answer = job.verify_json();
    assert_eq!(answer["outcome"], "changed");
    assert_eq!(answer["accepted"][0]["state"], "gone");
}

#[test]
fn a_record_is_never_overwritten_unasked() {
    let job = Job::new();
    let record = job.release();
    let before = fs::read(&record).unwrap();
    let again = ["release", job.folder(), "--by", "Eve", "--issue", "A"];
    let said = run(&again);
    assert_eq!(said.status, 2);
    assert!(
        said.err.contains("is already there; --issue LABEL"),
        "{}",
        said.err
    );
    assert_eq!(fs::read(&record).unwrap(), before);
    let mut forced = again.to_vec();
    forced.push("--force");
    run(&forced).says(0, &["released by Eve"]);
    assert_ne!(fs::read(&record).unwrap(), before);
    // Without a label it has the day's.
    run(&["release", job.folder(), "--by", "Ada"]).says(0, &["dryfit-release-2026-03-01.toml"]);
    // Two releases: which one is meant has to be said.
    let said = job.verify();
    assert_eq!(said.status, 2);
    assert!(
        said.err
            .contains("dryfit-release-2026-03-01.toml, dryfit-release-A.toml; say which"),
        "{}",
        said.err
    );
    // Not even a link that leads nowhere is written through.
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("nowhere", job.path("dryfit-release-L.toml")).unwrap();
        let said = run(&["release", job.folder(), "--by", "Eve", "--issue", "L"]);
        assert_eq!(said.status, 2);
    }
}

#[test]
fn a_changed_list_is_told_size_by_size_and_row_by_row() {
    let job = Job::new();
    job.release();
    // One size, one quantity, one row gone, one new, one moved to the end.
    fs::write(
        job.path("c2.csv"),
        "Cabinet;Part;Qty;Length (mm);Width (mm);Thickness (mm)\n\
         W60;Bottom;1;564;320;18\nW60;Top;1;564;302;18\nW60;Shelf;3;562;280,0;18\n\
         W60;Door;2;717;297;19\nW60;Side;2;720;320;18\nW60;Filler;1;720;50;18\n",
    )
    .unwrap();
    let said = job.verify();
    said.says(
        1,
        &[
            "These are not the files that were released. Do not cut from them.",
            "changed c2.csv",
            "W60 | Top (c2.csv line 3, was c2.csv line 4) width: was 320, now 302 (-18 mm)",
            "quantity: was 2, now 3 width: was 280, now 280,0 (the same size)",
            "gone W60 | Back (c2.csv line 5)",
            "new W60 | Filler (c2.csv line 7) 1 piece, length 720, width 50, thickness 18",
            "W60: listed: Back, Filler, Shelf, Top",
        ],
    );
    assert!(!said.out.contains("W60 | Side"), "{}", said.out);
    let answer = job.verify_json();
    assert_eq!(answer["outcome"], "changed");
    assert_eq!(answer["cabinets"], serde_json::json!(["W60"]));
    let top = &answer["rows"][0];
    assert_eq!(top["part"], "Top");
    assert_eq!(top["cells"][0]["difference_mm"], -18.0);
    assert_eq!(answer["drawn"].as_array().unwrap().len(), 0);
}

#[test]
fn a_changed_drawing_is_told_size_by_size() {
    let job = Job::new();
    job.release();
    job.change("c2.dxf", "\n720.0\n", "\n730.0\n");
    let answer = job.verify_json();
    let height = answer["drawn"]
        .as_array()
        .unwrap()
        .iter()
        .find(|size| size["what"] == "overall height")
        .unwrap_or_else(|| panic!("{answer:#}"));
    assert_eq!(height["was_mm"], 720.0);
    assert_eq!(height["now_mm"], 730.0);
    assert_eq!(height["difference_mm"], 10.0);
    job.verify().says(
        1,
        &[
            "changed c2.dxf",
            "overall height: was 720 mm, now 730 mm (+10 mm)",
            "drawn: left side, right side, top",
        ],
    );
}

#[test]
fn a_list_that_is_saved_while_it_is_checked_is_not_released() {
    let job = Job::new();
    let list = fs::read_to_string(job.path("c2.csv")).unwrap();
    let done = AtomicBool::new(false);
    let said = std::thread::scope(|scope| {
        let saving = scope.spawn(|| {
            // Each time as another file in its place, with another blank line at its end.
            for times in 1.. {
                let whole = job.path("c2.csv.part");
                fs::write(&whole, format!("{list}{}", "\n".repeat(times % 500))).unwrap();
                fs::rename(&whole, job.path("c2.csv")).unwrap();
                if done.load(Ordering::SeqCst) {
                    break;
                }
                std::thread::sleep(Duration::from_millis(1));
            }
        });
        let said = run(&["release", job.folder(), "--by", "Ada", "--issue", "A"]);
        done.store(true, Ordering::SeqCst);
        saving.join().unwrap();
        said
    });
    assert_ne!(said.status, 0, "{}", said.out);
    let why = "c2.csv was saved while it was being checked; nothing was released";
    assert!(said.err.contains(why), "{}{}", said.out, said.err);
    assert!(!job.path("dryfit-release-A.toml").exists());
    job.release();
}

/// Other bytes with the same sizes are said to be other bytes.
#[test]
fn a_drawing_saved_again_is_not_the_one_released() {
    let job = Job::new();
    job.release();
    let path = job.path("c2.dxf");
    let drawing = fs::read_to_string(&path).unwrap();
    fs::write(&path, format!("999\nsaved again\n{drawing}")).unwrap();
    job.verify().says(
        1,
        &[
            "changed c2.dxf",
            "0 rows, 0 drawn sizes and 0 built sizes differ",
        ],
    );
}

#[test]
fn a_changed_job_file_is_told_with_what_it_changes() {
    let job = Job::new();
    job.release();
    fs::write(
        job.path("dryfit.toml"),
        fs::read_to_string(job.path("dryfit.toml")).unwrap()
            + "\n[tolerance]\ndefault = \"2 mm\"\n",
    )
    .unwrap();
    job.verify().says(
        1,
        &[
            "changed dryfit.toml",
            "gone The tolerance is 0.794 mm.",
            "new The tolerance is 2 mm.",
        ],
    );
    // One that cannot be read is changed all the same.
    fs::write(job.path("dryfit.toml"), "[sizes\n").unwrap();
    job.verify().says(
        1,
        &["changed dryfit.toml", "because the job cannot be read"],
    );
}

#[test]
fn missing_renamed_and_new_files_are_told() {
    let job = Job::new();
    job.release();
    fs::rename(job.path("c2.csv"), job.path("final.csv")).unwrap();
    let answer = job.verify_json();
    assert_eq!(
        states(&answer),
        [
            "c2.csv final.csv renamed",
            "c2.dxf c2.dxf same",
            "dryfit.toml dryfit.toml same"
        ]
    );
    job.verify().says(
        1,
        &["renamed c2.csv, now final.csv; its content is the same"],
    );
    fs::rename(job.path("final.csv"), job.path("c2.csv")).unwrap();
    // A second drawing is read by whoever checks this folder; a copy is not.
    fs::copy(job.path("c2.dxf"), job.path("c2 copy.dxf")).unwrap();
    job.verify()
        .says(0, &["copy c2 copy.dxf, the same content"]);
    fs::write(job.path("further.csv"), "Part,Qty,Length\nShelf,1,500\n").unwrap();
    job.verify().says(1, &["new further.csv"]);
    fs::remove_file(job.path("further.csv")).unwrap();
    fs::remove_file(job.path("c2.dxf")).unwrap();
    fs::remove_file(job.path("c2 copy.dxf")).unwrap();
    job.verify().says(
        1,
        &[
            "missing c2.dxf",
            "Not compared",
            "drawn sizes, because not all drawings are there (c2.dxf)",
        ],
    );
    for name in ["c2.csv", "dryfit.toml"] {
        fs::remove_file(job.path(name)).unwrap();
    }
    job.verify().says(
        1,
        &["missing c2.csv", "missing c2.dxf", "missing dryfit.toml"],
    );
}

/// Two files that changed names are two files of other names.
#[test]
fn files_that_swap_names_are_told() {
    let job = Job::of("worked/c2", &["c2.dxf", "c2.csv", "dryfit.toml"]);
    fs::write(
        job.path("second.csv"),
        fs::read(job.path("c2.csv")).unwrap(),
    )
    .unwrap();
    job.change("second.csv", "W60", "W61");
    run(&["check", job.folder()]);
    let mut accept = vec!["accept", job.folder()];
    let refused = run(&["release", job.folder(), "--by", "Ada"]);
    let items: Vec<String> = refused
        .out
        .split_once("dryfit accept ")
        .unwrap()
        .1
        .split_whitespace()
        .skip(1)
        .take_while(|word| *word != "\\")
        .map(str::to_owned)
        .collect();
    accept.extend(items.iter().map(String::as_str));
    accept.extend(["--reason", "drawn elsewhere", "--by", "Ben"]);
    run(&accept).says(0, &[]);
    job.release();
    job.verify().says(0, &[]);
    fs::rename(job.path("c2.csv"), job.path("x")).unwrap();
    fs::rename(job.path("second.csv"), job.path("c2.csv")).unwrap();
    fs::rename(job.path("x"), job.path("second.csv")).unwrap();
    let states = states(&job.verify_json());
    assert!(
        states.contains(&"c2.csv second.csv renamed".to_owned()),
        "{states:?}"
    );
    assert!(
        states.contains(&"second.csv c2.csv renamed".to_owned()),
        "{states:?}"
    );
}

#[test]
fn files_on_the_floor_may_be_elsewhere_and_few() {
    let job = Job::new();
    let record = job.release();
    let floor = Job::new();
    run(&["verify", text(&record), floor.folder()]).says(0, &[]);
    let list = floor.path("c2.csv");
    let only_list = ["verify", text(&record), text(&list)];
    run(&only_list).says(
        3,
        &[
            "Nothing differs from what was released, but not everything was looked at.",
            "same c2.csv",
            "not-shown c2.dxf",
        ],
    );
    floor.change("c2.csv", "W60;Side;2;720", "W60;Side;2;702");
    run(&only_list).says(1, &["W60 | Side", "length: was 720, now 702 (-18 mm)"]);
    let said = run(&["verify", text(&record), "no/such/list.csv"]);
    assert_eq!(said.status, 2);
    assert!(
        said.err.contains("there is no such file or folder"),
        "{}",
        said.err
    );
}

#[test]
fn a_record_that_was_changed_is_not_believed() {
    let job = Job::new();
    let record = job.release();
    let kept = fs::read_to_string(&record).unwrap();
    // The list and the record are made to fit each other.
    job.change("c2.csv", "W60;Side;2;720", "W60;Side;2;702");
    let old = dryfit::signoff::hash::hash(&fs::read(common::fixture("worked/c2/c2.csv")).unwrap());
    let new = dryfit::signoff::hash::hash(&fs::read(job.path("c2.csv")).unwrap());
    for changed in [
        kept.replace(&old, &new),
        kept.replace("by = \"Ada\"", "by = \"Eve\""),
        kept.replace("# A job released", "# A Job released"),
        kept.replace("720.0", "702.0"),
        format!("{kept}\n"),
        kept.trim_end().trim_end_matches(']').to_owned(),
        kept.replacen("seal = \"", "seal = \"0", 1),
        format!("{}\n{kept}", "x = 1"),
    ] {
        assert_ne!(changed, kept);
        fs::write(&record, changed).unwrap();
        let said = job.verify();
        said.says(1, &["The record itself is not as it was released."]);
        assert!(!said.out.contains("c2.csv"), "{}", said.out);
        assert_eq!(job.verify_json()["outcome"], "record-changed");
        let said = run(&["compare", text(&record), job.folder()]);
        assert_eq!(said.status, 2);
        assert!(
            said.err.contains("was changed after it was written"),
            "{}",
            said.err
        );
    }
    // Line ends alone may change on the way.
    fs::write(&record, kept.replace('\n', "\r\n")).unwrap();
    job.verify().says(1, &["changed c2.csv"]);
    // A record written anew fits its own seal, but not the one that was noted.
    let noted = kept.split_once("seal = \"").unwrap().1.get(..64).unwrap();
    fs::remove_file(&record).unwrap();
    fs::copy(common::fixture("worked/c2/c2.csv"), job.path("c2.csv")).unwrap();
    fs::write(&record, &kept).unwrap();
    for seal in [noted, noted.get(..16).unwrap(), &noted.to_uppercase()] {
        run(&["verify", job.folder(), "--seal", seal]).says(0, &[]);
    }
    run(&[
        "release",
        job.folder(),
        "--by",
        "Eve",
        "--issue",
        "A",
        "--force",
    ])
    .says(0, &[]);
    run(&["verify", job.folder(), "--seal", noted])
        .says(1, &["not the record whose seal was given"]);
    let said = run(&["verify", job.folder(), "--seal", "abc"]);
    assert_eq!(said.status, 2);
    assert!(said.err.contains("at least the first 16"), "{}", said.err);
}

#[test]
fn what_is_no_record_is_said() {
    let job = Job::new();
    let said = job.verify();
    assert_eq!(said.status, 2);
    assert!(
        said.err
            .contains("holds no release; `dryfit release` makes one"),
        "{}",
        said.err
    );
    let path = job.path("dryfit-release-A.toml");
    let said = run(&["verify", text(&path)]);
    assert!(said.err.contains("cannot be read"), "{}", said.err);
    fs::write(&path, "[[accepted]]\n").unwrap();
    let said = run(&["verify", text(&path)]);
    assert_eq!(said.status, 2);
    assert!(said.err.contains("no release record"), "{}", said.err);
    // Sealed as it should be, but by a later version, or by someone's own program.
    for (body, needle) in [
        (
            "schema = \"dryfit-release/2\"\n",
            "cannot read; use a newer one",
        ),
        (
            "schema = \"dryfit-release/1\"\nissue = 3\n",
            "not as `dryfit release` writes it",
        ),
    ] {
        let blank = format!("seal = \"\"\n{body}");
        let seal = dryfit::signoff::hash::hash(blank.as_bytes());
        fs::write(&path, format!("seal = \"{seal}\"\n{body}")).unwrap();
        let said = run(&["verify", text(&path)]);
        assert_eq!(said.status, 2);
        assert!(said.err.contains(needle), "{}", said.err);
    }
}

#[test]
fn calls_that_cannot_be_used() {
    let job = Job::new();
    let list = job.path("c2.csv");
    let said = run(&["release", text(&list), "--by", "Ada"]);
    assert_eq!(said.status, 2);
    assert!(
        said.err.contains("is no folder; a release is kept"),
        "{}",
        said.err
    );
    let elsewhere = common::fixture("worked/c2/dryfit.toml");
    let said = run(&[
        "release",
        job.folder(),
        "--by",
        "Ada",
        "--job",
        text(&elsewhere),
    ]);
    assert_eq!(said.status, 2);
    assert!(
        said.err.contains("is not in the job's folder"),
        "{}",
        said.err
    );
    for arguments in [
        vec!["release", job.folder()],
        vec!["release", job.folder(), "--by", "  "],
        vec!["release", job.folder(), "--by", "Ada", "--issue", "../x"],
    ] {
        assert_eq!(run(&arguments).status, 2);
    }
    let empty = tempfile::tempdir().unwrap();
    let said = run(&["release", text(empty.path()), "--by", "Ada"]);
    assert_eq!(said.status, 2);
    assert!(
        said.err.contains("no drawing and no cut list"),
        "{}",
        said.err
    );
    let said = run(&["compare", text(empty.path()), job.folder()]);
    assert_eq!(said.status, 2);
}

#[test]
fn two_issues_are_compared_part_by_part() {
    let (old, new) = (
        common::fixture("worked/c1"),
        common::fixture("worked/c1-23-32"),
    );
    let said = run(&["compare", text(&old), text(&new)]);
    said.says(
        1,
        &[
            "changed c1.csv, now c1-23-32.csv",
            "B36: listed: Back, Bottom, Shelf, Side, Stretcher; drawn: ",
            "B36 | Side",
            "thickness: was 3/4, now 23/32 (-1/32 in)",
            "interior width: was 34 in, now 34 1/16 in (+1/16 in)",
        ],
    );
    assert!(said.out.lines().all(|line| line.chars().count() <= 80));
    let answer = run(&["compare", text(&old), text(&new), "--format", "json"]).json();
    assert_eq!(answer["schema"], "dryfit-compared/1");
    assert_eq!(answer["cabinets"], serde_json::json!(["B36"]));
    // The other way round everything is the other way round.
    let back = run(&["compare", text(&new), text(&old), "--format", "json"]).json();
    let differences = |answer: &Value| -> Vec<(String, f64)> {
        answer["drawn"]
            .as_array()
            .unwrap()
            .iter()
            .map(|size| {
                (
                    size["what"].as_str().unwrap().to_owned(),
                    size["difference_mm"].as_f64().unwrap(),
                )
            })
            .collect()
    };
    let (there, again) = (differences(&answer), differences(&back));
    assert!(!there.is_empty());
    for ((what, one), (other_what, other)) in there.iter().zip(&again) {
        assert_eq!(what, other_what);
        assert_eq!(*one, -other);
    }
}

#[test]
fn an_issue_may_be_a_record_a_folder_or_a_list() {
    let job = Job::new();
    let record = job.release();
    run(&["compare", text(&record), job.folder()]).says(0, &["The two are the same."]);
    run(&["compare", text(&record), text(&record)]).says(0, &[]);
    let list = job.path("c2.csv");
    run(&["compare", text(&list), text(&list)]).says(0, &[]);
    // A cabinet more, on both sides of the job.
    job.change(
        "c2.csv",
        "W60;Door;2;717;297;19\n",
        "W60;Door;2;717;297;19\nW90;Side;2;720;320;18\n",
    );
    run(&["compare", text(&record), job.folder()]).says(
        1,
        &[
            "new W90 | Side",
            "W90: listed: Side",
            "issue A, released by Ada",
        ],
    );
    let empty = tempfile::tempdir().unwrap();
    let copy = empty.path().join("other.csv");
    fs::copy(&list, &copy).unwrap();
    let said = run(&["compare", text(&list), text(&copy)]);
    said.says(1, &["renamed c2.csv, now other.csv"]);
}

/// What nobody measured cannot be called the same.
#[test]
fn sizes_unknown_on_both_sides_are_not_compared() {
    let (old, new) = (Job::new(), Job::new());
    for job in [&old, &new] {
        // Only the front: no depth to be had.
        let job_file = fs::read_to_string(job.path("dryfit.toml")).unwrap();
        fs::write(job.path("dryfit.toml"), job_file).unwrap();
    }
    let front_only = common::fixture("worked/e01-medicine-cabinet");
    let drawing = fs::read_dir(&front_only)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .find(|path| path.extension().is_some_and(|extension| extension == "dxf"))
        .unwrap();
    let home = tempfile::tempdir().unwrap();
    let (a, b) = (home.path().join("a.dxf"), home.path().join("b.dxf"));
    let content = fs::read_to_string(&drawing).unwrap();
    fs::write(&a, &content).unwrap();
    fs::write(&b, format!("999\nsaved again\n{content}")).unwrap();
    let answer = run(&["compare", text(&a), text(&b), "--format", "json"]).json();
    let measured = run(&["measure", text(&a), "--format", "json"]).json();
    let unknown = measured["cabinets"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|cabinet| ["overall", "interior"].map(|place| &cabinet[place]))
        .flat_map(|sizes| ["width", "height", "depth"].map(|size| &sizes[size]["mm"]))
        .filter(|mm| mm.is_null())
        .count();
    let open = answer["not_compared"].as_array().unwrap();
    assert_eq!(unknown > 0, !open.is_empty(), "{answer:#}");
}

/// Names made to break terminals, tables and records.
#[test]
fn hostile_names_stay_names() {
    let job = Job::new();
    job.change(
        "c2.csv",
        "W60;Shelf;2",
        "W60;<script>\u{1b}[2J\u{202e}=cmd \"\"\";2",
    );
    let said = run(&["release", job.folder(), "--by", "Ada"]);
    assert!(!said.out.contains('\u{1b}') && !said.out.contains('\u{202e}'));
    let items: Vec<String> = said
        .out
        .split_once("dryfit accept ")
        .unwrap()
        .1
        .split_whitespace()
        .skip(1)
        .take_while(|word| *word != "\\")
        .map(str::to_owned)
        .collect();
    let mut accept = vec!["accept", job.folder()];
    accept.extend(items.iter().map(String::as_str));
    accept.extend(["--reason", "\u{1b}]0;x\u{7} \"\n]", "--by", "B\u{1b}[31men"]);
    let said = run(&accept);
    said.says(0, &[]);
    assert!(!said.out.contains('\u{1b}'));
    let said = run(&[
        "release",
        job.folder(),
        "--by",
        "A\u{1b}[2Jda\u{202e} \"]\n#",
        "--issue",
        "A",
    ]);
    said.says(0, &[]);
    assert!(
        !said.out.contains('\u{1b}') && !said.out.contains('\u{202e}'),
        "{}",
        said.out
    );
    let kept = fs::read_to_string(job.path("dryfit-release-A.toml")).unwrap();
    assert!(
        !kept
            .chars()
            .any(|c| c != '\n' && dryfit::plain::is_unprintable(c))
    );
    let table: toml::Table = toml::from_str(&kept).unwrap();
    assert_eq!(table["by"].as_str(), Some("A\u{1b}[2Jda\u{202e} \"]\n#"));
    job.verify().says(0, &[]);
    job.change("c2.csv", "\"\"\";2", "\"\"\";4");
    for format in ["text", "json"] {
        let said = run(&["verify", job.folder(), "--format", format]);
        assert_eq!(said.status, 1, "{}", said.err);
        assert!(!said.out.contains('\u{1b}'), "{}", said.out);
        assert!(
            format == "json" || !said.out.contains('\u{202e}'),
            "{}",
            said.out
        );
    }
    let answer = job.verify_json();
    assert!(
        answer["rows"][0]["part"]
            .as_str()
            .unwrap()
            .contains("<script>")
    );
}

/// Everything of a row that is held fast: what changes between two issues is said.
#[test]
fn what_rows_say_beside_their_sizes_is_compared() {
    let list = "Cabinet;Part;Total qty;Length (mm);Width (mm);Grain;Edge band\nW60;Side;2;720;320;length;2L 1W\n";
    let bores = "Boring list\n\nDoor;Cabinet;Hinge side;Height (mm);Bore 1 (mm);Centre from edge (mm);Edge distance (mm);Cup diameter (mm)\nDoor;W60;left;717;100;22.5;5;35\n";
    let job = |list: String, bores: String, tolerance: &str| {
        let job = Job::of("worked/c2", &["c2.dxf", "dryfit.toml"]);
        fs::write(job.path("c2.csv"), list).unwrap();
        fs::write(job.path("bores.csv"), bores).unwrap();
        let mut text = fs::read_to_string(job.path("dryfit.toml")).unwrap();
        text += tolerance;
        fs::write(job.path("dryfit.toml"), text).unwrap();
        job
    };
    let was = job(list.to_owned(), bores.to_owned(), "");
    let changed = list
        .replace("length;2L 1W", "width;1L")
        .replace("Total qty", "Qty");
    let now = job(
        changed,
        bores.replace("22.5;5;", "23;5.5;").replace("left", "right"),
        "\n[tolerance]\nface-frame = \"0.5 mm\"\n",
    );
    run(&["compare", was.folder(), now.folder()]).says(
        1,
        &[
            "grain: was along the length, now along the width",
            "edge band: was 2 along the length, 1 along the width, now 1 along the length, 0 along the width",
            "quantity is for: was the job, now nothing",
            "bore centre from the edge: was 22.5, now 23 (+0.5 mm)",
            "bore rim from the edge: was 5, now 5.5 (+0.5 mm)",
            "hinge side: was left, now right",
            "gone The tolerance is 0.794 mm.",
            "new The tolerance of face frame parts is 0.5 mm.",
        ],
    );
}

/// The record is read by people as well.
#[test]
fn the_record_says_what_it_holds() {
    let record = fs::read_to_string(Job::new().release()).unwrap();
    let said: Vec<&str> = record
        .lines()
        .filter_map(|l| l.strip_prefix("# "))
        .collect();
    assert_eq!(
        said,
        [
            "A job released for cutting, written by `dryfit release`. `dryfit verify` tells",
            "whether the files are still these, and what changed. The seal is the SHA-256 of this",
            "file with nothing between the seal's quotes, so do not edit it: release anew.",
            "Files, each with the SHA-256 of its content.",
            "Deviations that were accepted.",
            "What the check took as given.",
            "Sizes measured in the drawings, millimetres.",
            "What the listed parts build, millimetres.",
            "Rows of the lists: each size as written, and in millimetres.",
        ]
    );
}

#[test]
fn sizes_that_neither_drawing_shows_are_not_compared() {
    let drawing = |version: &str| {
        let path = common::fixture("dxf").join(format!("everyday-{version}.dxf"));
        path.to_str().unwrap().to_owned()
    };
    run(&["compare", &drawing("r12"), &drawing("r2000")]).says(
        1,
        &["Not compared - B2: overall depth, interior width, interior height, interior depth, not measured then or now"],
    );
}
