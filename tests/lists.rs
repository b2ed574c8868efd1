//! Cut lists in every way a shop keeps them, read and held against what they were
//! written from (`fixtures/make/lists.py`, exact fractions; workbooks put together by hand).

mod common;

use common::{fixture, read_json};
use dryfit::cutlist::{
    self, BoringRow, CutList, FromEdge, Grain, Hand, ListError, ListHints, Per, Row, SizeCell,
    SizeKind,
};
use dryfit::length::Unit;
use serde_json::{Map, Value, json};

fn read(name: &str) -> CutList {
    read_with(name, &ListHints::default()).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn read_with(name: &str, hints: &ListHints) -> Result<CutList, ListError> {
    cutlist::read_file(&fixture("lists").join(name), name, hints)
}

fn truth() -> Map<String, Value> {
    read_json(&fixture("truth").join("lists.json"))
        .as_object()
        .unwrap()
        .clone()
}

fn sizes(cells: &[SizeCell]) -> Value {
    cells
        .iter()
        .map(|cell| (cell.dimension.word().to_owned(), json!(cell.value.ticks())))
        .collect::<Map<String, Value>>()
        .into()
}

const fn hand(hand: Hand) -> &'static str {
    match hand {
        Hand::Left => "left",
        Hand::Right => "right",
    }
}

/// A row as far as the truth speaks of it.
fn seen(row: &Row, truth: &Value) -> Value {
    let mut seen = json!({
        "line": row.source.line,
        "cabinets": row.cabinets,
        "role": row.role().map(|role| role.word()),
        "count": row.quantity.count,
        "per": if row.quantity.per == Per::Cabinet { "cabinet" } else { "job" },
        "sizes": sizes(&row.sizes),
    });
    let object = seen.as_object_mut().unwrap();
    let mut add = |name: &str, value: Value| {
        if truth.get(name).is_some() {
            object.insert(name.to_owned(), value);
        }
    };
    add("hand", json!(row.hand.map(hand)));
    add("sheet", json!(row.source.sheet));
    add(
        "kind",
        json!((row.size_kind == SizeKind::Finished).then_some("finished")),
    );
    add(
        "grain",
        json!((row.grain == Grain::AlongLength).then_some("length")),
    );
    add("cut", sizes(&row.cut_sizes));
    add(
        "band",
        json!(row.band.map(|b| (
            b.along_length,
            b.along_width,
            b.thickness.map(|t| t.ticks())
        ))),
    );
    seen
}

fn seen_boring(row: &BoringRow) -> Value {
    let marks: Vec<Value> = row
        .marks
        .iter()
        .map(|mark| {
            let from = match mark.from {
                FromEdge::Top => "top",
                FromEdge::Bottom => "bottom",
                FromEdge::Unstated => "?",
            };
            json!([from, mark.size.value.ticks()])
        })
        .collect();
    json!({
        "line": row.source.line,
        "cabinets": row.cabinets,
        "hinge": row.hinge_side.map(hand),
        "marks": marks,
        "centre": row.centre_from_edge.as_ref().map(|cell| cell.value.ticks()),
    })
}

