"""Writes the small drawings in fixtures/dxf with an independent DXF library.

    python tests/oracle/dxf_fixtures.py fixtures/dxf

Needs ezdxf 1.4.5 (PyPI, MIT). The same library version writes the same bytes.
What the drawings hold is told in fixtures/dxf/README.md; what a reader should
find in them is measured by dxf_reference.py.
"""

import math
import os
import sys
from pathlib import Path

if os.environ.get("PYTHONHASHSEED") != "0":
    # The library orders its class table by the hashes of strings.
    os.environ["PYTHONHASHSEED"] = "0"
    os.execv(sys.executable, [sys.executable, *sys.argv])

import ezdxf
from ezdxf.lldxf.const import versions_supported_by_new
from ezdxf.math import Vec2

ezdxf.options.write_fixed_meta_data_for_testing = True

VERSIONS = {
    "AC1009": "r12",
    "AC1015": "r2000",
    "AC1018": "r2004",
    "AC1021": "r2007",
    "AC1024": "r2010",
    "AC1027": "r2013",
    "AC1032": "r2018",
}
assert set(VERSIONS) == set(versions_supported_by_new)


def new(version="AC1024", units=1, encoding=None):
    doc = ezdxf.new(version, setup=["linetypes"])
    if version == "AC1009":
        # Programs of that time knew no $INSUNITS.
        doc.header.hdrvars.pop("$INSUNITS", None)
    else:
        doc.header["$INSUNITS"] = units
    if encoding:
        doc.header["$DWGCODEPAGE"] = encoding[0]
        doc.encoding = encoding[1]
    return doc


def save(doc, folder, name, fmt="asc"):
    doc.saveas(folder / f"{name}.dxf", fmt=fmt)


def everyday(doc):
    """A carcass with a door, drawn with what every version knows."""
    msp = doc.modelspace()
    doc.layers.add("CASE", color=7)
    doc.layers.add("HIDDEN EDGES", color=8, linetype="HIDDEN")
    case = {"layer": "CASE"}
    for a, b in [((0, 0), (24, 0)), ((24, 0), (24, 34.5)), ((24, 34.5), (0, 34.5)), ((0, 34.5), (0, 0))]:
        msp.add_line(a, b, dxfattribs=case)
    for x in (0.75, 23.25):
        msp.add_line((x, 4), (x, 34.5), dxfattribs={"layer": "HIDDEN EDGES"})
    corner = math.tan(math.pi / 8)
    rounded = [
        (1, 0, 0), (35, 0, corner), (36, 1, 0), (36, 29, corner),
        (35, 30, 0), (1, 30, corner), (0, 29, 0), (0, 1, corner),
    ]
    points = [(x + 40, y, b) for x, y, b in rounded]
    if doc.dxfversion == "AC1009":
        msp.add_polyline2d(points, format="xyb", close=True, dxfattribs=case)
    else:
        msp.add_lwpolyline(points, format="xyb", close=True, dxfattribs=case)
    msp.add_circle((3, 30), 0.6889763779527559, dxfattribs=case)
    msp.add_arc((24, 4), 12, 90, 180, dxfattribs={"layer": "CASE", "linetype": "DASHED"})
    msp.add_text("B2 FRONT", height=1.5, dxfattribs={"insert": (6, -4), "layer": "CASE"})
    block = doc.blocks.new("KNOB", base_point=(1, 1))
    block.add_circle((1, 1), 0.5)
    block.add_line((1, 1), (3, 2))
    msp.add_blockref("KNOB", (4, 20), dxfattribs={"layer": "CASE", "rotation": 90, "xscale": 2, "yscale": 2, "zscale": 2})
    dim = msp.add_linear_dim(base=(0, 40), p1=(0, 34.5), p2=(24, 34.5), dimstyle="Standard")
    dim.render()


def versions(folder):
    for version, short in VERSIONS.items():
        for fmt in ("asc", "bin"):
            doc = new(version)
            everyday(doc)
            save(doc, folder, f"everyday-{short}" + ("-binary" if fmt == "bin" else ""), fmt)


