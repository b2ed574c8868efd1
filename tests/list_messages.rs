//! What is said of a list's cells: every problem with what to do about it, what
//! was made of the columns, and which lines are no rows.

use dryfit::cutlist::{CutList, ListHints, read_bytes};
use std::io::Write as _;

const HEAD: &str = "Cabinet,Part,Qty,Length (in),Width (in),Thickness (in)";

fn read(text: &str) -> CutList {
    read_bytes(text.as_bytes(), "list.csv", &ListHints::default()).unwrap()
}

/// Problems as `message; advice`.
fn problems(list: &CutList) -> Vec<String> {
    list.problems
        .iter()
        .map(|problem| format!("{}; {}", problem.message, problem.advice))
        .collect()
}

/// A row under [`HEAD`], and what is wrong with it.
const ROWS: [(&str, &str); 18] = [
    (
        "B1,Side,2,-34 1/2,23,3/4",
        "`-34 1/2` is negative; write the size without a minus sign",
    ),
    (
        "B1,Side,2,34 1/0,23,3/4",
        "`34 1/0` has a zero below the fraction line; correct the fraction",
    ),
    (
        "B1,Side,2,99999999999999999999999,23,3/4",
        "`99999999999999999999999` is beyond any size that can be held; correct the number",
    ),
    ("B1,Side,2,34 spans,23,3/4", "; use in, ft, mm, cm or m"),
    (
        "B1,Side,2,2026-03-01,23,3/4",
        "; set the column to text in the spreadsheet and type the fraction again",
    ),
    (
        "B1,Side,2,0,23,3/4",
        "`0` is no size for a part; write the size, or leave the cell empty",
    ),
    (
        "B1,Side,2,999999,23,3/4",
        "`999999` is longer than any part; correct the number or its unit",
    ),
    (
        "B1,Side,2,,,",
        "`Side` has no size in this row; write its sizes, or take the row out",
    ),
    (
        "B1,Side,,34,23,3/4",
        "this row does not say how many; write a whole number of pieces",
    ),
    (
        "B1,Side,two or so,34,23,3/4",
        "`two or so` is not a count; write a whole number of pieces",
    ),
    (
        "B1,\"Side\" x,34",
        "its quotation marks do not pair; close the quotes, or leave them out",
    ),
    (
        "B1,Side,2,5/4,23,3/4",
        "quarters of an inch also name rough stock",
    ),
    (
        "B1,Side,2,34,1/116,3/4",
        "the fraction line may be out of place; write `1 1/16 in` if that is meant",
    ),
    (
        "B1,Side,2,99999999999999999/16,23,3/4",
        "can be read as more than one size: the fraction is more than a whole, as when its space is lost; write the size so that it can be read in one way only",
    ),
    (
        "B1,Side,2,34,23,34",
        "no board is that thick; write `3/4 in` if that is meant",
    ),
    (
        "B1,Side,2,31/32,23,3/4",
        "no part is that narrow; write `3 1/32 in` if that is meant",
    ),
    (
        "B1,Side,2,34,112,3/4",
        "that is very much for a width; write `1 1/2 in` if that is meant",
    ),
    (
        "B1,Side,2,34,23,13/16\nB1,Top,1,30,23,1 3/16\nB1,Shelf,1,30,23,1 3/16",
        "other rows of the list are 1 3/16 in thick; write `1 3/16 in` if that is meant",
    ),
];

