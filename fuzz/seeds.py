"""Writes the seeds of the fuzzers: small files that reach every branch.

    python fuzz/seeds.py
"""

import struct
from pathlib import Path

SEEDS = Path(__file__).parent / "seeds"
FOLDER = SEEDS / "read_drawing"
FIXTURES = Path(__file__).parent.parent / "fixtures"

HEADER = "9 $ACADVER|1 AC1032|9 $DWGCODEPAGE|3 ANSI_1252|9 $INSUNITS|70 4|9 $DIMLFAC|40 2"
TABLES = (
    "0 TABLE|2 LTYPE|0 LTYPE|2 LT|73 2|49 3|49 -1|0 ENDTAB|0 TABLE|2 LAYER|0 LAYER|2 OFF|62 -7|"
    "0 LAYER|2 HAIR|6 DASHED|70 1|0 ENDTAB|0 TABLE|2 DIMSTYLE|0 DIMSTYLE|2 TENTH|144 10|0 ENDTAB|"
    "0 TABLE|2 BLOCK_RECORD|0 BLOCK_RECORD|2 P|70 1|0 ENDTAB"
)
LINE = "0 LINE|5 2F|8 CASE|10 0|20 1|11 10|21 1"
BLOCKS = (
    f"0 BLOCK|2 P|10 1|20 1|{LINE}|0 CIRCLE|10 0|20 0|40 3|0 TEXT|10 0|20 0|40 1|1 \\U+00BD%%c|0 ENDBLK|"
    "0 BLOCK|2 Q|10 0|20 0|0 INSERT|2 P|10 3|20 3|41 -2|70 2|44 5|0 ENDBLK|"
    "0 BLOCK|2 R|10 0|20 0|0 INSERT|2 R|10 1|20 1|0 ENDBLK"
)
ENTITIES = {
    "lines": f"{LINE}|{LINE}|8 HAIR|0 3DFACE|10 0|20 0|11 5|21 0|12 5|22 5|13 0|23 5|70 2|"
    "0 SOLID|10 0|20 0|11 5|21 0|12 0|22 5|13 5|23 5|230 -1",
    "inserts": "0 INSERT|2 Q|10 3|20 3|50 30|230 -1|0 ATTRIB|10 1|20 1|40 1|1 B2|0 SEQEND|0 INSERT|2 R|10 0|20 0|"
    "0 INSERT|2 P|8 OFF|10 1|20 1|41 2|42 3|71 2|45 9",
    "polylines": "0 LWPOLYLINE|70 1|10 0|20 0|42 0.5|10 5|20 0|10 5|20 5|0 POLYLINE|70 1|0 VERTEX|10 0|20 0|42 -1|"
    "0 VERTEX|10 5|20 0|0 SEQEND|0 POLYLINE|70 16|71 2|72 2|0 VERTEX|10 0|20 0|0 VERTEX|10 5|20 0|"
    "0 VERTEX|10 0|20 4|0 VERTEX|10 4|20 4|0 SEQEND|0 POLYLINE|70 64|0 VERTEX|10 0|20 0|70 192|"
    "0 VERTEX|10 9|20 0|70 192|0 VERTEX|10 0|20 9|70 192|0 VERTEX|70 128|71 1|72 -2|73 3|0 SEQEND",
    "curves": "0 ARC|10 0|20 0|40 2|50 10|51 200|0 ELLIPSE|10 0|20 0|11 3|21 1|40 0.4|41 1|42 2|"
    "0 SPLINE|71 2|40 0|40 0|40 0|40 1|40 1|40 1|10 0|20 0|10 1|20 1|10 2|20 0|41 1|41 0.7|41 1",
    "hatches": "0 HATCH|10 0|20 0|30 0|91 2|92 2|72 1|73 1|93 2|10 0|20 0|42 1|10 5|20 0|97 0|92 1|93 4|"
    "72 1|10 0|20 0|11 7|21 0|72 2|10 3|20 3|40 2|50 0|51 90|73 0|"
    "72 3|10 0|20 0|11 2|21 0|40 0.5|50 0|51 90|73 1|"
    "72 4|94 1|95 4|96 2|40 0|40 0|40 1|40 1|10 0|20 0|10 3|20 3|97 0|75 0",
    "dimensions": "0 DIMENSION|2 P|3 TENTH|70 32|10 0|20 5|13 0|23 0|14 36|24 0|50 0|1 <> TYP|42 36|1001 ACAD|"
    "1000 DSTYLE|1002 {|1070 144|1040 25.4|1002 }|0 DIMENSION|70 37|10 5|20 5|13 9|23 0|14 0|24 3|15 0|25 0|"
    "0 DIMENSION|70 102|10 1|20 1|13 8|23 5|14 8|24 9|0 DIMENSION|70 4|10 0|20 0|15 3|25 4",
    "texts": "0 MTEXT|10 0|20 0|40 1|71 5|3 {\\fArial;a|1 \\S1/2;}\\P%%d^I\\M+194E0|11 0|21 1|"
    "0 TEXT|10 0|20 0|40 1|1 x|72 5|11 9|21 0|0 MULTILEADER|304 fix\\Pshelf|12 7|22 8|41 2|171 2",
    "paper": "0 VIEWPORT|67 1|10 5|20 4|40 6|41 4|69 2|12 1|22 2|45 48|51 30|0 LINE|67 1|10 0|20 0|11 1|21 1",
}