def code_pages(folder):
    for (page, codec), text in {
        ("ANSI_1252", "cp1252"): "Tür Größe é",
        ("ANSI_1250", "cp1250"): "skříň dveře",
        ("ANSI_1251", "cp1251"): "шкаф дверь",
        ("ANSI_1253", "cp1253"): "ντουλάπι",
        ("ANSI_932", "cp932"): "戸棚 扉",
        ("ANSI_936", "gbk"): "柜门",
        ("ANSI_949", "cp949"): "찬장",
        ("ANSI_950", "cp950"): "櫃門",
    }.items():
        doc = new("AC1015", units=4, encoding=(page, codec))
        doc.layers.add(text)
        msp = doc.modelspace()
        msp.add_text(text, height=10, dxfattribs={"insert": (0, 0), "layer": text})
        # A character the page does not hold is escaped by the writer.
        msp.add_text(text + " ∅ 门", height=10, dxfattribs={"insert": (0, 20)})
        msp.add_line((0, -5), (100, -5), dxfattribs={"layer": text})
        save(doc, folder, f"page-{page[5:]}")
    for text in ["Tür шкаф 柜门 ½"]:
        for fmt in ("asc", "bin"):
            doc = new("AC1021", units=4)
            msp = doc.modelspace()
            doc.layers.add(text)
            msp.add_mtext(text, dxfattribs={"insert": (0, 0), "char_height": 10, "layer": text})
            msp.add_line((0, -5), (100, -5), dxfattribs={"layer": text})
            save(doc, folder, "page-utf8" + ("-binary" if fmt == "bin" else ""), fmt)


def inserts(folder):
    doc = new()
    msp = doc.modelspace()
    part = doc.blocks.new("PART", base_point=(1, 1, 0))
    part.add_line((3, 2), (9, 2))
    part.add_line((9, 2), (9, 5))
    part.add_arc((3, 2), 2, 30, 200)
    part.add_circle((6, 6), 1.5)
    part.add_ellipse((0, 0), (4, 1, 0), 0.4, 0.3, 2.8)
    part.add_lwpolyline([(0, 0, 0.5), (4, 0, 0), (4, 3, -0.3)], format="xyb", close=True)
    part.add_text("P", height=1, dxfattribs={"insert": (2, 2)})
    outer = doc.blocks.new("OUTER", base_point=(0, 0, 0))
    outer.add_blockref("PART", (5, 0), dxfattribs={"rotation": 90})
    outer.add_blockref("PART", (15, 0), dxfattribs={"xscale": -1, "layer": "FROM OUTER"})
    outer.add_line((0, 0), (20, 0))
    place = 0

    def at(**attribs):
        nonlocal place
        place += 100
        return msp.add_blockref(attribs.pop("name", "PART"), attribs.pop("insert", (place, 50)), dxfattribs=attribs)

    at()
    at(rotation=90, xscale=2, yscale=2, zscale=2)
    at(xscale=-1)
    at(yscale=-1, rotation=33)
    at(extrusion=(0, 0, -1))
    at(extrusion=(0, 0, -1), rotation=30, xscale=-1)
    at(xscale=2, yscale=3)
    at(xscale=2, yscale=-0.5, rotation=20)
    at(extrusion=(0, -1, 0))
    at(extrusion=(1, 1, 1), rotation=45)
    at(name="OUTER")
    at(name="OUTER", xscale=2, yscale=2, zscale=2, rotation=90)
    at(name="OUTER", xscale=-1.5, yscale=1.5, zscale=1.5, rotation=7)
    at(column_count=3, row_count=2, column_spacing=20, row_spacing=30)
    at(column_count=2, row_count=2, column_spacing=-20, row_spacing=30, rotation=30)
    at(name="OUTER", column_count=2, row_count=1, column_spacing=40, row_spacing=0, rotation=90)
    at(insert=(1e6, -2e6, 30))
    tagged = at()
    tagged.add_attrib("ID", "B7", (place, 45), dxfattribs={"height": 2})
    hidden = tagged.add_attrib("NOTE", "unseen", (place, 40), dxfattribs={"height": 2})
    hidden.is_invisible = True
    save(doc, folder, "inserts")


