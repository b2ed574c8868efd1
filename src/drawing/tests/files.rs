use super::{drawing, line, pairs, read, section};
use crate::drawing::{DrawingError, read_bytes, read_file};

fn plain() -> String {
    drawing("", &(line(1.0) + "0 TEXT\n10 0\n20 0\n40 1\n1 B2 FRONT\n"))
}

#[test]
fn line_ends_padding_comments_and_marks_do_not_matter() {
    let plain = plain();
    let want = read(&plain);
    assert_eq!((want.segments.len(), want.texts.len()), (1, 1));
    for text in [
        plain.replace('\n', "\r\n"),
        plain.replace('\n', "\r"),
        plain.replace('\n', "\r\r\n"),
        plain.replace('\n', "   \n"),
        format!("\u{feff}{plain}"),
        format!("999\na comment\n{plain}"),
        format!("\n\n{plain}"),
        format!("{plain}\n\n\x1a"),
        format!("{plain}trash beyond the end\n{{}}\n"),
        plain.trim_end().to_owned(),
    ] {
        let got = read(&text);
        assert_eq!(got.segments, want.segments, "{text:?}");
        assert_eq!(got.texts[0].text.trim_end(), "B2 FRONT", "{text:?}");
        assert!(got.warnings.is_empty(), "{text:?} {:?}", got.warnings);
    }
}

#[test]
fn sections_may_be_missing_or_in_any_order() {
    let entities = section(
        "ENTITIES",
        "0 INSERT\n2 P\n8 OFF\n10 5\n20 0\n0 LINE\n8 OFF\n10 0\n20 0\n11 1\n21 1",
    );
    let blocks = section(
        "BLOCKS",
        "0 BLOCK\n2 P\n10 0\n20 0\n0 LINE\n8 T\u{fc}r\n10 0\n20 0\n11 1\n21 0\n0 ENDBLK",
    );
    let tables = section(
        "TABLES",
        "0 TABLE\n2 LAYER\n0 LAYER\n2 OFF\n62 -1\n0 ENDTAB",
    );
    let header = section(
        "HEADER",
        "9 $ACADVER\n1 AC1015\n9 $DWGCODEPAGE\n3 ANSI_1252",
    );
    let parts = [&header, &tables, &blocks, &entities];
    for order in [
        [0, 1, 2, 3],
        [3, 2, 1, 0],
        [3, 0, 1, 2],
        [1, 3, 2, 0],
        [2, 3, 0, 1],
    ] {
        let text: String = order.iter().map(|&i| parts[i].as_str()).collect();
        let text = pairs(&(text + "0 EOF"));
        // Latin-1 bytes, which only the header says how to read.
        let bytes: Vec<u8> = text.chars().map(|c| u8::try_from(c).unwrap()).collect();
        let s = read_bytes(&bytes, "test.dxf").unwrap();
        assert_eq!(s.segments.len(), 1, "{order:?}");
        assert_eq!(s.segments[0].a, [5.0, 0.0, 0.0], "{order:?}");
        let layer = s.sources[s.segments[0].source as usize].layer;
        assert_eq!(s.layers[layer as usize], "Tür", "{order:?}");
        assert_eq!(s.skipped.values().sum::<u64>(), 1, "{order:?}");
        let twice = s.warnings.iter().any(|w| w.contains("read twice"));
        assert_eq!(twice, order != [0, 1, 2, 3], "{order:?} {:?}", s.warnings);
    }
    let s = read(&pairs(&(section("ENTITIES", &line(0.0)) + "0 EOF")));
    assert_eq!((s.segments.len(), s.version.as_str()), (1, ""));
}

#[test]
fn a_file_cut_short_is_read_as_far_as_it_goes() {
    let text = drawing("", &(line(1.0) + &line(2.0)));
    let cut = &text[..text.rfind(" 11").unwrap()];
    let s = read(cut);
    assert_eq!(s.segments.len(), 1);
    assert!(
        s.warnings
            .iter()
            .any(|w| w.contains("without its EOF mark")),
        "{:?}",
        s.warnings
    );
    let s = read(&cut[..cut.len() - 3]);
    assert!(
        s.warnings.iter().any(|w| w.contains("breaks off")),
        "{:?}",
        s.warnings
    );
}

