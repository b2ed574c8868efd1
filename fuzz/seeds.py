"""Writes the seeds of the fuzzers: small files that reach every branch.

    python fuzz/seeds.py
"""

import struct
from pathlib import Path

FOLDER = Path(__file__).parent / "seeds" / "read_drawing"

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


def main():
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, entities in ENTITIES.items():
        (FOLDER / f"{name}.dxf").write_bytes(ascii_file(drawing(entities)))
    everything = "|".join(ENTITIES.values())
    (FOLDER / "entities-first.dxf").write_bytes(ascii_file(drawing(everything, "EBTH")))
    (FOLDER / "narrow.dxf").write_bytes(binary_file(drawing(everything), False))
    (FOLDER / "wide.dxf").write_bytes(binary_file(drawing(everything), True))


if __name__ == "__main__":
    main()