def curves(folder):
    doc = new(units=4)
    msp = doc.modelspace()
    msp.add_ellipse((0, 0), (600, 0), 0.5)
    msp.add_ellipse((1500, 0), (300, 300, 0), 0.25, 0.5, 4.0)
    msp.add_ellipse((3000, 0), (100, 0), 1.0)
    msp.add_spline_control_frame([(0, 1000), (200, 1400), (500, 700), (800, 1000)], degree=3)
    spline = msp.add_open_spline([(1000, 1000), (1000, 1100), (1100, 1100)], degree=2)
    spline.weights = [1, math.sqrt(0.5), 1]
    msp.add_open_spline([(1500, 1000), (1600, 1050), (1700, 1100), (1800, 1150)], degree=3)
    msp.add_spline([(2000, 1000), (2100, 1200), (2200, 900)])
    msp.add_spline([(2500, 1000), (2600, 1000)])
    msp.add_lwpolyline([(0, 2000, 1), (200, 2000, 0)], format="xyb")
    msp.add_lwpolyline([(500, 2000, 0.5), (900, 2000, 0)], format="xyb")
    msp.add_lwpolyline([(1000, 2000, -2.414213562373095), (1100, 2000, 0)], format="xyb")
    msp.add_lwpolyline([(0, 0, 0.3), (50, 0, 0), (50, 50, 0)], format="xyb", close=True,
                       dxfattribs={"extrusion": (0, 0, -1), "elevation": 12})
    msp.add_lwpolyline([(0, 0), (50, 0), (50, 80)], close=True,
                       dxfattribs={"extrusion": (0, -1, 0), "elevation": -20})
    msp.add_arc((100, 3000), 50, 300, 45)
    msp.add_arc((100, 3000), 50, 10, 80, dxfattribs={"extrusion": (0, 0, -1)})
    msp.add_arc((300, 3000), 50, 20, 20)
    msp.add_circle((-500, 3000, 7), 25, dxfattribs={"extrusion": (0, 0, -1)})
    msp.add_circle((10, 20, 30), 25, dxfattribs={"extrusion": (0, -1, 0)})
    hatch = msp.add_hatch()
    hatch.paths.add_polyline_path([(4000, 0), (4100, 0), (4100, 50, 0.4), (4000, 50)], is_closed=True)
    edges = hatch.paths.add_edge_path()
    edges.add_line((4200, 0), (4300, 0))
    edges.add_arc((4300, 25), 25, -90, 90, ccw=True)
    edges.add_line((4300, 50), (4200, 50))
    edges.add_arc((4200, 25), 25, 90, 270, ccw=False)
    edges.add_ellipse((4250, 25), (20, 5), 0.5, 0, 360)
    save(doc, folder, "curves")


def faces(folder):
    doc = new(units=4)
    msp = doc.modelspace()
    msp.add_solid([(0, 0), (10, 0), (0, 5), (10, 5)])
    msp.add_solid([(20, 0), (30, 0), (25, 8)])
    msp.add_trace([(40, 0), (50, 0), (40, 5), (50, 5)], dxfattribs={"extrusion": (0, 0, -1)})
    face = msp.add_3dface([(60, 0, 0), (70, 0, 0), (70, 8, 3), (60, 8, 3)])
    face.set_edge_visibility(1, False)
    msp.add_3dface([(80, 0), (90, 0), (85, 8)])
    msp.add_polyline3d([(0, 20, 0), (30, 20, 5), (30, 40, 10)], close=True)
    mesh = msp.add_polymesh((3, 4))
    for m in range(3):
        for n in range(4):
            mesh.set_mesh_vertex((m, n), (100 + 10 * m, 8 * n, m * n))
    closed = msp.add_polymesh((3, 4), dxfattribs={"layer": "0"})
    closed.close(m_close=True, n_close=True)
    for m in range(3):
        for n in range(4):
            closed.set_mesh_vertex((m, n), (200 + 10 * m, 8 * n, m * n))
    face = msp.add_polyface()
    face.append_faces([
        [(300, 0, 0), (320, 0, 0), (320, 20, 0), (300, 20, 0)],
        [(300, 0, 10), (320, 0, 10), (310, 20, 10)],
    ])
    msp.add_polyline2d([(0, 60), (20, 60, 1), (20, 80)], format="xyb", dxfattribs={"elevation": (0, 0, 9)})
    msp.add_point((5, 5))
    msp.add_xline((0, 0), (1, 0))
    msp.add_ray((0, 0), (1, 1))
    save(doc, folder, "faces")


