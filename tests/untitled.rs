//! Drawings on which no name of a cabinet stands: views are told apart by what fits
//! together, and taken for the list's cabinets by size. The drawings are those of the
//! fixtures without their titles; what is right comes from the parameters the solids were
//! made from (`fixtures/truth`), or is what the same drawing gives with its titles.

mod common;

use common::{Report, check, fixture, read_json};
use serde_json::Value;
use std::path::Path;
use tempfile::TempDir;

/// A DXF drawing without its single texts; those of dimensions stay.
fn without_titles(dxf: &str) -> String {
    without_texts(dxf, |_| true)
}

/// A DXF drawing without the single texts that are meant.
fn without_texts(dxf: &str, meant: impl Fn(&str) -> bool) -> String {
    let lines: Vec<&str> = dxf.lines().collect();
    let pairs: Vec<(&str, &str)> = lines
        .chunks(2)
        .filter_map(|pair| Some((*pair.first()?, *pair.get(1)?)))
        .collect();
    let mut out = String::new();
    for entity in pairs.chunk_by(|_, next| next.0.trim() != "0") {
        let is_text = entity
            .first()
            .is_some_and(|(_, kind)| kind.trim() == "TEXT");
        let said = entity.iter().find(|(code, _)| code.trim() == "1");
        if is_text && said.is_some_and(|(_, text)| meant(text)) {
            continue;
        }
        for (code, value) in entity {
            out.push_str(&format!("{code}\n{value}\n"));
        }
    }
    out
}

/// A folder with a fixture's drawings without their titles, under names that say nothing,
/// and the list with some of its text replaced.
fn job(name: &str, replaced: &[(&str, &str)]) -> TempDir {
    partly(name, replaced, |_| true)
}

/// As [`job`], without the titles that are meant alone.
fn partly(name: &str, replaced: &[(&str, &str)], meant: impl Fn(&str) -> bool) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let mut number = 0;
    let mut files: Vec<_> = std::fs::read_dir(fixture(name))
        .unwrap()
        .map(|file| file.unwrap().path())
        .collect();
    files.sort();
    for path in files {
        match path.extension().and_then(|e| e.to_str()) {
            Some("dxf") => {
                number += 1;
                let dxf = without_texts(&std::fs::read_to_string(&path).unwrap(), &meant);
                let to = folder
                    .path()
                    .join(format!("sheet-{}.dxf", "abc".split_at(number).0));
                std::fs::write(to, dxf).unwrap();
            }
            Some("csv") => {
                let mut list = std::fs::read_to_string(&path).unwrap();
                for (from, to) in replaced {
                    assert!(list.contains(from), "{from} is not in the list");
                    list = list.replace(from, to);
                }
                std::fs::write(folder.path().join("list.csv"), list).unwrap();
            }
            Some("toml") => {
                std::fs::copy(&path, folder.path().join("dryfit.toml")).unwrap();
            }
            _ => {}
        }
    }
    folder
}

/// Every size of every cabinet that is not as the titled drawing gives it.
fn other_than_titled(report: &Report, titled: &Report) -> Vec<String> {
    let mut out = Vec::new();
    for cabinet in titled.json["cabinets"].as_array().unwrap() {
        let id = cabinet["id"].as_str().unwrap();
        for which in ["overall", "interior"] {
            for dimension in ["width", "height", "depth"] {
                let (here, there) = (
                    report.size(id, which, dimension),
                    titled.size(id, which, dimension),
                );
                let same = match (here, there) {
                    (Some(here), Some(there)) => (here - there).abs() <= 0.05,
                    (here, there) => here == there,
                };
                if !same {
                    out.push(format!(
                        "{id} {which} {dimension}: {here:?}, with titles {there:?}"
                    ));
                }
            }
        }
    }
    out
}

/// Every finding is one of the titled drawing's too.
#[track_caller]
fn finds_no_more_than_titled(report: &Report, titled: &Report, what: &str) {
    for row in report.findings() {
        assert!(
            titled.findings().contains(&row),
            "{what}: {row:?}: {:?}",
            messages(report)
        );
    }
}

fn assumptions(report: &Report) -> Vec<String> {
    report.json["assumptions"]
        .as_array()
        .unwrap()
        .iter()
        .map(|a| a["sentence"].as_str().unwrap().to_owned())
        .collect()
}