#[test]
fn every_problem_of_a_size_says_what_to_do() {
    let mut wrong = Vec::new();
    for (row, said) in ROWS {
        let list = read(&format!("{HEAD}\n{row}\nB1,Bottom,1,30,23,3/4\n"));
        let found = problems(&list);
        if !found.iter().any(|problem| problem.contains(said)) {
            wrong.push(format!("{row}: not {said}: {found:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A whole list, and what is wrong in it.
#[test]
fn every_problem_of_a_mark_says_what_to_do() {
    let row = "B1,Side,2,34,23,3/4";
    let mut wrong = Vec::new();
    for (heading, cell, said) in [
        (
            "Hand",
            "middle",
            "`middle` is neither left nor right; write left, right or nothing",
        ),
        (
            "Grain",
            "diagonal",
            "`diagonal` does not say which way the grain runs; write length, width or none",
        ),
        (
            "Edge band",
            "somewhere",
            "`somewhere` does not say which edges carry band; write how many edges, as in 2L 1W, or x for an edge",
        ),
    ] {
        let found = problems(&read(&format!("{HEAD},{heading}\n{row},{cell}\n")));
        if !found.iter().any(|problem| problem == said) {
            wrong.push(format!("{heading} {cell}: {found:?}"));
        }
    }
    let unitless = "Cabinet,Part,Qty,Length,Width,Thickness\nB1,Side,2,34,23,3\n";
    let ditto = format!("{HEAD}\n{row}\nB1,Bottom,1,\"\"\"\",23,3/4\n");
    for (text, said) in [
        (
            unitless,
            "`34` has no unit, and nothing here tells inches from millimetres; write the unit into the heading, as in `Length (mm)`, or say it with --units",
        ),
        (
            &*ditto,
            "repeats the line above instead of giving a size; write the size out",
        ),
    ] {
        let found = problems(&read(text));
        if !found.iter().any(|problem| problem.contains(said)) {
            wrong.push(format!("{text}: {found:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn what_was_made_of_a_list_is_said() {
    let mut wrong = Vec::new();
    for (text, said) in [
        (
            "Part,Qty,Length (in),Width (in)\nSide,2,34,23\nBottom,1,30,23\n".to_owned(),
            "no row says which cabinet it is for",
        ),
        (
            format!("{HEAD}\nB1,Side,2,34,23,3/4\n,Bottom,1,30,23,3/4\n,Back,1,30,33,1/4\n"),
            "2 rows without a cabinet of their own take the one above them",
        ),
        (
            "Cabinet,Part,Qty,Length,Width,Thickness\nB1,Side,2,34,23,3\n".to_owned(),
            "nothing tells whether plain numbers are inches or millimetres",
        ),
        (
            format!("{HEAD},Supplier code\nB1,Side,2,34,23,3/4,X\n"),
            "columns not used: ",
        ),
        (
            format!("{HEAD}\nB1,Side,2,34,23,3/4,left over\n"),
            "cells without a column heading in 1 rows are taken as notes",
        ),
    ] {
        let list = read(&text);
        if !list.reading.iter().any(|line| line.contains(said)) {
            wrong.push(format!("{said}: {:?}", list.reading));
        }
    }
    let ruled = read(&format!(
        "{HEAD}\nB1,Side,2,34,23,3/4\n-----,----,---,---,---,---\n,,1,,,\n"
    ));
    for said in ["a drawn line", "a note: no size stands in it"] {
        if !ruled.passed_over.iter().any(|line| line.reason == said) {
            wrong.push(format!("{said}: {:?}", ruled.passed_over));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Byte order marks as in the Unicode Standard, 23.8.
#[test]
fn the_encoding_of_a_list_is_said() {
    let text = format!("{HEAD}\nB1,Side,2,34,23,3/4\n");
    let wide = |mark: &[u8], pair: fn(u16) -> [u8; 2]| -> Vec<u8> {
        mark.iter()
            .copied()
            .chain(text.encode_utf16().flat_map(pair))
            .collect()
    };
    for (bytes, said) in [
        (
            [b"\xef\xbb\xbf".as_slice(), text.as_bytes()].concat(),
            "text in UTF-8 with a byte order mark",
        ),
        (
            wide(b"\xff\xfe", u16::to_le_bytes),
            "text in UTF-16, little end first",
        ),
        (
            wide(b"\xfe\xff", u16::to_be_bytes),
            "text in UTF-16, big end first",
        ),
        (
            wide(b"", u16::to_le_bytes),
            "text in UTF-16, little end first, unmarked",
        ),
        (
            wide(b"", u16::to_be_bytes),
            "text in UTF-16, big end first, unmarked",
        ),
    ] {
        let list = read_bytes(&bytes, "list.csv", &ListHints::default()).unwrap();
        assert_eq!(list.reading[0], said);
        assert_eq!(list.rows.len(), 1, "{said}");
    }
}

/// Columns whose heading alone does not settle what they hold.
#[test]
fn what_a_column_is_taken_for_is_said_with_the_reason() {
    let mut wrong = Vec::new();
    for (text, said) in [
        (
            "Item,Cabinet,Part,Qty,Length (in),Width (in)\n1,B1,Side,2,34,23\n2,B1,Bottom,1,30,23\n3,B1,Back,1,30,33\n",
            "its cells number the lines",
        ),
        (
            "Item,Cabinet,Part,Length (in),Width (in)\n2,B1,Side,34,23\n1,B1,Bottom,30,23\n2,B1,Shelf,30,22\n",
            "its cells are counts",
        ),
        (
            "Item,Part,Qty,Length (in),Width (in)\nB1,Side,2,34,23\nB1,Bottom,1,30,23\nB2,Side,2,34,23\n",
            "its cells are names, and no other column has cabinets",
        ),
        (
            "Item,Cabinet,Qty,Length (in),Width (in)\nSide,B1,2,34,23\nBottom,B1,1,30,23\nShelf,B1,1,30,22\n",
            "its cells are part names",
        ),
        (
            "Cabinet,Part,Qty,Length (in),Rough length (in),Width (in)\nB1,Side,2,34,35,23\n",
            "a rough size is not the part's",
        ),
        (
            "Cabinet,Part,Qty,Length (in),Length,Width (in)\nB1,Side,2,34,34,23\n",
            "is taken for that",
        ),
        (
            "Cabinet,Part,Qty,Length,Width,Thickness\nB1,Side,2,34.5,23.5,0.75\nB1,Bottom,1,30.5,23.5,0.75\n",
            "is too small for millimetres",
        ),
        (
            "Cabinet,Part,Qty,Length (in),Width (in)\n\"B1, B2\",Side,2,34,23\n\"B1, B2\",Shelf,1,30,22\n",
            "sides, bottoms or backs in 1 rows are one cabinet's",
        ),
        (
            "Cabinet,Part,Qty,Length (in),Width (in)\n\"B1, B2\",Side,4,34,23\n\"B1, B2\",Shelf,2,30,22\n",
            "sides, bottoms or backs in 1 rows are those of all the row's cabinets",
        ),
        (
            "Cabinet,Part,Qty,Length (in),Width (in)\n\"B1, B2\",Shelf,2,30,22\n",
            "quantities are for each cabinet of a row: assumed; nothing in the list tells",
        ),
        (
            "Cabinet B1\nPart,Qty,Length (in),Width (in)\nSide,2,34,23\nBottom,1,30,23\n",
            "every row is for the cabinet of `",
        ),
        (
            "Cabinet,Part,Qty,Size (in)\nB1,Side,2,3/4 x 23 x 34\nB1,Bottom,1,3/4 x 23 x 30\n",
            "three sizes in a cell are thickness x width x length: the smallest stands first in 2, last in 0",
        ),
        (
            "Cabinet,Part,Qty,Size (in)\nB1,Side,2,34 x 23 x 3/4\nB1,Bottom,1,30 x 23 x 3/4\n",
            "three sizes in a cell are length x width x thickness: the smallest stands last in 2, first in 0",
        ),
        (
            "Cabinet,Part,Part name,Qty,Length (in),Width (in)\nB1,X1,Side,2,34,23\nB1,X2,Bottom,1,30,23\n",
            "column 2 `Part` read as note: part names stand under `Part name`",
        ),
        (
            "Item,Cabinet,Part,Qty,Length (in),Width (in)\nA1,B1,Side,2,34,23\nA2,B1,Bottom,1,30,23\n",
            "column 1 `Item` read as number: another column has the cabinets",
        ),
        (
            "Item,Cabinet,Part,Qty,Length,Width\nin,B1,Side,2,34,23\nin,B1,Bottom,1,30,23\n",
            "column 1 `Item` read as unit: its cells are units",
        ),
        (
            "Part,Qty,Length (in),Width (in)\nB1 Side,2,34,23\nB2 Bottom,1,30,23\n",
            "no column has cabinets; the part's name names one in 2 of 2 rows",
        ),
        (
            "Doors to order\n\nCabinet,Piece,Qty,Width (in),Height (in)\nB1,Left,1,12,23\nB1,Right,1,12,23\n",
            "`Doors to order` tells that this is a list of doors",
        ),
        (
            "Base frames\n\nCabinet,Part,Qty,Length (in),Width (in)\nB1,Front,1,30,4\nB1,Back,1,30,4\n",
            "`Base frames` tells that this is a list of parts of a separate base",
        ),
    ] {
        let list = read(text);
        if !list.reading.iter().any(|line| line.contains(said)) {
            wrong.push(format!("{said}: {:?}", list.reading));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_door_that_hangs_on_no_side_is_asked_about() {
    let list = read(
        "Boring list\n\nDoor,Cabinet,Hinge side,Height (in),Bore 1 (in),Bore 2 (in)\nD1,B1,middle,28,4,24\nD2,B1,left,28,4,24\n",
    );
    assert_eq!(
        problems(&list),
        [
            "`middle` does not say which edge carries the hinges; write left or right, seen from the front"
        ]
    );
}

#[test]
fn hands_may_be_both() {
    let head = "Cabinet,Part,Qty,Length (in),Width (in),Hand";
    for text in ["both", "left and right", "l/r", "1L 1R"] {
        let list = read(&format!("{head}\nB1,Side,2,34,23,{text}\n"));
        assert!(problems(&list).is_empty(), "{text}: {:?}", list.problems);
    }
}

/// A book of two sheets, or of one and one that is none.
fn book(sheets: &[(&str, &str)]) -> Vec<u8> {
    let kind = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    let (mut entries, mut related, mut parts) = (String::new(), String::new(), Vec::new());
    for (at, (name, rows)) in sheets.iter().enumerate() {
        let (number, chart) = (at + 1, rows.is_empty());
        let of = if chart { "chartsheet" } else { "worksheet" };
        let part = format!("{of}s/sheet{number}.xml");
        entries += &format!("<sheet name=\"{name}\" sheetId=\"{number}\" r:id=\"r{number}\"/>");
        related +=
            &format!("<Relationship Id=\"r{number}\" Type=\"{kind}/{of}\" Target=\"{part}\"/>");
        let cells = |row: &str| -> String {
            let cell = |text| format!("<c t=\"inlineStr\"><is><t>{text}</t></is></c>");
            row.split(',').map(cell).collect()
        };
        let rows = rows.lines().map(|row| format!("<row>{}</row>", cells(row)));
        let rows: String = rows.collect();
        parts.push((
            format!("xl/{part}"),
            format!("<{of} xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\"><sheetData>{rows}</sheetData></{of}>"),
        ));
    }
    parts.push((
        "xl/workbook.xml".to_owned(),
        format!("<workbook xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\" xmlns:r=\"{kind}\"><sheets>{entries}</sheets></workbook>"),
    ));
    let relations = |inner: &str| {
        format!(
            "<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">{inner}</Relationships>"
        )
    };
    parts.push(("xl/_rels/workbook.xml.rels".to_owned(), relations(&related)));
    parts.push((
        "_rels/.rels".to_owned(),
        relations(&format!(
            "<Relationship Id=\"r1\" Type=\"{kind}/officeDocument\" Target=\"xl/workbook.xml\"/>"
        )),
    ));
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, text) in parts {
        let options = zip::write::SimpleFileOptions::default();
        zip.start_file(name, options).unwrap();
        zip.write_all(text.as_bytes()).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// Parts of a workbook as in ISO/IEC 29500-1, 12.3 and 18.2.
#[test]
fn sheets_that_hold_no_list_are_passed_over_with_the_reason() {
    let list = "Cabinet,Part,Qty,Length (in),Width (in)\nB1,Side,2,34,23\n";
    let book = book(&[
        ("List", list),
        ("Thoughts", "call the mill\n"),
        ("Chart", ""),
    ]);
    let reasons = |hints: &ListHints| -> Vec<String> {
        let list = read_bytes(&book, "list.xlsx", hints).unwrap();
        assert_eq!(list.rows.len(), 1);
        let passed = list.passed_over.iter();
        let passed = passed.filter(|line| line.source.sheet.as_deref() != Some("List"));
        let said = passed.map(|line| (line.source.sheet.clone().unwrap(), &line.reason));
        let mut said: Vec<String> = said.map(|(sheet, why)| format!("{sheet}: {why}")).collect();
        said.sort();
        said
    };
    assert_eq!(
        reasons(&ListHints::default()),
        [
            "Chart: a sheet without cells",
            "Thoughts: a sheet without column headings of a list"
        ]
    );
    let named = ListHints {
        sheet: Some("list".to_owned()),
        ..ListHints::default()
    };
    assert_eq!(
        reasons(&named),
        [
            "Chart: another sheet is to be read",
            "Thoughts: another sheet is to be read"
        ]
    );
}
