"""Measures DXF files with an independent library, as a reference for the reader.

    python tests/oracle/dxf_reference.py . fixtures tests/strangers > tests/oracle/dxf_reference.json
    python tests/oracle/dxf_reference.py --brief /usr/share/librecad/library . > tests/oracle/library_reference.json

The first argument is what the names in the result are relative to.

Needs ezdxf 1.4.5 (PyPI, MIT). Blocks are exploded and polylines taken apart
by that library; extents of arcs and ellipses are closed forms, because its own
boxes of curves are approximate.
"""

import json
import math
import sys
from pathlib import Path

import ezdxf
from ezdxf import recover
from ezdxf.lldxf.encoding import decode_dxf_unicode
from ezdxf.math import OCS, Vec3

TAU = math.tau


class Measures:
    def __init__(self):
        self.segments = {}
        self.arcs = []
        self.ellipses = []
        self.splines = 0.0
        self.hatch = [0, 0.0]
        self.texts = []
        self.dimensions = []
        self.low = [math.inf] * 3
        self.high = [-math.inf] * 3

    def point(self, p):
        for i, c in enumerate(Vec3(p)):
            self.low[i] = min(self.low[i], c)
            self.high[i] = max(self.high[i], c)

    def segment(self, kind, a, b):
        a, b = Vec3(a), Vec3(b)
        length = a.distance(b)
        if length == 0:
            return
        # Under unequal scales the library turns LWPOLYLINEs into LINEs.
        kind = "LINE" if kind == "LWPOLYLINE" else kind
        count = self.segments.setdefault(kind, [0, 0.0])
        count[0] += 1
        count[1] += length
        self.point(a)
        self.point(b)

    def conic(self, centre, u, v, start, end):
        """Box of centre + u cos t + v sin t."""
        sweep = (end - start) % TAU
        if sweep < 1e-9 or sweep > TAU - 1e-9:
            start, sweep = 0.0, TAU
        stops = [start, start + sweep]
        for a, b in zip(u, v):
            for stop in (math.atan2(b, a), math.atan2(-b, -a)):
                turn = (stop - start) % TAU
                if turn < sweep:
                    stops.append(start + turn)
        for t in stops:
            self.point(centre + u * math.cos(t) + v * math.sin(t))
        return sweep


def frozen(layer):
    return layer is not None and layer.is_frozen()


def hides(layer, name):
    if name.upper() == "DEFPOINTS":
        return True
    return layer is not None and (layer.is_off() or layer.dxf.get("plot", 1) == 0)