#[track_caller]
fn says(lines: &[String], words: &[&str]) {
    assert!(
        lines
            .iter()
            .any(|line| words.iter().all(|word| line.contains(word))),
        "{words:?} is in none of {lines:#?}"
    );
}

fn unchecked(report: &Report) -> Vec<String> {
    report.json["coverage"]["unchecked"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| line.as_str().unwrap().to_owned())
        .collect()
}

fn messages(report: &Report) -> Vec<String> {
    report.json["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|finding| finding["message"].as_str().unwrap().to_owned())
        .collect()
}

#[test]
fn the_glaze_room_without_a_word_is_measured_and_its_wrong_height_found() {
    let folder = job("glaze-room", &[]);
    let report = check(&[folder.path()]);
    let truth = read_json(&fixture("truth/glaze-room.json"));
    for (line, right) in report.against(&truth) {
        assert_eq!(right, Some(true), "{line}");
    }
    let titled = check(&[&fixture("glaze-room")]);
    assert_eq!(report.findings(), titled.findings());
    says(
        &assumptions(&report),
        &[
            "B2 is taken to be the cabinet drawn 36 in wide, 34 1/2 in high and 24 in deep",
            "no name stands with it",
        ],
    );
}

#[test]
fn a_case_with_a_wrong_height_in_one_row_is_known_by_its_sizes() {
    let folder = job("derived/alike", &[("B2,Side,2,34 1/2", "B2,Side,2,31")]);
    let report = check(&[folder.path()]);
    let titled = check(&[&fixture("derived/alike")]);
    assert_eq!(other_than_titled(&report, &titled), Vec::<String>::new());
    says(
        &assumptions(&report),
        &[
            "B2",
            "width, height and depth are as listed (height not in every row)",
        ],
    );
    says(&messages(&report), &["B2, Side", "31 in", "34 1/2 in"]);
    assert_eq!(messages(&report).len(), 1);
}

#[test]
fn a_case_listed_lower_in_every_row_is_known_by_its_other_sizes() {
    let folder = job(
        "derived/alike",
        &[
            ("B2,Side,2,34 1/2", "B2,Side,2,31"),
            ("B2,Back,1,29 3/4", "B2,Back,1,26 1/4"),
        ],
    );
    let report = check(&[folder.path()]);
    let titled = check(&[&fixture("derived/alike")]);
    assert_eq!(other_than_titled(&report, &titled), Vec::<String>::new());
    says(
        &assumptions(&report),
        &[
            "B2",
            "width and depth are as listed",
            "and no other cabinet of the list has both, but its height is not",
        ],
    );
    says(&messages(&report), &["B2, Side", "31 in", "34 1/2 in"]);
}

#[test]
fn two_cabinets_alike_are_both_measured() {
    let folder = tempfile::tempdir().unwrap();
    let source = fixture("derived/toe-space");
    let dxf = without_titles(&std::fs::read_to_string(source.join("toe-space.dxf")).unwrap());
    std::fs::write(folder.path().join("one.dxf"), &dxf).unwrap();
    // Another file with the same lines.
    let other = format!("999\nthe second of two\n{dxf}");
    std::fs::write(folder.path().join("two.dxf"), other).unwrap();
    let list = std::fs::read_to_string(source.join("toe-space.csv")).unwrap();
    let second: String = list
        .lines()
        .skip(1)
        .map(|l| format!("{}\n", l.replace("B1,", "A7,")))
        .collect();
    std::fs::write(
        folder.path().join("list.csv"),
        format!("{}\n{second}", list.trim_end()),
    )
    .unwrap();
    let report = check(&[folder.path()]);
    let titled = check(&[&source]);
    for id in ["A7", "B1"] {
        for which in ["overall", "interior"] {
            for dimension in ["width", "height", "depth"] {
                let right = titled.size("B1", which, dimension);
                assert_eq!(
                    report.size(id, which, dimension),
                    right,
                    "{id} {which} {dimension}"
                );
            }
        }
    }
    says(
        &assumptions(&report),
        &[
            "A7",
            "another is drawn just like it, so which is which changes no size",
        ],
    );
    assert_eq!(messages(&report), Vec::<String>::new());
}

#[test]
fn what_could_be_either_is_given_to_neither() {
    // Of two cases of one height and depth both widths are pulled wrong.
    let folder = job(
        "derived/alike",
        &[
            ("B1,Bottom,1,22 1/2", "B1,Bottom,1,41"),
            ("B1,Stretcher,2,22", "B1,Stretcher,2,41"),
            ("B1,Toe kick,1,23 1/2", "B1,Toe kick,1,41"),
            ("B2,Bottom,1,28 1/2", "B2,Bottom,1,47"),
            ("B2,Stretcher,2,28", "B2,Stretcher,2,47"),
            ("B2,Toe kick,1,29 1/2", "B2,Toe kick,1,47"),
        ],
    );
    let report = check(&[folder.path()]);
    for id in ["B1", "B2"] {
        assert_eq!(report.size(id, "overall", "width"), None, "{id}");
        assert_eq!(report.size(id, "overall", "height"), None, "{id}");
    }
    assert_eq!(report.size("B3", "overall", "width"), Some(914.4));
    says(
        &unchecked(&report),
        &[
            "24 in wide, 34 1/2 in high and 24 in deep as drawn",
            "B1 and B2 fit equally well",
        ],
    );
    says(
        &messages(&report),
        &[
            "B1 is in the list",
            "of 2 without a name their sizes do not tell which shows it",
        ],
    );
}

#[test]
fn where_nothing_matches_no_size_is_given() {
    let folder = job("derived/alike", &[]);
    std::fs::copy(
        fixture("kiln-store/kiln-store.csv"),
        folder.path().join("list.csv"),
    )
    .unwrap();
    let report = check(&[folder.path()]);
    for cabinet in report.json["cabinets"].as_array().unwrap() {
        let id = cabinet["id"].as_str().unwrap();
        assert!(
            id.starts_with("untitled ") || cabinet["overall"]["width"]["mm"] == Value::Null,
            "{cabinet:#}"
        );
    }
    assert_eq!(report.status, 2);
    says(
        &messages(&report),
        &["3 cabinets are drawn without a name, and the size of none tells surely which"],
    );
    says(
        &unchecked(&report),
        &[
            "762 mm wide",
            "no cabinet of the list without a drawing has two of these sizes",
        ],
    );
}

#[test]
fn one_file_each_under_names_that_say_nothing() {
    let folder = job("drafted/one-file-each", &[]);
    let report = check(&[folder.path()]);
    let truth = read_json(&fixture("drafted/one-file-each/truth.json"));
    for (line, right) in report.against(&truth) {
        assert_eq!(right, Some(true), "{line}");
    }
    assert_eq!(messages(&report), Vec::<String>::new());
}

/// No fixture, whatever it shows, gets a size it has not with its titles, or a finding
/// on a row.
#[test]
fn no_fixture_without_its_titles_gets_a_wrong_size() {
    let mut taken = 0;
    for entry in std::fs::read_dir(fixture("derived")).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let titled = check(&[Path::new(&path)]);
        let folder = job(&format!("derived/{name}"), &[]);
        let report = check(&[folder.path()]);
        for cabinet in titled.json["cabinets"].as_array().unwrap() {
            let id = cabinet["id"].as_str().unwrap();
            for which in ["overall", "interior"] {
                for dimension in ["width", "height", "depth"] {
                    let Some(mm) = report.size(id, which, dimension) else {
                        continue;
                    };
                    let right = titled.size(id, which, dimension).unwrap();
                    assert!(
                        (mm - right).abs() <= 0.05,
                        "{name} {id} {which} {dimension}: {mm} for {right}"
                    );
                    taken += 1;
                }
            }
        }
        finds_no_more_than_titled(&report, &titled, &name);
    }
    assert!(taken > 200, "only {taken} sizes were given");
}

