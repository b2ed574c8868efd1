//! What the reader of lists says of rarer lists: how it read them, why a size is
//! doubtful, what it passed over.

use dryfit::cutlist::{ListHints, read_bytes};

/// All that is said of a list.
fn said(text: &str) -> String {
    match read_bytes(text.as_bytes(), "list.csv", &ListHints::default()) {
        Ok(list) => format!("{list:?}"),
        Err(error) => error.to_string(),
    }
}

#[track_caller]
fn says(text: &str, phrases: &[&str]) {
    let said = said(text);
    for phrase in phrases {
        assert!(said.contains(phrase), "{phrase}\nnot in\n{said}");
    }
}

#[test]
fn how_cells_are_parted_and_where_headings_stand() {
    let rows = "Cabinet,Part,Qty,Length,Width,Thickness\nB1,Side,2,30,23 1/4,3/4\n";
    says(
        rows,
        &["cells separated by comma", "column headings in line 1"],
    );
    let told = format!("sep=;\n{}", rows.replace(',', ";"));
    says(
        &told,
        &[
            "cells separated by semicolon, as its first line says",
            "column headings in line 2",
        ],
    );
    says(&rows.replace(',', "\t"), &["cells separated by tab"]);
    says(
        &rows.replace(',', "|"),
        &["cells separated by vertical bar"],
    );
}

#[test]
fn what_tells_the_unit_of_a_row() {
    says(
        "Cabinet,Part,Qty,Length,Width\nB1,Side,2,30 1/2,23\n",
        &["`30 1/2` in this row is a fraction"],
    );
    says(
        "Cabinet,Part,Qty,Length,Width\nB1,Side,2,762 mm,590\n",
        &["`762 mm` in this row says so"],
    );
    says(
        "Cabinet,Part,Qty,Length,Width\nB1,Side,2,30.625,23.25\n",
        &["is a fraction of an inch in decimals"],
    );
    says(
        "Cabinet,Part,Qty,Length,Width,Unit\nB1,Side,2,762,590,mm\nB1,Bottom,1,864,590,mm\n",
        &["unit column says `mm`"],
    );
}

#[test]
fn what_a_quantity_is_for() {
    says(
        "Cabinet,Part,Qty,Length,Width\n\"B1, B2\",Side,4,30 1/2,23\n",
        &["all cabinets of a row together"],
    );
}

#[test]
fn columns_told_by_their_cells() {
    says(
        "Cabinet,Part,No. of cabinets,Qty,Length,Width\nB1,Side,1,2,30 1/2,23\n",
        &["counts cabinets; that is not used"],
    );
}

#[test]
fn a_separator_that_can_be_two_things() {
    says(
        "Cabinet;Part;Qty;Length;Width;Thickness\nB1;Side;2;720;590;18\nB1;Bottom;1;864;590;18\nB1;Back;1;864;720;1.800\n",
        &["its separator can stand before decimals or after thousands"],
    );
}

#[test]
fn cells_that_hold_no_sizes_and_rows_out_of_step() {
    says(
        "Cabinet,Part,Qty,Size\nB1,Side,2,30 1/2 x 23 1/4 x 3/4\nB1,Bottom,1,33\n",
        &[
            "`33` is not two or three sizes with x between them",
            "write it like 34 1/2 x 23 1/4 x 3/4",
        ],
    );
    says(
        "Cabinet,Part,Qty,Length,Width\nB1,Side,2,30 1/2,23 1/4\nB1,Back, left,1,33,29\n",
        &["put quotation marks around a cell that holds a comma"],
    );
    says(
        "Cabinet,Part,Qty,Length,Width\nB1,Side,2,30 1/2,23 1/4\nB1,,3,,\n",
        &["no part and no size stand in it"],
    );
}

#[test]
fn edges_to_be_banded() {
    for (cell, edges) in [
        ("1 long edge", "along_length: 1, along_width: 0"),
        ("2 long edges", "along_length: 2, along_width: 0"),
        ("both long edges", "along_length: 2, along_width: 0"),
        ("1 short edge", "along_length: 0, along_width: 1"),
        ("2 short edges", "along_length: 0, along_width: 2"),
        ("front and back", "along_length: 2, along_width: 0"),
    ] {
        says(
            &format!("Cabinet,Part,Qty,Length,Width,Banding\nB1,Shelf,2,30 1/2,23,{cell}\n"),
            &[edges],
        );
    }
}

#[test]
fn fronts_of_drawer_boxes() {
    says(
        "Cabinet,Part,Qty,Length,Width\nB1,Drawer front/back,2,14 1/2,4\n",
        &["drawer box front"],
    );
}

#[test]
fn a_broken_workbook_says_how_to_save_it() {
    let broken = [b"PK\x03\x04".as_slice(), &[0; 60]].concat();
    let error = read_bytes(&broken, "list.xlsx", &ListHints::default()).unwrap_err();
    assert!(
        error.to_string().contains("save it again as XLSX or CSV"),
        "{error}"
    );
}
