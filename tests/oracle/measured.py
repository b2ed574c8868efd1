"""Measures drawings with a DXF library and a geometry library, as a reference for what is
made of their lines.

    python tests/oracle/measured.py                 compare with tests/oracle/measured.json
    python tests/oracle/measured.py --write         write it

Needs ezdxf 1.4.5 (PyPI, MIT) and shapely 2.2.0 (PyPI, BSD). For every drawing: how long
its straight lines are in all, how long without repeats, where its upright and level
lines stand, and the width and height of every group of lines that touch. Of the open
drawing collection (Debian package librecad-data 2.2.0) the plans of furniture are
measured where they are installed; the drawings themselves are not kept here.
"""
from __future__ import annotations

import json
import math
import sys
from pathlib import Path

import ezdxf
import shapely
from shapely import STRtree
from shapely.geometry import LineString

ROOT = Path(__file__).parents[2]
LIBRARY = Path("/usr/share/librecad/library/plan/architect")
MM = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0}
#: Coordinates are taken as equal when they round to the same micrometre.
GRID = 1e-3


def lines_of(path: Path):
    """Straight LINE entities in true millimetres, blocks taken apart."""
    doc = ezdxf.readfile(path)
    k = MM.get(doc.header.get("$INSUNITS", 0), 1.0)
    layers = {layer.dxf.name.upper(): layer for layer in doc.layers}
    out = []

    def visit(entity):
        layer = layers.get(entity.dxf.get("layer", "0").upper())
        if entity.dxf.get("invisible", 0) or (layer is not None and (layer.is_off() or layer.is_frozen())):
            return
        if entity.dxftype() == "INSERT":
            for copy in entity.multi_insert() if entity.mcount > 1 else [entity]:
                for inner in copy.virtual_entities():
                    visit(inner)
        elif entity.dxftype() == "LINE":
            a, b = entity.dxf.start, entity.dxf.end
            if math.dist((a.x, a.y), (b.x, b.y)) * k > GRID:
                out.append(((a.x * k, a.y * k), (b.x * k, b.y * k)))

    for entity in doc.modelspace():
        visit(entity)
    return out


def positions(values):
    """Distinct positions, a micrometre apart at least."""
    out = []
    for value in sorted(values):
        if not out or value - out[-1] > 2 * GRID:
            out.append(value)
    return out


def groups(lines):
    """Width and height of every group of lines that touch or cross."""
    if not lines:
        return []
    shapes = [LineString(pair) for pair in lines]
    tree = STRtree(shapes)
    parent = list(range(len(shapes)))

    def find(i):
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    for i, j in zip(*tree.query(shapes, predicate="dwithin", distance=0.01)):
        parent[find(int(i))] = find(int(j))
    boxes: dict = {}
    for i, shape in enumerate(shapes):
        x0, y0, x1, y1 = shape.bounds
        box = boxes.setdefault(find(i), [x0, y0, x1, y1])
        box[0], box[1] = min(box[0], x0), min(box[1], y0)
        box[2], box[3] = max(box[2], x1), max(box[3], y1)
    return sorted([round(b[2] - b[0], 3), round(b[3] - b[1], 3)] for b in boxes.values())


def measure(path: Path) -> dict:
    lines = lines_of(path)
    union = shapely.union_all([LineString(p) for p in lines], grid_size=GRID) if lines else None
    upright = [(a[0] + b[0]) / 2 for a, b in lines if abs(a[0] - b[0]) < GRID]
    level = [(a[1] + b[1]) / 2 for a, b in lines if abs(a[1] - b[1]) < GRID]
    x, y = positions(upright), positions(level)
    return {
        "lines": len(lines),
        "drawn": round(sum(math.dist(a, b) for a, b in lines), 3),
        "distinct": round(union.length, 3) if union else 0.0,
        "uprights": [round(v - x[0], 3) for v in x],
        "levels": [round(v - y[0], 3) for v in y],
        "groups": groups(lines),
    }


def drawings():
    fixtures = sorted(
        p for p in (ROOT / "fixtures").rglob("*.dxf")
        if p.parent.name in ("glaze-room", "kiln-store") or p.parent.parent.name == "worked"
    )
    for path in fixtures:
        yield path.relative_to(ROOT).as_posix(), path
    if LIBRARY.is_dir():
        for path in sorted(LIBRARY.glob("*.dxf")):
            yield "library/" + path.name, path


def main() -> int:
    target = Path(__file__).with_suffix(".json")
    measured = {name: measure(path) for name, path in drawings()}
    text = "{\n" + ",\n".join(f" {json.dumps(n)}: {json.dumps(m)}" for n, m in measured.items()) + "\n}\n"
    if "--write" in sys.argv[1:]:
        target.write_text(text, encoding="utf-8")
        return 0
    committed = json.loads(target.read_text(encoding="utf-8"))
    differs = [n for n, m in measured.items() if committed.get(n) != json.loads(json.dumps(m))]
    missing = [n for n in committed if n not in measured and not n.startswith("library/")]
    print("differs:", differs, "missing:", missing)
    return 1 if differs or missing else 0


if __name__ == "__main__":
    sys.exit(main())