/// What a picture says of a view: why it was not measured, and no line that runs off.
#[test]
fn a_picture_says_of_each_view_why_it_was_not_measured() {
    let folder = tempfile::tempdir().unwrap();
    let drawing = folder.path().join("sheet.dxf");
    let case = fixture("../tests/strangers/cases/s0171/drawing.dxf");
    std::fs::copy(case, &drawing).unwrap();
    for name in ["views.svg", "views.html"] {
        let picture = folder.path().join(name);
        assert_cmd::Command::cargo_bin("dryfit")
            .unwrap()
            .args(["measure".as_ref(), drawing.as_os_str()])
            .args(["--picture".as_ref(), picture.as_os_str()])
            .output()
            .unwrap();
        let text = std::fs::read_to_string(&picture).unwrap();
        let unread = "Not measured: no title says what this shows";
        assert!(text.contains(unread), "{name} gives no reason");
        for line in text.split("class=\"list\">").skip(1) {
            let line = line.split('<').next().unwrap();
            assert!(line.chars().count() < 100, "{name}: {line}");
        }
    }
}

/// The cabinets of a fixture, by its report.
fn ids(report: &Report) -> Vec<String> {
    let cabinets = report.json["cabinets"].as_array().unwrap();
    let id = |cabinet: &Value| cabinet["id"].as_str().unwrap().to_owned();
    cabinets.iter().map(id).collect()
}