def pairs(text):
    return [(int(p.split(" ", 1)[0]), p.split(" ", 1)[1]) for p in text.split("|")]


def section(name, body):
    return [(0, "SECTION"), (2, name), *pairs(body), (0, "ENDSEC")]


def drawing(entities, order="HTBE"):
    parts = {
        "H": section("HEADER", HEADER),
        "T": section("TABLES", TABLES),
        "B": section("BLOCKS", BLOCKS),
        "E": section("ENTITIES", entities),
    }
    return [pair for key in order for pair in parts[key]] + [(0, "EOF")]


def ascii_file(groups):
    return "".join(f"{code:>3}\n{value}\n" for code, value in groups).encode("latin-1")


def binary_file(groups, wide):
    out = bytearray(b"AutoCAD Binary DXF\r\n\x1a\0")
    for code, value in groups:
        if wide:
            out += struct.pack("<h", code)
        elif code > 254:
            out += b"\xff" + struct.pack("<h", code)
        else:
            out.append(code)
        if 10 <= code <= 59 or 140 <= code <= 149 or 210 <= code <= 239 or 1010 <= code <= 1059:
            out += struct.pack("<d", float(value))
        elif 60 <= code <= 79 or 170 <= code <= 179 or 1060 <= code <= 1070:
            out += struct.pack("<h", int(value))
        elif 90 <= code <= 99:
            out += struct.pack("<i", int(value))
        else:
            out += value.encode("latin-1") + b"\0"
    return bytes(out)


LIST = """Cabinet,Part,Qty,Length,Width,Thickness
W60,Side,2,720,560,18
W60,Bottom,1,564,560,18
W60,Top,1,564,560,18
W60,Shelf,1,564,540,18
"""
LISTS = {
    "plain": b"\x00" + LIST.encode(),
    "fractions": b"\x00" + b'Cabinet;Part;Qty;"L x W x T"\nB2;Side;2;34 1/2 x 23 1/4 x 3/4\n;Back;1;35-1/4" x 2\' 2 1/4" x 1/4\n',
    "sections": b"\x02CABINET B2\r\n\r\nDrawer boxes (finished sizes)\r\nPart\tQty\tW\tL\r\nFront/back\t2 ea\t4 1/2\t13\xbd\r\nTotal\t2\r\n",
    "marks": b"\x01\xef\xbb\xbfsep=|\nPart|Qty|Length (mm)|Width (mm)|Edge\nDoor B1-B3|3|715,5|296,5|1L 2W\nDoor|2|715.5||\n",
    "bores": b"\x00Part,Hole,Dia,X,Y,Depth\nW60 Side,1,5,37,64,12\nW60 Side,2,5,37,96,12\n",
    "sixteen": b"\x00" + LIST.encode("utf-16"),
    "torn": b"\x00Cabinet,Part,Qty,Length,Width\nB1,\"Side,2,30 1/2\",24\nB1,Top\"\"\"\n3/4/24,Jan-16,,1e9,-5\n",
}
SHEET = (
    '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
    '<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c><c r="C1" t="s"><v>2</v></c>'
    '<c r="D1" t="s"><v>3</v></c><c r="E1" t="inlineStr"><is><t>Width</t></is></c></row>'
    '<row r="2"><c r="A2" t="str"><v>B2</v></c><c r="B2" t="s"><v>5</v></c><c r="C2"><v>2</v></c>'
    '<c r="D2" t="s"><v>6</v></c><c r="E2"><f>1+1</f><v>23.25</v></c><c r="ZZ9" t="b"><v>1</v></c></row>'
    "</sheetData></worksheet>"
)
BOOK = (
    '<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" '
    'xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets>'
    '<sheet name="List" sheetId="1" r:id="r1"/><sheet name="Old" sheetId="2" state="hidden" r:id="r1"/></sheets></workbook>'
)
OPEN = (
    '<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
    'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0">'
    '<office:body><office:spreadsheet><table:table table:name="List">'
    "<table:table-row><table:table-cell office:value-type='string'><text:p>Part</text:p></table:table-cell>"
    "<table:table-cell office:value-type='string'><text:p>Length</text:p></table:table-cell></table:table-row>"
    "<table:table-row table:number-rows-repeated='3'><table:table-cell office:value-type='string'><text:p>Side</text:p></table:table-cell>"
    "<table:table-cell table:number-columns-repeated='2' office:value-type='float' office:value='34.5'/></table:table-row>"
    "</table:table></office:spreadsheet></office:body></office:document-content>"
)
JOBS = {
    "sizes": '[job]\nname = "Store"\nunits = "mm"\nnotation = "decimals"\n[tolerance]\ndefault = "1/32 in"\nclass = "m"\n'
    '[drawing]\nunits = "mm"\nscale = "1:10"\n[construction]\npreset = "frameless-captured"\n[sizes]\ngroove.depth = "1/4 in"\n'
    'overlay = "stile.width / 3 + 2 * (1/8 - 3/16)"\n[relations]\ntoe-kick.across = "case.width - 2 * 1/16"\n'
    '[cabinet.B2.sizes]\ngroove.depth = "3/8"\n',
    "wrong": 'x = 1\n[sizes]\nlength = "1 +"\nside.length = "((((1))))"\na.b = "b.a"\nb.a = "a.b * 1e9"\n[job]\nunits = "ell"\n',
}
LENGTHS = [
    "34 1/2", "36½", "3'-0 1/2\"", "914,4", "1.234,5 mm", "60 cm", "3/4/24", "Jan-16", "±0.5 mm",
    "131/16", "1 3/16\" +/- 1/64", "\u2033", "1e308", "9223372036854775807 1/2", "-5 ft", "1,234.5", "⅞ in",
]  # fmt: skip