#[test]
fn what_is_no_dxf_is_refused_with_a_reason() {
    for (bytes, reason) in [
        (&b""[..], "the file is empty"),
        (b"AC1027\0\0", "it looks like a DWG drawing"),
        (b"Part,Length\nSide,34\n", "it holds no DXF section"),
        (b"\0\x01\x02\xff\xff", "it holds no DXF section"),
    ] {
        let error = read_bytes(bytes, "job/b2.dxf").unwrap_err();
        assert_eq!(
            error.to_string(),
            format!(
                "job/b2.dxf: not a DXF file: {reason}; export the drawing as DXF (ASCII or binary)"
            )
        );
    }
}

#[test]
fn a_missing_file_is_named() {
    let error = read_file(std::path::Path::new("no/such.dxf"), "such.dxf").unwrap_err();
    assert!(matches!(error, DrawingError::Io { .. }));
    assert!(
        error.to_string().starts_with("such.dxf: cannot be read: "),
        "{error}"
    );
    let error = read_file(&std::env::temp_dir(), "folder").unwrap_err();
    assert!(
        error.to_string().starts_with("folder: cannot be read: "),
        "{error}"
    );
}

/// ASCII pairs as a binary file, with two-byte codes or with one-byte ones.
fn binary(text: &str, wide: bool) -> Vec<u8> {
    let mut out = crate::drawing::groups::BINARY_SENTINEL.to_vec();
    let mut lines = text.lines();
    while let (Some(code), Some(value)) = (lines.next(), lines.next()) {
        let code: i16 = code.trim().parse().unwrap();
        if wide {
            out.extend(code.to_le_bytes());
        } else if code > 254 {
            out.push(255);
            out.extend(code.to_le_bytes());
        } else {
            out.push(u8::try_from(code).unwrap());
        }
        match code {
            10..=59 | 1010..=1059 => out.extend(value.parse::<f64>().unwrap().to_le_bytes()),
            60..=79 | 1060..=1070 => out.extend(value.parse::<i16>().unwrap().to_le_bytes()),
            _ => {
                out.extend(value.as_bytes());
                out.push(0);
            }
        }
    }
    out
}

#[test]
fn binary_files_read_as_ascii_ones() {
    let text = drawing(
        "0 BLOCK\n2 P\n10 0\n20 0\n0 LINE\n10 0\n20 0\n11 1\n21 0\n0 ENDBLK",
        &(line(1.0)
            + "0 INSERT\n2 P\n10 5\n20 0\n70 3\n44 2\n0 DIMENSION\n70 32\n10 0\n20 5\n13 0\n23 0\n14 36\n24 0\n50 0\n1001 ACAD\n1000 DSTYLE\n1070 144\n1040 25.4\n"),
    );
    let want = read(&text);
    for wide in [true, false] {
        for comment in ["", "999\nfirst\n"] {
            let bytes = binary(&format!("{comment}{text}"), wide);
            let got = read_bytes(&bytes, "test.dxf").unwrap();
            assert_eq!(got.segments, want.segments);
            assert_eq!(got.dimensions, want.dimensions);
            assert!(got.warnings.is_empty(), "{:?}", got.warnings);
            // Positions are byte offsets.
            let at = usize::try_from(got.sources[0].position).unwrap();
            assert!(bytes[at..].starts_with(if wide { b"\0\0LINE\0" } else { b"\0LINE\0" }));
        }
    }
    let bytes = binary(&text, true);
    let s = read_bytes(&bytes[..bytes.len() / 2], "test.dxf").unwrap();
    assert!(
        s.warnings
            .iter()
            .any(|w| w.contains("breaks off") && w.contains("byte")),
        "{:?}",
        s.warnings
    );
}

#[test]
fn an_unknown_code_page_is_said() {
    let header = section("HEADER", "9 $DWGCODEPAGE\n3 ANSI_9999");
    let s = read(&pairs(
        &(header + &section("ENTITIES", &line(0.0)) + "0 EOF"),
    ));
    assert_eq!(
        s.warnings,
        ["code page ANSI_9999 is not known; texts are read as Windows-1252"]
    );
}