/// A title of one cabinet's view: "B1 FRONT". Its name alone divides a run.
fn is_of(text: &str, id: &str) -> bool {
    let mut words = text.split_whitespace();
    words.next() == Some(id) && words.next().is_some()
}

#[test]
fn where_one_cabinet_has_no_titles_it_is_known_by_its_size() {
    for name in [
        "glaze-room",
        "kiln-store",
        "derived/alike",
        "derived/beside-frameless",
    ] {
        let titled = check(&[&fixture(name)]);
        for id in ids(&titled) {
            let folder = partly(name, &[], |text| is_of(text, &id));
            let report = check(&[folder.path()]);
            let other = other_than_titled(&report, &titled);
            assert_eq!(other, Vec::<String>::new(), "{name} without {id}");
            assert_eq!(report.findings(), titled.findings(), "{name} without {id}");
            let taken = format!("{id} is taken to be the cabinet drawn");
            says(&assumptions(&report), &[&taken, "no name stands with it"]);
        }
    }
}

#[test]
fn where_one_cabinet_alone_has_titles_the_others_are_known_by_their_sizes() {
    for name in [
        "glaze-room",
        "kiln-store",
        "derived/alike",
        "derived/beside-frameless",
    ] {
        let titled = check(&[&fixture(name)]);
        for id in ids(&titled) {
            let folder = partly(name, &[], |text| !is_of(text, &id));
            let report = check(&[folder.path()]);
            let other = other_than_titled(&report, &titled);
            assert_eq!(other, Vec::<String>::new(), "{name} with {id} alone");
            assert_eq!(report.findings(), titled.findings(), "{name} with {id}");
        }
    }
}

#[test]
fn a_second_drawing_of_a_titled_cabinet_is_not_taken_for_another_one() {
    // A7 is listed as B1 is, but for its shelf; what is drawn twice is B1.
    let folder = tempfile::tempdir().unwrap();
    let source = fixture("derived/toe-space");
    let dxf = std::fs::read_to_string(source.join("toe-space.dxf")).unwrap();
    std::fs::write(folder.path().join("one.dxf"), &dxf).unwrap();
    let other = format!("999\nthe second of two\n{}", without_titles(&dxf));
    std::fs::write(folder.path().join("two.dxf"), other).unwrap();
    let list = std::fs::read_to_string(source.join("toe-space.csv")).unwrap();
    let second: String = list
        .lines()
        .skip(1)
        .filter(|line| !line.contains("Toe kick"))
        .map(|line| format!("{}\n", line.replace("B1,", "A7,")))
        .collect();
    let both = format!("{}\n{second}", list.trim_end());
    std::fs::write(folder.path().join("list.csv"), both).unwrap();
    let report = check(&[folder.path()]);
    assert_eq!(report.size("A7", "overall", "width"), None);
    let titled = check(&[&source]);
    let right = titled.size("B1", "overall", "width");
    assert_eq!(report.size("B1", "overall", "width"), right);
    says(&unchecked(&report), &["A7 and B1 fit equally well"]);
    says(
        &messages(&report),
        &[
            "A7 is in the list",
            "of one without a name its size does not tell surely",
        ],
    );
}

