//! Workbooks: no panic, bounded memory. The first byte says what the rest is:
//! the file itself, or the sheet of an XLSX or ODS file packed anew, since
//! changed bytes hardly ever make a whole archive.
#![no_main]

use dryfit::cutlist::{ListHints, read_bytes};
use libfuzzer_sys::fuzz_target;
use std::io::Write as _;
use zip::write::SimpleFileOptions;

const TYPES: &str = r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="xml" ContentType="application/xml"/></Types>"#;
const RELATIONS: &str = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#;
const BOOK: &str = r#"<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="List" sheetId="1" r:id="r1"/></sheets></workbook>"#;
const BOOK_RELATIONS: &str = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="r2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings" Target="sharedStrings.xml"/></Relationships>"#;
const STRINGS: &str = r#"<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><t>Cabinet</t></si><si><t>Part</t></si><si><t>Qty</t></si><si><t>Length</t></si><si><t>Width</t></si><si><t>Side</t></si><si><t>34 1/2</t></si></sst>"#;
const ODS: &str = "application/vnd.oasis.opendocument.spreadsheet";
const MANIFEST: &str = r#"<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"><manifest:file-entry manifest:full-path="/" manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/></manifest:manifest>"#;

fn pack(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for (name, content) in files {
        zip.start_file(*name, stored).unwrap();
        zip.write_all(content).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

fuzz_target!(|bytes: &[u8]| {
    let Some((first, bytes)) = bytes.split_first() else {
        return;
    };
    let (name, file) = match first % 4 {
        0 => ("list.xlsx", bytes.to_vec()),
        1 => (
            "list.xlsx",
            pack(&[
                ("[Content_Types].xml", TYPES.as_bytes()),
                ("_rels/.rels", RELATIONS.as_bytes()),
                ("xl/workbook.xml", BOOK.as_bytes()),
                ("xl/_rels/workbook.xml.rels", BOOK_RELATIONS.as_bytes()),
                ("xl/sharedStrings.xml", STRINGS.as_bytes()),
                ("xl/worksheets/sheet1.xml", bytes),
            ]),
        ),
        2 => (
            "list.xlsx",
            pack(&[
                ("[Content_Types].xml", TYPES.as_bytes()),
                ("_rels/.rels", RELATIONS.as_bytes()),
                ("xl/workbook.xml", bytes),
                ("xl/_rels/workbook.xml.rels", BOOK_RELATIONS.as_bytes()),
                ("xl/sharedStrings.xml", bytes),
                ("xl/worksheets/sheet1.xml", bytes),
            ]),
        ),
        _ => (
            "list.ods",
            pack(&[
                ("mimetype", ODS.as_bytes()),
                ("META-INF/manifest.xml", MANIFEST.as_bytes()),
                ("content.xml", bytes),
            ]),
        ),
    };
    let _ = read_bytes(&file, name, &ListHints::default());
});