def rectangle(x, y, width, height):
    corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    return [
        f"0 LINE|10 {a[0]}|20 {a[1]}|11 {b[0]}|21 {b[1]}"
        for a, b in zip(corners, corners[1:] + corners[:1])
    ]


def case():
    """A case of 600 x 720 x 560 of 18 mm boards from the front and cut from the side."""
    lines = [rectangle(0, 0, 18, 720), rectangle(582, 0, 18, 720)]
    lines += [rectangle(18, z, 564, 18) for z in (0, 350, 702)]
    lines += [rectangle(1000, 0, 560, 720)]
    lines += [rectangle(1000 + setback, z, 560 - setback, 18) for z, setback in ((0, 0), (350, 20), (702, 0))]
    text = "|0 TEXT|40 40|1 W60 FRONT|10 200|20 -100|0 TEXT|40 40|1 W60 SECTION|10 1200|20 -100"
    dimension = "|0 DIMENSION|70 32|10 0|20 -50|13 0|23 0|14 600|24 0|50 0|1 <>|42 600"
    return "|".join(piece for group in lines for piece in group) + text + dimension


def whole():
    drawn = ascii_file([*section("HEADER", "9 $INSUNITS|70 4"), *section("ENTITIES", case()), (0, "EOF")])
    wrong = LIST.replace("564,560", "600,560", 1).replace("2,720", "1,702")
    job = '[job]\nunits = "mm"\n[construction]\npreset = "frameless-captured"\n'
    for name, listed, stated in (("agrees", LIST, ""), ("wrong", wrong, ""), ("stated", LIST, job)):
        yield name, drawn + b"=== LIST\n" + listed.encode() + b"=== JOB\n" + stated.encode()


def write(target, name, content):
    folder = SEEDS / target
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes(content)


def main():
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, entities in ENTITIES.items():
        (FOLDER / f"{name}.dxf").write_bytes(ascii_file(drawing(entities)))
    everything = "|".join(ENTITIES.values())
    (FOLDER / "entities-first.dxf").write_bytes(ascii_file(drawing(everything, "EBTH")))
    (FOLDER / "narrow.dxf").write_bytes(binary_file(drawing(everything), False))
    (FOLDER / "wide.dxf").write_bytes(binary_file(drawing(everything), True))
    for name, content in LISTS.items():
        write("read_list", name, content)
    write("read_workbook", "sheet", b"\x01" + SHEET.encode())
    torn = SHEET.replace("</v></c>", "</<v>6</v></c><c r=\"preadsheetml\"/>", 1)
    write("read_workbook", "torn", b"\x01" + torn.encode())
    write("read_workbook", "book", b"\x02" + BOOK.encode())
    write("read_workbook", "open", b"\x03" + OPEN.encode())
    for kind in ("list.xlsx", "list.ods", "dates.xlsx"):
        write("read_workbook", kind, b"\x00" + (FIXTURES / "lists" / kind).read_bytes())
    for name, content in JOBS.items():
        write("read_job_file", name, content.encode())
    for number, text in enumerate(LENGTHS):
        write("read_length", f"size-{number:02}", text.encode())
    for name, content in whole():
        write("whole_check", name, content)


if __name__ == "__main__":
    main()