/// No fixture of several cabinets gets a wrong size or a finding on a row where the titles
/// of one of them are left out.
#[test]
fn no_fixture_without_some_of_its_titles_gets_a_wrong_size() {
    let mut taken = 0;
    for entry in std::fs::read_dir(fixture("derived")).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let titled = check(&[Path::new(&path)]);
        let ids = ids(&titled);
        for id in ids.iter().filter(|_| ids.len() > 1) {
            // Where its views differ in a size, another of them is read without the titles.
            let torn = format!(" of {id} is ");
            let said = messages(&titled);
            if said
                .iter()
                .any(|m| m.contains(&torn) && m.contains("in its"))
            {
                continue;
            }
            let folder = partly(&format!("derived/{name}"), &[], |text| is_of(text, id));
            let report = check(&[folder.path()]);
            for other in other_than_titled(&report, &titled) {
                assert!(other.contains(": None,"), "{name} without {id}: {other}");
            }
            taken += usize::from(report.size(id, "overall", "width").is_some());
            finds_no_more_than_titled(&report, &titled, &format!("{name} without {id}"));
        }
    }
    assert!(taken > 10, "only {taken} cabinets were known");
}

/// Runs drawn as one, with their names: as drafters and programs draw them.
const RUNS: [&str; 7] = [
    "drafted/run-doors",
    "drafted/run-hidden",
    "drafted/run-visible",
    "../tests/strangers/cases/s0198",
    "../tests/strangers/cases/s0273",
    "../tests/strangers/cases/s7227",
    "../tests/strangers/cases/s20192",
];

/// How many cabinets of a report have a width and a height.
fn measured(report: &Report) -> usize {
    let size = |id: &String, dimension| report.size(id, "overall", dimension).is_some();
    let both = |id: &&String| size(id, "width") && size(id, "height");
    ids(report).iter().filter(both).count()
}

/// Sizes of the cabinets of a list that the report gives and that are not as in the truth.
fn wrong(report: &Report, truth: &Value) -> Vec<String> {
    let lines = report.against(truth).into_iter();
    lines
        .filter(|(_, right)| *right == Some(false))
        .map(|(line, _)| line)
        .collect()
}

#[test]
fn a_run_without_a_name_is_divided_into_its_cabinets() {
    let mut named = 0;
    for name in RUNS {
        let folder = job(name, &[]);
        let report = check(&[folder.path()]);
        let truth = read_json(&fixture(&format!("{name}/truth.json")));
        assert_eq!(wrong(&report, &truth), Vec::<String>::new(), "{name}");
        let titled = check(&[&fixture(name)]);
        finds_no_more_than_titled(&report, &titled, name);
        let cabinets = truth["cabinets"].as_object().unwrap();
        named += cabinets
            .keys()
            .filter(|id| report.size(id, "overall", "width").is_some())
            .count();
    }
    assert!(named >= 11, "only {named} cabinets were known");
}

#[test]
fn a_run_that_names_some_of_its_cabinets_stretches_no_name_over_two() {
    let mut known = 0;
    for name in RUNS {
        let titled = check(&[&fixture(name)]);
        let truth = read_json(&fixture(&format!("{name}/truth.json")));
        for id in truth["cabinets"].as_object().unwrap().keys() {
            // Its place in the run alone, or whatever names it.
            for everywhere in [false, true] {
                let folder = partly(name, &[], |text| {
                    text.trim() == id || everywhere && text.contains(id.as_str())
                });
                let report = check(&[folder.path()]);
                let what = format!("{name} without {id}, everywhere: {everywhere}");
                assert_eq!(wrong(&report, &truth), Vec::<String>::new(), "{what}");
                finds_no_more_than_titled(&report, &titled, &what);
                let twice = |m: &String| m.contains("cabinets are called");
                assert!(!messages(&report).iter().any(twice), "{what}");
                known += measured(&report);
            }
        }
    }
    assert!(known >= 40, "only {known} cabinets were known");
}

/// Runs by strangers on which names are missing: turned, mirrored, in blocks, of one height
/// or several.
fn nameless() -> Vec<std::path::PathBuf> {
    let folder = fixture("../tests/strangers/runs");
    let cases = std::fs::read_dir(folder).unwrap();
    let mut cases: Vec<_> = cases.map(|case| case.unwrap().path()).collect();
    cases.sort();
    assert!(cases.len() >= 16, "runs are missing");
    cases
}