def measure(doc, space, out):
    layers = {layer.dxf.name.upper(): layer for layer in doc.layers}

    def visit(entity, inherited):
        kind = entity.dxftype()
        name = entity.dxf.get("layer", "0")
        if name == "0" and inherited is not None:
            name = inherited
        layer = layers.get(name.upper())
        if entity.dxf.get("invisible", 0) == 1 or frozen(layer):
            return
        if kind == "INSERT":
            copies = entity.multi_insert() if entity.mcount > 1 else [entity]
            for copy in copies:
                if copy.block() is None:
                    continue
                for inner in copy.virtual_entities():
                    visit(inner, name)
            for attrib in entity.attribs:
                if not attrib.is_invisible:
                    visit(attrib, name)
            return
        if hides(layer, name):
            return
        draw(entity, kind)

    def draw(entity, kind):
        if kind == "LINE":
            out.segment(kind, entity.dxf.start, entity.dxf.end)
        elif kind in ("ARC", "CIRCLE"):
            round_(entity)
        elif kind == "ELLIPSE":
            ellipse(entity)
        elif kind in ("LWPOLYLINE", "POLYLINE"):
            # Cells of a mesh share edges; each is drawn once.
            edges = {}
            for piece in entity.virtual_entities():
                if piece.dxftype() == "LINE":
                    out.segment(kind, piece.dxf.start, piece.dxf.end)
                elif piece.dxftype() == "ARC":
                    round_(piece)
                elif piece.dxftype() == "3DFACE":
                    for a, b in face_edges(piece):
                        edges[tuple(sorted([a.round(9), b.round(9)]))] = (a, b)
                else:
                    ellipse(piece)
            for a, b in edges.values():
                out.segment(kind, a, b)
        elif kind in ("SOLID", "TRACE"):
            p = entity.wcs_vertices()
            for a, b in zip(p, p[1:] + p[:1]):
                out.segment("SOLID", a, b)
        elif kind == "3DFACE":
            face(entity, kind)
        elif kind == "SPLINE":
            if entity.control_points:
                points = list(entity.construction_tool().flattening(1e-3))
            elif len(entity.fit_points) == 2:
                points = [Vec3(p) for p in entity.fit_points]
            else:
                return
            out.splines += sum(a.distance(b) for a, b in zip(points, points[1:]))
        elif kind == "HATCH":
            hatch(entity)
        elif kind in ("TEXT", "ATTRIB"):
            out.texts.append(entity.plain_text())
        elif kind == "MTEXT":
            out.texts.append(mtext(entity))
        elif kind == "MULTILEADER":
            out.texts.append(entity.get_mtext_content().replace("\\P", "\n"))
        elif kind == "DIMENSION":
            dimension(entity)

    def mtext(entity):
        if entity.has_columns:
            return entity.all_columns_plain_text()
        return entity.plain_text()

    def face_edges(entity):
        p = entity.wcs_vertices()
        shown = entity.get_edges_visibility()
        return [(a, b) for a, b, visible in zip(p, p[1:] + p[:1], shown) if visible]

    def face(entity, kind):
        for a, b in face_edges(entity):
            out.segment(kind, a, b)

    def round_(entity):
        ocs = OCS(entity.dxf.extrusion)
        radius = entity.dxf.radius
        if radius <= 0:
            return
        if entity.dxftype() == "ARC":
            start, end = math.radians(entity.dxf.start_angle), math.radians(entity.dxf.end_angle)
        else:
            start, end = 0.0, TAU
        u, v = ocs.to_wcs((radius, 0, 0)), ocs.to_wcs((0, radius, 0))
        sweep = out.conic(ocs.to_wcs(entity.dxf.center), u, v, start, end)
        out.arcs.append(radius * sweep)

    def ellipse(entity):
        u = Vec3(entity.dxf.major_axis)
        v = Vec3(entity.dxf.extrusion).normalize().cross(u) * entity.dxf.ratio
        start, end = entity.dxf.start_param, entity.dxf.end_param
        sweep = out.conic(Vec3(entity.dxf.center), u, v, start, end)
        if abs(entity.dxf.ratio - 1) < 1e-9:
            out.arcs.append(u.magnitude * sweep)
        else:
            out.ellipses.append(u.magnitude * v.magnitude * sweep)

    def hatch(entity):
        ocs = OCS(entity.dxf.extrusion)
        for path in entity.paths.rendering_paths(entity.dxf.hatch_style):
            if hasattr(path, "edges"):
                for edge in path.edges:
                    add_hatch_edge(edge)
            else:
                points = list(path.vertices)
                pairs = zip(points, points[1:] + points[:1] if path.is_closed else points[1:])
                for (ax, ay, bulge), (bx, by, _) in pairs:
                    chord = math.dist((ax, ay), (bx, by))
                    if chord == 0:
                        continue
                    length = chord
                    if bulge:
                        radius = chord * (1 + bulge * bulge) / (4 * abs(bulge))
                        length = radius * 4 * math.atan(abs(bulge))
                    out.hatch[0] += 1
                    out.hatch[1] += length
        del ocs

    def add_hatch_edge(edge):
        kind = type(edge).__name__
        if kind == "LineEdge":
            if edge.start != edge.end:
                out.hatch[0] += 1
                out.hatch[1] += edge.start.distance(edge.end)
        elif kind == "ArcEdge":
            sweep = math.radians(edge.end_angle - edge.start_angle) % TAU or TAU
            out.hatch[0] += 1
            out.hatch[1] += edge.radius * sweep

    def dimension(entity):
        if entity.dxf.layer.upper() == "*ADSK_CONSTRAINTS":
            return
        kind = entity.dimtype & 7
        measured = entity.get_measurement()
        if isinstance(measured, Vec3):
            measured = measured.x if entity.dxf.dimtype & 64 else measured.y
        if kind in (2, 5):
            measured = math.radians(measured)
        style = entity.override()
        factor = style.get("dimlfac", doc.header.get("$DIMLFAC", 1.0))
        out.dimensions.append([kind, abs(measured), factor, entity.dxf.get("text", "")])

    for entity in space:
        visit(entity, None)


def reference(path):
    try:
        doc = ezdxf.readfile(path)
    except (ezdxf.DXFError, UnicodeError):
        doc, _ = recover.readfile(path)
    out = Measures()
    space = doc.modelspace()
    if path.stem == "paper-only":
        space = doc.layout()
    measure(doc, space, out)
    return {
        "version": doc.dxfversion,
        "segments": dict(sorted(out.segments.items())),
        "arcs": [len(out.arcs), math.fsum(out.arcs)],
        # Half axes and parameter range multiplied: twice the sector's area.
        "ellipses": [len(out.ellipses), math.fsum(out.ellipses)],
        "splines": out.splines,
        "hatch": out.hatch,
        "extents": [out.low, out.high] if math.isfinite(out.low[0]) else None,
        "texts": sorted(decode_dxf_unicode(text) for text in out.texts),
        "dimensions": sorted(out.dimensions),
    }


def main():
    brief = sys.argv[1] == "--brief"
    root, *folders = sys.argv[2 if brief else 1:]
    root = Path(root)
    paths = [path for folder in folders for path in (root / folder).rglob("*.dxf")]
    found = {}
    for path in sorted(paths):
        entry = reference(path)
        if brief:
            counts = entry["segments"].values()
            entry = [
                sum(c[0] for c in counts), sum(c[1] for c in counts),
                *entry["arcs"], *entry["ellipses"], *(entry["extents"] or []),
            ]
            entry = json.loads(json.dumps(entry), parse_float=lambda text: round(float(text), 7))
        found[path.relative_to(root).as_posix()] = entry
    lines = [f"  {json.dumps(k)}: {json.dumps(v, ensure_ascii=False)}" for k, v in found.items()]
    print("{\n" + ",\n".join(lines) + "\n}")


if __name__ == "__main__":
    main()
