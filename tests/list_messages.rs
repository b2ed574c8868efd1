//! What is said of a list's cells: every problem with what to do about it, what
//! was made of the columns, and which lines are no rows.

use dryfit::cutlist::{CutList, ListHints, read_bytes};

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
const ROWS: [(&str, &str); 12] = [
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
    ] {
        let list = read(text);
        if !list.reading.iter().any(|line| line.contains(said)) {
            wrong.push(format!("{said}: {:?}", list.reading));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