#[test]
fn runs_by_strangers_on_which_names_are_missing_are_told_by_size() {
    let (mut right, mut all) = (0, 0);
    for case in nameless() {
        let what = case.display().to_string();
        let truth = read_json(&case.join("truth.json"));
        let report = check(&[&case]);
        assert_eq!(wrong(&report, &truth), Vec::<String>::new(), "{what}");
        let findings = report.json["findings"].as_array().unwrap();
        let of_the_list: Vec<&Value> = findings.iter().filter(|f| f["kind"] != "drawing").collect();
        assert!(of_the_list.is_empty(), "{what}: {of_the_list:#?}");
        for id in truth["cabinets"].as_object().unwrap().keys() {
            for dimension in ["width", "height"] {
                all += 1;
                right += usize::from(report.size(id, "overall", dimension).is_some());
            }
        }
        if truth["features"]["nameless"] == "all" {
            let taken = ["is taken to be the cabinet drawn", "no name stands with it"];
            says(&assumptions(&report), &taken);
        }
    }
    assert!(right * 10 >= all * 9, "{right} of {all} sizes are known");
}

/// A list with one size of a row taken from another cabinet's row of the same part.
fn slipped(list: &str, line: usize, column: usize) -> Option<String> {
    let mark = if list.lines().next()?.contains(';') {
        ';'
    } else {
        ','
    };
    let rows: Vec<Vec<&str>> = list
        .lines()
        .map(|line| line.split(mark).collect())
        .collect();
    let own = rows.get(line)?;
    let other = rows
        .iter()
        .skip(1)
        .find(|row| row[0] != own[0] && row[1] == own[1] && row.get(column) != own.get(column))?;
    let mut changed = rows.clone();
    changed[line][column] = other[column];
    let lines: Vec<String> = changed
        .iter()
        .map(|row| row.join(&mark.to_string()))
        .collect();
    Some(lines.join("\n"))
}

#[test]
fn a_wrong_figure_in_the_list_of_a_nameless_run_is_found_or_left_unchecked() {
    let (mut tried, mut found) = (0, 0);
    for case in nameless().iter().step_by(2) {
        let truth = read_json(&case.join("truth.json"));
        let list = std::fs::read_to_string(case.join("list.csv")).unwrap();
        let count = list.lines().count();
        for line in (1..count).step_by(4) {
            let Some(changed) = slipped(&list, line, 3) else {
                continue;
            };
            let folder = tempfile::tempdir().unwrap();
            std::fs::copy(case.join("run.dxf"), folder.path().join("run.dxf")).unwrap();
            std::fs::write(folder.path().join("list.csv"), changed).unwrap();
            let report = check(&[folder.path()]);
            let what = format!("{}, line {}", case.display(), line + 1);
            assert_eq!(wrong(&report, &truth), Vec::<String>::new(), "{what}");
            let row = format!("(line {})", line + 1);
            for message in messages(&report) {
                if message.contains("(line") {
                    assert!(message.contains(&row), "{what}: {message}");
                    found += 1;
                }
            }
            tried += 1;
        }
    }
    assert!(
        tried >= 12 && found >= tried / 3,
        "{found} of {tried} were found"
    );
}

#[test]
fn a_piece_of_a_run_that_is_none_of_the_list_has_its_place() {
    let folder = job("../tests/strangers/cases/s0198", &[]);
    let list = std::fs::read_to_string(fixture("kiln-store/kiln-store.csv")).unwrap();
    std::fs::write(folder.path().join("list.csv"), list).unwrap();
    let report = check(&[folder.path()]);
    let place = "cabinets side by side, from the left";
    says(&unchecked(&report), &["untitled 1", "1 of", place]);
    let out = assert_cmd::Command::cargo_bin("dryfit")
        .unwrap()
        .args([
            "init".as_ref(),
            "--print".as_ref(),
            folder.path().as_os_str(),
        ])
        .output()
        .unwrap();
    let proposed = String::from_utf8(out.stdout).unwrap();
    assert!(proposed.contains(place), "{proposed}");
    assert!(proposed.contains("# region = ["), "{proposed}");
}