#[test]
fn every_way_of_writing_reads_to_the_same_parts() {
    let truth = truth();
    assert!(truth.len() > 45, "fixtures are missing");
    let mut wrong = Vec::new();
    for (name, expected) in &truth {
        let list = read(name);
        let rows = expected["rows"].as_array().unwrap();
        if rows.len() != list.rows.len() {
            wrong.push(format!(
                "{name}: {} rows, {} expected",
                list.rows.len(),
                rows.len()
            ));
        }
        for (row, expected) in list.rows.iter().zip(rows) {
            let seen = seen(row, expected);
            if seen != *expected {
                wrong.push(format!("{name}\n  read     {seen}\n  expected {expected}"));
            }
        }
        let borings: Vec<Value> = list.borings.iter().map(seen_boring).collect();
        let expected_borings = expected
            .get("borings")
            .cloned()
            .unwrap_or_else(|| json!([]));
        if json!(borings) != expected_borings {
            wrong.push(format!("{name}: bores {borings:?}"));
        }
        let problems: Vec<Value> = list
            .problems
            .iter()
            .map(|p| json!([p.source.line, p.column]))
            .collect();
        let expected_problems = expected
            .get("problems")
            .cloned()
            .unwrap_or_else(|| json!([]));
        if json!(problems) != expected_problems {
            wrong.push(format!("{name}: problems {:?}", list.problems));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The text of each size is that of the file, and its place is where it stands.
#[test]
fn sizes_are_quoted_as_written_with_their_place() {
    let list = read("bare-inch-marks.csv");
    let cell = &list.rows[0].sizes[1];
    assert_eq!(
        (cell.text.as_str(), cell.column, &*cell.heading),
        ("23 1/4\"", 5, "Width")
    );
    assert_eq!(&*cell.unit_evidence, "written in the cell");
    let list = read("one-cell.csv");
    let cell = &list.rows[0].sizes[1];
    assert_eq!(cell.text, "23 1/4");
    assert_eq!(cell.detail.cell, "34 1/2 x 23 1/4 x 3/4");
    let list = read("decimal-comma.csv");
    assert_eq!(list.rows[0].sizes[0].text, "876,3");
    assert_eq!(
        &*list.rows[0].sizes[0].unit_evidence,
        "heading `Length (mm)`"
    );
}

#[test]
fn the_cabinets_are_a_dictionary() {
    assert_eq!(read("comma.csv").names(), ["B2", "B3"]);
    assert_eq!(read("ranges.csv").names(), ["B1", "B2", "B5", "B6", "B7"]);
    assert_eq!(read("split/boring.csv").names(), ["B2"]);
}

/// Every record of a text file is a row or a line passed over with its reason.
#[test]
fn no_line_is_lost() {
    for (name, _) in truth() {
        let bytes = std::fs::read(fixture("lists").join(&name)).unwrap();
        let Ok(text) =
            String::from_utf8(bytes).map(|text| text.replace('\r', "\n").replace("\n\n", "\n"))
        else {
            continue;
        };
        if text.starts_with("PK") || text.contains('\0') || name == "breaks-in-cells.csv" {
            continue;
        }
        let list = read(&name);
        let mut lines: Vec<usize> = list
            .rows
            .iter()
            .map(|row| row.source.line)
            .chain(list.borings.iter().map(|row| row.source.line))
            .chain(
                list.passed_over
                    .iter()
                    .filter(|line| line.reason != "blank")
                    .map(|line| line.source.line),
            )
            .collect();
        lines.sort_unstable();
        lines.dedup();
        let filled = text
            .lines()
            .filter(|line| line.chars().any(char::is_alphanumeric) || line.contains("---"))
            .filter(|line| !line.starts_with("sep="))
            .count();
        assert_eq!(lines.len(), filled, "{name}: {lines:?}");
    }
}

#[test]
fn lines_that_are_no_rows_say_what_they_are() {
    let list = read("titles-and-notes.csv");
    let reasons: Vec<(usize, &str)> = list
        .passed_over
        .iter()
        .map(|line| (line.source.line, line.reason.as_str()))
        .collect();
    assert_eq!(
        reasons,
        [
            (1, "a title"),
            (2, "a title"),
            (3, "blank"),
            (4, "column headings"),
            (11, "blank"),
            (16, "blank"),
            (17, "a total"),
            (18, "a note: no size stands in it"),
            (19, "a note: no size stands in it"),
        ]
    );
    let list = read("cabinet-headings.csv");
    assert!(
        list.passed_over
            .iter()
            .any(|line| line.reason == "the cabinet of the rows below")
    );
    assert_eq!(list.rows[0].cabinet_text, "Cabinet B2 – sink base");
}

#[test]
fn troubles_are_named_with_what_to_do() {
    let list = read("troubles.csv");
    let told: Vec<String> = list
        .problems
        .iter()
        .map(|p| {
            format!(
                "{}:{} {} | {}",
                p.source.line,
                p.column.unwrap(),
                p.message,
                p.advice
            )
        })
        .collect();
    assert_eq!(
        told,
        [
            "2:5 `31/2` can be read as 3 1/2 in or 15 1/2 in: the fraction is more than a whole, as when its space is lost | write `3 1/2 in` if that is meant",
            "3:5 `1-/34` can be read as 1 3/4 in: the fraction line is out of place | write `1 3/4 in` if that is meant",
            "4:4 `25716` can be read as 25 7/16 in or 25716 in: a part this long is unlikely; the fraction may have lost its line | write `25 7/16 in` if that is meant",
            "5:3 `two` is not a count | write a whole number of pieces",
            "7:5 `see note` is not a size: `see` stands where a number should | write it like 34 1/2, 34.5, 3'-0 1/2\" or 876.3 mm",
        ]
    );
    let dimensions: Vec<_> = list
        .problems
        .iter()
        .map(|p| p.dimension.map(|d| d.word()))
        .collect();
    assert_eq!(
        dimensions,
        [
            Some("width"),
            Some("width"),
            Some("length"),
            Some("quantity"),
            Some("width")
        ]
    );
}

#[test]
fn a_list_without_headings_gets_a_proposal() {
    let error = read_with("no-heading.csv", &ListHints::default()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "no-heading.csv: no line with column headings was found; its first row is \
         `B2,Left side,1,34 1/2,23 1/4,3/4,birch ply`; if these columns are right, put this into the job file, \
         else correct it:\n  [list.columns]\n  cabinet = 1\n  part = 2\n  quantity = 3\n  length = 4\n  \
         width = 5\n  thickness = 6\n  material = 7"
    );
    // The proposal is what reads it.
    let columns = [
        "cabinet",
        "part",
        "quantity",
        "length",
        "width",
        "thickness",
        "material",
    ];
    let hints = ListHints {
        columns: columns
            .iter()
            .enumerate()
            .map(|(at, field)| ((*field).to_owned(), (at + 1).to_string()))
            .collect(),
        ..ListHints::default()
    };
    let list = read_with("no-heading.csv", &hints).unwrap();
    let expected = read("comma.csv");
    assert_eq!(list.rows.len(), expected.rows.len());
    for (row, expected) in list.rows.iter().zip(&expected.rows) {
        assert_eq!(row.source.line + 1, expected.source.line);
        assert_eq!(sizes(&row.sizes), sizes(&expected.sizes));
        assert_eq!(row.role(), expected.role());
    }
}

#[test]
fn a_sheet_can_be_chosen() {
    let hints = |sheet: &str| ListHints {
        sheet: Some(sheet.to_owned()),
        ..ListHints::default()
    };
    for file in ["split.xlsx", "split.ods"] {
        let list = read_with(file, &hints("Face frames")).unwrap();
        assert_eq!(list.rows.len(), 3, "{file}");
        let error = read_with(file, &hints("Doors")).unwrap_err().to_string();
        assert!(
            error.contains("it has no sheet `Doors`; its sheets are Case parts, Face frames"),
            "{error}"
        );
    }
    // A hidden sheet is read only by name, and said to be passed over.
    let list = read("split.xlsx");
    assert!(
        list.passed_over
            .iter()
            .any(|p| p.source.sheet.as_deref() == Some("Old") && p.reason.contains("hidden"))
    );
    assert_eq!(
        read_with("split.xlsx", &hints("Old")).unwrap().rows.len(),
        6
    );
}

#[test]
fn units_come_with_their_evidence() {
    let list = read("mixed-units.csv");
    assert!(
        list.reading
            .iter()
            .any(|line| line.starts_with("units differ from row to row"))
    );
    assert_eq!(list.rows[0].sizes[0].unit, Unit::Inch);
    assert_eq!(list.rows[7].sizes[0].unit, Unit::Millimetre);
    assert_eq!(
        &*list.rows[7].sizes[0].unit_evidence,
        "`419.1` is too long for inches"
    );
    let list = read("unit-in-title.csv");
    assert_eq!(
        &*list.rows[0].sizes[0].unit_evidence,
        "title `All sizes in mm`"
    );
}

#[test]
fn nothing_that_tells_the_unit_is_a_problem_and_an_answer_settles_it() {
    let bytes = b"Cabinet,Part,Qty,Length,Width\nB2,Side,2,34,23\nB2,Bottom,1,30,22\n";
    let list = cutlist::read_bytes(bytes, "list.csv", &ListHints::default()).unwrap();
    assert_eq!(list.problems.len(), 4);
    assert_eq!(
        list.problems[0].message,
        "`34` has no unit, and nothing here tells inches from millimetres"
    );
    assert!(list.rows.iter().all(|row| row.sizes.is_empty()));
    let hints = ListHints {
        units: Some((Unit::Inch, "--units".to_owned())),
        ..ListHints::default()
    };
    let list = cutlist::read_bytes(bytes, "list.csv", &hints).unwrap();
    assert!(list.problems.is_empty());
    assert_eq!(list.rows[0].sizes[0].value.inches(), 34.0);
}

/// `13/16` is a thickness, and what `1 3/16` leaves when its space is lost: the
/// other rows decide.
#[test]
fn a_lone_thirteen_sixteenths_among_one_and_three_sixteenths_is_asked_about() {
    let list = |rows: &str| {
        let text = format!("Cabinet,Part,Qty,Length,Width,Thickness,Material\n{rows}");
        cutlist::read_bytes(text.as_bytes(), "list.csv", &ListHints::default()).unwrap()
    };
    let doubtful = list(
        "B2,Stile,2,30 1/2,1 1/2,1 3/16,maple\nB2,Rail,3,33 1/2,1 1/2,1 3/16,maple\nB2,Door,2,22 1/4,16 1/2,13/16,maple\n",
    );
    assert_eq!(doubtful.problems.len(), 1);
    assert_eq!(
        doubtful.problems[0].message,
        "`13/16` may be 1 3/16 in with its space or line lost: other rows of this material are 1 3/16 in thick"
    );
    assert_eq!(
        doubtful.problems[0].advice,
        "write `1 3/16 in` if that is meant, or `0.8125 in` if it is right"
    );
    assert!(
        doubtful.rows[2]
            .size(dryfit::trade::Dimension::Thickness)
            .is_none()
    );
    let sound = list("B2,Stile,2,30 1/2,1 1/2,13/16,maple\nB2,Rail,3,33,1 1/2,13/16,maple\n");
    assert!(sound.problems.is_empty());
}

#[test]
fn files_that_are_no_lists_say_so() {
    let message = |bytes: &[u8]| {
        cutlist::read_bytes(bytes, "x.csv", &ListHints::default())
            .unwrap_err()
            .to_string()
    };
    assert_eq!(
        message(b""),
        "x.csv: there is nothing in it; save the list again"
    );
    assert_eq!(
        message(b"\n \n"),
        "x.csv: there is nothing in it; save the list again"
    );
    assert_eq!(
        message(b"%PDF-1.7 ..."),
        "x.csv: this is a PDF, not a list; save the list as CSV or XLSX"
    );
    assert_eq!(
        message(b"\x7fELF\x01\0\x03\0abc"),
        "x.csv: this is neither text nor a workbook; save the list as CSV, XLSX or ODS"
    );
    assert_eq!(
        message(b"Dear all,\nthe list follows tomorrow.\n"),
        "x.csv: no line with column headings was found; put a line such as \
         `Cabinet,Part,Qty,Length,Width,Thickness` above the rows"
    );
    assert_eq!(
        message(b"Cabinet,Part,Qty,Length,Width,Thickness\n"),
        "x.csv: there are column headings but no row below them; save the list again, with its rows"
    );
    assert!(message(b"PK\x03\x04 broken").starts_with("x.csv: the workbook cannot be read: "));
    let missing = cutlist::read_file(
        &fixture("lists/none.csv"),
        "none.csv",
        &ListHints::default(),
    );
    assert!(
        missing
            .unwrap_err()
            .to_string()
            .starts_with("none.csv: cannot be read: ")
    );
}

#[test]
fn columns_of_the_job_that_do_not_fit_are_named() {
    let hints = |field: &str, place: &str| ListHints {
        columns: vec![(field.to_owned(), place.to_owned())],
        ..ListHints::default()
    };
    let error = read_with("no-heading.csv", &hints("part", "Bezeichnung"))
        .unwrap_err()
        .to_string();
    assert_eq!(
        error,
        "no-heading.csv: no line has a column headed `Bezeichnung` for part; use a heading of the list, or a \
         column number, for every column"
    );
    let error = read_with("comma.csv", &hints("glaze", "1"))
        .unwrap_err()
        .to_string();
    assert!(error.starts_with(
        "comma.csv: `glaze` is not something a column can hold; use one of cabinet, part"
    ));
    // A heading of the list's own words becomes what the job says.
    let text = "Kasten,Teil,Anzahl,Lang,Breit,Thickness\nB2,Side,2,34 1/2,23 1/4,3/4\n";
    let own = ListHints {
        columns: [
            ("cabinet", "Kasten"),
            ("part", "Teil"),
            ("quantity", "Anzahl"),
            ("length", "Lang"),
            ("width", "Breit"),
        ]
        .map(|(a, b)| (a.to_owned(), b.to_owned()))
        .to_vec(),
        ..ListHints::default()
    };
    let list = cutlist::read_bytes(text.as_bytes(), "x.csv", &own).unwrap();
    assert_eq!(list.rows[0].cabinets, ["B2"]);
    assert_eq!(list.rows[0].sizes.len(), 3);
    assert!(list.problems.is_empty());
}

#[test]
fn the_same_bytes_read_the_same() {
    for name in ["titles-and-notes.csv", "split.xlsx", "troubles.csv"] {
        assert_eq!(format!("{:?}", read(name)), format!("{:?}", read(name)));
    }
}

// --- dryfit parts ------------------------------------------------------------------

fn parts(arguments: &[&str]) -> (i32, String, String) {
    let output = assert_cmd::Command::cargo_bin("dryfit")
        .unwrap()
        .current_dir(fixture("lists"))
        .arg("parts")
        .args(arguments)
        .output()
        .unwrap();
    (
        output.status.code().unwrap(),
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
    )
}

#[test]
fn parts_fits_eighty_columns_and_tells_its_outcome() {
    let (status, text, _) = parts(&["comma.csv"]);
    assert_eq!(status, 0);
    assert!(text.contains("Every cell was understood."));
    let (status, text, _) = parts(&["troubles.csv"]);
    assert_eq!(status, 3);
    assert!(text.contains("line 2, column 5: `31/2` can be read as 3 1/2 in or 15 1/2 in"));
    assert!(text.contains("`Glaze gizmo` is not a part known here"));
    let (status, text, _) = parts(&["no-heading.csv"]);
    assert_eq!(status, 2);
    assert!(
        text.contains("\n  [list.columns]\n  cabinet = 1\n"),
        "{text}"
    );
    for name in truth().keys() {
        let (_, text, _) = parts(&[name]);
        let long: Vec<&str> = text
            .lines()
            .filter(|line| line.chars().count() > 80)
            .collect();
        assert!(long.is_empty(), "{name}: {long:#?}");
    }
}

#[test]
fn parts_takes_columns_units_and_sheets() {
    let (status, ..) = parts(&[
        "no-heading.csv",
        "--columns",
        "cabinet=1",
        "part=2",
        "quantity=3",
        "length=4",
        "width=5",
        "thickness=6",
    ]);
    assert_eq!(status, 0);
    let (status, text, _) = parts(&["split.xlsx", "--sheet", "Face frames"]);
    assert_eq!(status, 0);
    assert!(text.contains("3 rows"));
    let (status, _, error) = parts(&["comma.csv", "--columns", "glaze=1"]);
    assert_eq!(status, 2);
    assert!(error.contains("`glaze` is not a field"), "{error}");
    let (status, ..) = parts(&["none.csv"]);
    assert_eq!(status, 2);
}

#[test]
fn parts_prints_json() {
    let (status, text, _) = parts(&["troubles.csv", "--format", "json"]);
    assert_eq!(status, 3);
    let value: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(value["schema"], "dryfit-parts/1");
    assert_eq!(value["understood"], false);
    let list = &value["lists"][0];
    assert_eq!(list["rows"][0]["sizes"][0]["mm"], 774.7);
    assert_eq!(list["rows"][0]["reading"]["role"], "stile");
    assert_eq!(list["rows"][4]["reading"]["role"], Value::Null);
    assert_eq!(list["problems"][0]["line"], 2);
    assert_eq!(list["passed_over"][0]["reason"], "column headings");
}

/// A comma in a part's name without quotation marks moves every size one column on.
#[test]
fn a_row_moved_by_a_comma_is_not_trusted() {
    let text = "Cabinet,Part,Qty,Length,Width,Thickness\nB2,Side, left,1,34 1/2,23 1/4,3/4\n\
                B2,Bottom,1,34 1/2,23,3/4,check\n";
    let list = cutlist::read_bytes(text.as_bytes(), "x.csv", &ListHints::default()).unwrap();
    assert!(list.rows[0].sizes.is_empty());
    let messages: Vec<&str> = list.problems.iter().map(|p| p.message.as_str()).collect();
    assert_eq!(
        messages,
        [
            "`left` is not a count",
            "`3/4` stands in no headed column; its sizes may be in the wrong columns and are not used"
        ]
    );
    // A word at the end of a sound row is a note.
    assert_eq!(list.rows[1].sizes.len(), 3);
    assert_eq!(list.rows[1].note.as_deref(), Some("check"));
}

#[test]
fn a_part_without_sizes_is_named() {
    let text =
        "Cabinet,Part,Qty,Length,Width\nB2,Side,2,34 1/2,23 1/4\nB2,Back,1,,\nB2,Hinges,4,,\n";
    let list = cutlist::read_bytes(text.as_bytes(), "x.csv", &ListHints::default()).unwrap();
    assert_eq!(list.rows.len(), 3);
    assert_eq!(list.problems.len(), 1);
    assert_eq!(list.problems[0].message, "`Back` has no size in this row");
}

#[test]
fn every_column_name_is_documented() {
    let docs = include_str!("../docs/lists.md");
    for name in cutlist::field_names() {
        assert!(docs.contains(&format!("`{name}`")), "{name}");
    }
}
