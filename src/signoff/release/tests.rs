//! Files and rows told apart, on their own.

use super::pairing::{FileState, Terms, pair};
use super::rows::changes;
use super::snapshot::{File, FileKind, Row, RowSize};

fn file(name: &str, kind: FileKind, content: &str) -> File {
    File {
        name: name.to_owned(),
        kind,
        bytes: 1,
        sha256: content.to_owned(),
    }
}

#[test]
fn what_cannot_be_read_is_not_bound() {
    let home = tempfile::tempdir().unwrap();
    // A folder is there, and has no content; the other is not there.
    for path in [home.path().to_owned(), home.path().join("k1.csv")] {
        let place = super::take::Place {
            path: path.clone(),
            kind: FileKind::List,
        };
        let said = super::take::file(&place).unwrap_err().to_string();
        let begin = format!("{}: cannot be read: ", path.display());
        assert!(said.starts_with(&begin), "{said}");
    }
}

fn list(name: &str, content: &str) -> File {
    file(name, FileKind::List, content)
}

fn states(was: &[File], now: &[File], terms: Terms) -> Vec<(String, String, FileState)> {
    let name = |file: &Option<File>| file.as_ref().map_or("-".to_owned(), |f| f.name.clone());
    pair(was, now, terms)
        .iter()
        .map(|change| (name(&change.was), name(&change.now), change.state))
        .collect()
}

fn found(was: &str, now: &str, state: FileState) -> (String, String, FileState) {
    (was.to_owned(), now.to_owned(), state)
}

#[test]
fn content_goes_before_names() {
    let was = [list("a", "1"), list("b", "2")];
    assert_eq!(
        states(&was, &[list("b", "1"), list("a", "2")], Terms::Whole),
        [
            found("a", "b", FileState::Renamed),
            found("b", "a", FileState::Renamed)
        ]
    );
    assert_eq!(
        states(&was, &[list("a", "2"), list("c", "3")], Terms::Whole),
        [
            found("a", "-", FileState::Missing),
            found("b", "a", FileState::Renamed),
            found("-", "c", FileState::New)
        ]
    );
}

#[test]
fn of_two_files_with_one_content_the_one_of_the_same_name_is_meant() {
    let was = [list("b", "1")];
    let now = [list("a", "1"), list("b", "1")];
    assert_eq!(
        states(&was, &now, Terms::Whole),
        [
            found("b", "b", FileState::Same),
            found("-", "a", FileState::Copy)
        ]
    );
}

#[test]
fn a_job_file_works_by_its_name_alone() {
    let was = [file("dryfit.toml", FileKind::JobFile, "1")];
    let now = [file("other.toml", FileKind::JobFile, "1")];
    assert_eq!(
        states(&was, &now, Terms::Whole),
        [
            found("dryfit.toml", "-", FileState::Missing),
            found("-", "other.toml", FileState::New)
        ]
    );
}

#[test]
fn only_two_issues_may_give_their_one_list_another_name() {
    let (was, now) = ([list("a", "1")], [list("b", "2")]);
    assert_eq!(
        states(&was, &now, Terms::Issues),
        [found("a", "b", FileState::Changed)]
    );
    assert_eq!(states(&was, &now, Terms::Whole).len(), 2);
    let two = [list("b", "2"), list("c", "3")];
    assert_eq!(states(&was, &two, Terms::Issues).len(), 3);
    assert_eq!(
        states(&was, &[], Terms::Some),
        [found("a", "-", FileState::NotShown)]
    );
}

fn row(line: usize, cabinet: &str, part: &str, count: u32, sizes: &[f64]) -> Row {
    Row {
        file: "list.csv".to_owned(),
        sheet: None,
        line,
        cabinet: cabinet.to_owned(),
        part: part.to_owned(),
        quantity: count.to_string(),
        count,
        sizes: ["length", "width", "thickness"]
            .iter()
            .zip(sizes)
            .map(|(what, mm)| RowSize {
                what: (*what).to_owned(),
                text: mm.to_string(),
                mm: *mm,
            })
            .collect(),
        cells: Vec::new(),
    }
}

/// "3>4 length" for a row of line 3 that is now line 4 with another length.
fn told(was: &[Row], now: &[Row]) -> Vec<String> {
    changes(was, now)
        .iter()
        .map(|change| {
            let line = |row: &Option<Row>| {
                row.as_ref()
                    .map_or("-".to_owned(), |row| row.line.to_string())
            };
            let cells: Vec<_> = change.cells.iter().map(|cell| cell.what.as_str()).collect();
            format!(
                "{}>{} {}",
                line(&change.was),
                line(&change.now),
                cells.join(",")
            )
        })
        .collect()
}

#[test]
fn rows_that_only_moved_are_the_same() {
    let was = [
        row(2, "B1", "Side", 2, &[720.0, 560.0]),
        row(3, "B1", "Top", 1, &[564.0, 560.0]),
        row(4, "B1", "Top", 1, &[564.0, 560.0]),
    ];
    let mut now = was.to_vec();
    now.reverse();
    for (index, row) in now.iter_mut().enumerate() {
        row.line = 20 + index;
    }
    assert_eq!(told(&was, &now), Vec::<String>::new());
    // One of two that were the same is gone.
    now.remove(0);
    assert_eq!(told(&was, &now), ["4>- "]);
}

#[test]
fn rows_of_one_name_are_taken_for_those_they_are_most_like() {
    let was = [
        row(2, "B1", "Shelf", 1, &[500.0, 300.0, 18.0]),
        row(3, "B1", "Shelf", 2, &[700.0, 280.0, 18.0]),
    ];
    let now = [
        row(2, "B1", "Shelf", 2, &[700.0, 290.0, 18.0]),
        row(3, "B1", "Shelf", 1, &[500.0, 300.0, 16.0]),
    ];
    assert_eq!(told(&was, &now), ["3>2 width", "2>3 thickness"]);
}

#[test]
fn a_row_with_another_name_is_known_by_its_sizes() {
    let was = [
        row(2, "B1", "Side", 2, &[720.0, 560.0]),
        row(3, "B1", "Back", 1, &[700.0, 580.0]),
    ];
    let now = [
        row(2, "B1", "Gable", 2, &[720.0, 560.0]),
        row(3, "B2", "Back", 1, &[700.0, 580.0]),
    ];
    assert_eq!(told(&was, &now), ["2>2 part", "3>3 cabinet"]);
    let other = [row(2, "B1", "Gable", 2, &[721.0, 560.0])];
    assert_eq!(told(&was[..1], &other), ["2>- ", "->2 "]);
}

/// A list without cabinets and with one word for all parts is told apart in good time.
#[test]
fn a_long_list_of_like_rows_takes_no_longer_than_its_length() {
    let was: Vec<Row> = (0..20_000)
        .map(|line| row(line, "", "Part", 1, &[100.0 + line as f64, 10.0]))
        .collect();
    let mut now = was.clone();
    for row in &mut now {
        row.sizes[1].mm = 11.0;
    }
    let start = std::time::Instant::now();
    assert_eq!(changes(&was, &now).len(), 20_000);
    assert!(start.elapsed().as_secs() < 20, "{:?}", start.elapsed());
}
