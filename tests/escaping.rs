//! Names made to break terminals, pages, spreadsheets and XML, through every
//! command and every file the program writes.

mod common;

use quick_xml::Reader;
use quick_xml::events::Event;
use std::fs;
use std::path::{Path, PathBuf};

/// Stands for the cabinet's name, in the list and in the drawing's titles.
const CABINET: &str = "=W60<script>x</script>&";
/// Stands for a part.
const PART: &str = "@cmd|' /C x'!A0 <img src=x onerror=y>\u{1b}[2J\u{202e}\u{7}]]>--%%d^J";

struct Job {
    home: tempfile::TempDir,
    name: String,
}

impl Job {
    /// The wall cabinet C2 under another name, its sides 10 mm short.
    fn new() -> Self {
        let home = tempfile::tempdir().unwrap();
        // File systems of some machines take neither quotes nor angles.
        let name = if cfg!(unix) {
            "-=x'<b>&\u{1b}[2J"
        } else {
            "-=x"
        };
        let folder = home.path().join(name);
        fs::create_dir(&folder).unwrap();
        let read =
            |name: &str| fs::read_to_string(common::fixture("worked/c2").join(name)).unwrap();
        let drawing = read("c2.dxf");
        assert!(drawing.contains("W60"));
        fs::write(folder.join("c2.dxf"), drawing.replace("W60", CABINET)).unwrap();
        let list = read("c2.csv")
            .replace(
                "W60;Side;2;720;320;18\n",
                &format!("W60;Side;2;710;320;18\nW60;\"{PART}\";1;300;320;18\n"),
            )
            .replace("W60", CABINET);
        fs::write(folder.join("c2.csv"), list).unwrap();
        fs::write(folder.join("dryfit.toml"), read("dryfit.toml")).unwrap();
        Job {
            home,
            name: name.to_owned(),
        }
    }

    fn folder(&self) -> PathBuf {
        self.home.path().join(&self.name)
    }

    fn run(&self, arguments: &[&str]) -> String {
        let output = assert_cmd::Command::cargo_bin("dryfit")
            .unwrap()
            .current_dir(self.home.path())
            .env("SOURCE_DATE_EPOCH", "1772323200")
            .args(arguments)
            .output()
            .unwrap();
        assert_ne!(
            output.status.code(),
            Some(2),
            "{arguments:?}: {}",
            String::from_utf8_lossy(&output.stderr)
        );
        terminal(&String::from_utf8(output.stderr).unwrap(), "standard error");
        String::from_utf8(output.stdout).unwrap()
    }
}

/// Nothing that moves the cursor, rings the bell or turns the text around.
#[track_caller]
fn terminal(text: &str, what: &str) {
    let bad = text
        .chars()
        .find(|c| *c != '\n' && dryfit::plain::is_unprintable(*c));
    assert_eq!(bad, None, "{what}: {text}");
}

/// Well-formed, without elements a browser would run and without control characters.
#[track_caller]
fn markup(text: &str, what: &str) {
    terminal(text, what);
    let mut reader = Reader::from_str(text);
    loop {
        match reader.read_event() {
            Ok(Event::Start(element) | Event::Empty(element)) => {
                let name = String::from_utf8_lossy(element.name().as_ref().as_ref()).to_lowercase();
                assert!(
                    !["script", "img", "b"].contains(&name.as_str()),
                    "{what}: {name}"
                );
            }
            Ok(Event::Eof) => break,
            Ok(_) => {}
            Err(error) => panic!("{what}: {error} in {text}"),
        }
    }
}

/// No cell a spreadsheet takes for a formula.
#[track_caller]
fn spreadsheet(path: &Path) {
    let text = fs::read_to_string(path).unwrap();
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let mut cells = 0;
    for record in reader.records() {
        for cell in &record.unwrap() {
            cells += 1;
            let number = cell.replace(['-', '+', '.', '/', ' '], "");
            let number = number.trim_end_matches("mm").trim_end_matches("in");
            let is_number = !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit());
            let formula = cell
                .trim_start()
                .starts_with(['=', '+', '-', '@', '\t', '\r']);
            assert!(!formula || is_number, "{}: {cell:?}", path.display());
        }
    }
    assert!(cells > 0);
    let text = text.trim_start_matches('\u{feff}').replace("\r\n", "\n");
    terminal(&text, "a table");
}