def layers(folder):
    doc = new(units=4)
    msp = doc.modelspace()
    doc.layers.add("OFF").off()
    doc.layers.add("FROZEN").freeze()
    doc.layers.add("LOCKED").lock()
    doc.layers.add("NOPLOT").dxf.plot = 0
    doc.layers.add("verdeckt")
    doc.layers.add("HAIR", linetype="DASHED2")
    doc.layers.add("AXES", linetype="CENTER")
    doc.linetypes.add("LT_7", pattern=[4.0, 3.0, -1.0], description="__ __ __")
    doc.linetypes.add("LT_8", pattern=[9.0, 6.0, -1.0, 1.0, -1.0], description="____ _ ____ _")

    def line(y, **attribs):
        msp.add_line((0, y), (100, y), dxfattribs=attribs)

    line(0)
    line(1, layer="OFF")
    line(2, layer="FROZEN")
    line(3, layer="LOCKED")
    line(4, layer="NOPLOT")
    line(5, layer="Defpoints")
    line(6, invisible=1)
    line(7, layer="verdeckt")
    line(8, layer="HAIR")
    line(9, layer="AXES")
    line(10, linetype="HIDDEN")
    line(11, linetype="LT_7")
    line(12, linetype="LT_8")
    line(13, layer="HAIR", linetype="CONTINUOUS")
    block = doc.blocks.new("MIXED")
    block.add_line((0, 0), (10, 0))
    block.add_line((0, 1), (10, 1), dxfattribs={"layer": "LOCKED"})
    block.add_line((0, 2), (10, 2), dxfattribs={"layer": "OFF"})
    block.add_line((0, 3), (10, 3), dxfattribs={"linetype": "BYBLOCK"})
    block.add_line((0, 4), (10, 4), dxfattribs={"layer": "FROZEN"})
    for x, attribs in [
        (200, {}),
        (300, {"layer": "OFF"}),
        (400, {"layer": "FROZEN"}),
        (500, {"layer": "HAIR"}),
        (600, {"linetype": "HIDDEN"}),
        (700, {"invisible": 1}),
    ]:
        msp.add_blockref("MIXED", (x, 0), dxfattribs=attribs)
    save(doc, folder, "layers")


def dimensions(folder):
    doc = new(units=1)
    msp = doc.modelspace()
    doc.header["$DIMLFAC"] = 2.0
    doc.dimstyles.duplicate_entry("Standard", "TENTH").dxf.dimlfac = 10
    for style in list(doc.dimstyles):
        if style.dxf.name not in ("Standard", "TENTH"):
            doc.dimstyles.remove(style.dxf.name)

    def linear(y, angle=0, p1=(0, 0), p2=(30, 40), text="<>", style="Standard", **override):
        dim = msp.add_linear_dim(
            base=(0, y), p1=(p1[0], p1[1] + y), p2=(p2[0], p2[1] + y), angle=angle,
            text=text, dimstyle=style, override=override or None,
        )
        dim.render()

    linear(0)
    linear(100, angle=90)
    linear(200, angle=45)
    msp.add_aligned_dim(p1=(0, 300), p2=(30, 340), distance=5, dimstyle="Standard").render()
    linear(400, p2=(36, 0), text="35 1/2")
    linear(500, p2=(36, 0), text="<> TYP")
    linear(600, p2=(36, 0), text=" ")
    linear(700, p2=(36, 0), dimlfac=25.4)
    linear(800, p2=(36, 0), style="TENTH")
    linear(900, p2=(36, 0), style="TENTH", dimlfac=1.0)
    msp.add_radius_dim(center=(100, 0), radius=12, angle=30, dimstyle="Standard").render()
    msp.add_diameter_dim(center=(200, 0), radius=12, angle=30, dimstyle="Standard").render()
    msp.add_angular_dim_3p(base=(300, 20), center=(300, 0), p1=(310, 0), p2=(300, 10), dimstyle="Standard").render()
    msp.add_angular_dim_2l(base=(400, 20), line1=((400, 0), (410, 0)), line2=((400, 0), (400, 10)), dimstyle="Standard").render()
    msp.add_ordinate_x_dim(feature_location=(20, 7), offset=(1, 5), origin=(500, 100), dimstyle="Standard").render()
    msp.add_ordinate_y_dim(feature_location=(20, 7), offset=(5, 1), origin=(500, 200), dimstyle="Standard").render()
    constraint = msp.add_linear_dim(base=(0, 1000), p1=(0, 1000), p2=(36, 1000), dimstyle="Standard")
    constraint.dimension.dxf.layer = "*ADSK_CONSTRAINTS"
    block = doc.blocks.new("DIMMED")
    block.add_linear_dim(base=(0, 5), p1=(0, 0), p2=(36, 0), dimstyle="Standard").render()
    block.add_line((0, 0), (36, 0))
    msp.add_blockref("DIMMED", (1000, 0), dxfattribs={"xscale": 2, "yscale": 2, "zscale": 2, "rotation": 90})
    msp.add_leader([(0, -50), (20, -30)])
    save(doc, folder, "dimensions")