#[test]
fn every_text_is_safe_on_a_terminal() {
    let job = Job::new();
    let folder = job.folder();
    // A folder of that name is taken for an option otherwise.
    let folder = folder.to_str().unwrap();
    let list = format!("{folder}/c2.csv");
    let drawing = format!("{folder}/c2.dxf");
    let check = job.run(&["check", folder]);
    assert!(
        check.contains("<script>") && check.contains("710 mm"),
        "{check}"
    );
    let accept = job.run(&["accept", folder, "F1", "--reason", PART, "--by", PART]);
    for (what, text) in [
        ("check", check),
        (
            "check, coloured off",
            job.run(&["check", folder, "--color", "never"]),
        ),
        ("explain", job.run(&["explain", "F1", folder])),
        ("explain open", job.run(&["explain", "U1", folder])),
        ("measure", job.run(&["measure", &drawing])),
        ("parts", job.run(&["parts", &list])),
        ("init", job.run(&["init", "--print", folder])),
        ("accept", accept),
        ("release", job.run(&["release", folder, "--by", PART])),
        ("compare", job.run(&["compare", &list, &drawing])),
    ] {
        terminal(&text, what);
    }
}

#[test]
fn every_machine_format_is_well_formed() {
    let job = Job::new();
    let folder = job.folder();
    let folder = folder.to_str().unwrap();
    let list = format!("{folder}/c2.csv");
    let drawing = format!("{folder}/c2.dxf");
    job.run(&["accept", folder, "F1", "--reason", PART, "--by", PART]);
    for arguments in [
        vec!["check", folder, "--format", "json"],
        vec!["check", folder, "--format", "sarif"],
        vec!["measure", &drawing, "--format", "json"],
        vec!["parts", &list, "--format", "json"],
        vec!["compare", &list, &drawing, "--format", "json"],
    ] {
        let text = job.run(&arguments);
        let value: serde_json::Value =
            serde_json::from_str(&text).unwrap_or_else(|error| panic!("{arguments:?}: {error}"));
        // Escaped, so that showing the file is safe but for what reorders text.
        let bad = text.chars().find(|c| *c != '\n' && c.is_control());
        assert_eq!(bad, None, "{arguments:?}");
        assert!(value.to_string().contains("<script>"), "{arguments:?}");
    }
    markup(&job.run(&["check", folder, "--format", "junit"]), "junit");
    let page = job.run(&["check", folder, "--format", "html"]);
    assert!(page.contains("&lt;script&gt;"), "the name is shown");
    let lower = page.to_lowercase();
    for needle in ["<script", "<img", "onerror=y>"] {
        assert!(!lower.contains(needle), "{needle}");
    }
    terminal(&page, "html");
    toml::from_str::<toml::Table>(&job.run(&["init", "--print", folder])).unwrap();
}

#[test]
fn every_file_that_is_written_is_safe() {
    let job = Job::new();
    let folder = job.folder();
    let folder = folder.to_str().unwrap();
    let out = job.home.path().join("out");
    job.run(&["check", folder, "--out", out.to_str().unwrap()]);
    spreadsheet(&out.join("findings.csv"));
    spreadsheet(&out.join("c2.changes.csv"));
    terminal(
        &fs::read_to_string(out.join("report.txt")).unwrap(),
        "report.txt",
    );
    markup(
        &fs::read_to_string(out.join("findings.junit.xml")).unwrap(),
        "findings.junit.xml",
    );
    // The proposal is the list as it was, but for the wrong cell.
    let proposal = fs::read_to_string(out.join("c2.proposal.csv")).unwrap();
    let list = fs::read_to_string(job.folder().join("c2.csv")).unwrap();
    assert_eq!(proposal, list.replace("Side;2;710;", "Side;2;720;"));
    // What was added to the drawing is plain text of one line each.
    let marked = fs::read_to_string(out.join("c2.findings.dxf")).unwrap();
    let original = fs::read_to_string(job.folder().join("c2.dxf")).unwrap();
    let of_original: std::collections::BTreeSet<&str> = original.lines().collect();
    for line in marked.lines().filter(|line| !of_original.contains(line)) {
        assert!(line.chars().all(|c| (' '..='~').contains(&c)), "{line:?}");
        assert!(!line.contains("%%"), "{line}");
    }
    assert_eq!(marked.lines().count() % 2, original.lines().count() % 2);
    let svg = job.home.path().join("picture.svg");
    job.run(&[
        "measure",
        &format!("{folder}/c2.dxf"),
        "--picture",
        svg.to_str().unwrap(),
    ]);
    markup(&fs::read_to_string(&svg).unwrap(), "picture.svg");
}