def texts(folder):
    doc = new("AC1032", units=4)
    msp = doc.modelspace()
    msp.add_text("left", height=2, dxfattribs={"insert": (0, 0)})
    middle = msp.add_text("middle", height=2)
    middle.set_placement((100, 0), align=ezdxf.enums.TextEntityAlignment.MIDDLE_CENTER)
    fit = msp.add_text("fit", height=2)
    fit.set_placement((200, 0), (240, 0), align=ezdxf.enums.TextEntityAlignment.FIT)
    msp.add_text("turned", height=3, dxfattribs={"insert": (300, 0), "rotation": 90})
    msp.add_text("%%c35 %%p1/32", height=3, dxfattribs={"insert": (400, 0)})
    msp.add_text("behind", height=3, dxfattribs={"insert": (-500, 0), "extrusion": (0, 0, -1)})
    for attachment in range(1, 10):
        msp.add_mtext("\\A1;{\\fArial|b1;M}" + f"{attachment}\\P34\\S1/2;",
                      dxfattribs={"insert": (50 * attachment, 100), "char_height": 2, "attachment_point": attachment})
    msp.add_mtext("a" * 600 + " end", dxfattribs={"insert": (0, 200), "char_height": 2})
    msp.add_mtext("way", dxfattribs={"insert": (0, 300), "char_height": 2, "text_direction": (0, 1, 0)})
    # In columns: the 2018 format stores them in an embedded object.
    msp.add_mtext_static_columns(["one", "two"], width=20, gutter_width=5, height=30,
                                 dxfattribs={"insert": (0, 400), "char_height": 2})
    ml = msp.add_multileader_mtext("Standard")
    ml.set_content("leader text\\Psecond", char_height=2)
    ml.add_leader_line(ezdxf.render.ConnectionSide.left, [Vec2(500, 500)])
    ml.build(insert=Vec2(520, 520))
    save(doc, folder, "texts")


def paper(folder):
    doc = new(units=1)
    layout = doc.layout()
    layout.add_line((0, 0), (2, 0))
    layout.add_line((0, 1), (2, 1))
    layout.add_text("B2 on paper", height=0.2, dxfattribs={"insert": (0, 2)})
    save(doc, folder, "paper-only")
    doc = new(units=1)
    msp = doc.modelspace()
    msp.add_line((100, 100), (124, 100))
    msp.add_line((100, 100), (100, 134.5))
    layout = doc.layout()
    layout.add_viewport(center=(5, 4), size=(6, 4), view_center_point=(112, 117), view_height=48)
    layout.add_text("B2 FRONT", height=0.2, dxfattribs={"insert": (4, 1)})
    layout.add_line((0, 0), (10, 0))
    layout.add_linear_dim(base=(4, 6), p1=(4, 2.5833333333333335), p2=(6, 2.5833333333333335),
                          dimstyle="Standard", override={"dimlfac": 12}).render()
    second = doc.layouts.new("Second")
    second.add_viewport(center=(3, 3), size=(4, 4), view_center_point=(112, 117), view_height=96)
    second.add_text("B2 SMALL", height=0.2, dxfattribs={"insert": (2, 0)})
    second.add_line((0, 0), (0, 8))
    save(doc, folder, "viewport")


def main():
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    for make in (versions, code_pages, inserts, curves, faces, layers, dimensions, texts, paper):
        make(folder)


if __name__ == "__main__":
    main()
