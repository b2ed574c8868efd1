"""Holds what the program measures in drawings by strangers against their truth.

    python tests/strangers/evaluate.py PROGRAM FOLDER [--by FEATURE]... [--show]

FOLDER holds cases made by `fixtures/make/strangers.py`. Every case's list is right, so a
finding on a list row is a false alarm; that a drawing could not be used at all is shown
beside them as INPUT. Counts right, unknown and WRONG sizes; the exit
status is 1 when anything is WRONG.
"""
from __future__ import annotations

import json
import subprocess
import sys
from collections import Counter, defaultdict
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

#: A size within this is right, millimetres.
NEAR = 0.05


def run(program, case: Path):
    try:
        done = subprocess.run([program, "check", str(case), "--format", "json"], capture_output=True, timeout=120)
    except subprocess.TimeoutExpired:
        return case, None, "timeout"
    try:
        return case, json.loads(done.stdout), done.returncode
    except ValueError:
        return case, None, (done.stdout + done.stderr).decode(errors="replace")[-300:]


def judge(truth, report):
    """(what, right | unknown | WRONG, note) for every size of every cabinet."""
    given = {entry["id"]: entry for entry in report["cabinets"]}
    for name, cabinet in truth["cabinets"].items():
        for which in ("overall", "interior"):
            for dimension in ("width", "height", "depth"):
                right = cabinet[which][dimension]
                if right is None:
                    continue
                what = f"{name} {which} {dimension}"
                size = given.get(name, {}).get(which, {}).get(dimension, {})
                mm = size.get("mm")
                if mm is None:
                    yield what, "unknown", size.get("reason") or "no such cabinet"
                elif abs(mm - right) <= NEAR:
                    yield what, "right", ""
                else:
                    yield what, "WRONG", f"{mm:.3f} for {right:.3f} ({mm / 25.4:.4f} for {right / 25.4:.4f} in): {size.get('source')}"


def main() -> int:
    arguments = sys.argv[1:]
    show = "--show" in arguments
    by = [arguments[i + 1] for i, a in enumerate(arguments) if a == "--by"]
    program, folder = arguments[0], Path(arguments[1])
    cases = sorted(p for p in folder.iterdir() if (p / "truth.json").exists())
    totals: Counter = Counter()
    table: dict = defaultdict(Counter)
    reasons: Counter = Counter()
    with ThreadPoolExecutor(2) as pool:
        for case, report, status in pool.map(lambda c: run(program, c), cases):
            truth = json.loads((case / "truth.json").read_text())
            if report is None:
                totals["broken"] += 1
                print(f"BROKEN {case.name}: {status}")
                continue
            outcomes = Counter()
            for what, outcome, note in judge(truth, report):
                outcomes[outcome] += 1
                table["size", " ".join(what.split()[-2:])][outcome] += 1
                if outcome == "WRONG":
                    print(f"WRONG {case.name} {what}: {note}")
                elif outcome == "unknown":
                    reasons[" ".join(what.split()[-2:-1]) + ": " + " ".join(w for w in note.split() if not any(c.isdigit() for c in w))] += 1
                    if show:
                        print(f"unknown {case.name} {what}: {note}")
            for finding in report["findings"]:
                if finding["line"] is not None:
                    outcomes["false alarm"] += 1
                    print(f"FALSE ALARM {case.name}: {finding['message']}")
                    for _ in finding["also"]:
                        outcomes["false alarm"] += 1
                elif finding["kind"] == "input":
                    print(f"INPUT {case.name}: {finding['message']}")
                elif finding["kind"] != "drawing":
                    outcomes["false alarm"] += 1
                    print(f"FALSE ALARM {case.name}: {finding['kind']}: {finding['message']}")
            said = sum(1 for f in report["findings"] if f["kind"] == "drawing")
            if truth["lies"] == 0 and said and truth["features"]["header"] != "wrong":
                print(f"DRAWING FINDING {case.name}: {[f['message'] for f in report['findings'] if f['kind'] == 'drawing']}")
            totals.update(outcomes)
            features = dict(truth["features"], furniture=",".join(truth["features"]["furniture"]) or "none")
            for key, value in features.items():
                if key == "furniture":
                    for one in value.split(","):
                        table[key, one].update(outcomes)
                else:
                    table[key, str(value)].update(outcomes)
            for row in truth["make"].values():
                for i, value in enumerate(row):
                    table[("make", "style", "fronts", "back", "top", "bottom", "foot", "countertop")[i], value].update(outcomes)
    print(f"\n{len(cases)} cases: " + ", ".join(f"{totals[k]} {k}" for k in ("right", "unknown", "WRONG", "false alarm", "broken")))
    for key in by or sorted({k for k, _ in table}):
        print(f"\n{key}")
        for (feature, value), counts in sorted(table.items()):
            if feature == key:
                n = counts["right"] + counts["unknown"] + counts["WRONG"]
                print(f"  {value:40s} right {counts['right']:5d} ({100 * counts['right'] // max(n, 1):3d} %)"
                      f"  unknown {counts['unknown']:5d}  WRONG {counts['WRONG']:4d}  false alarms {counts['false alarm']:4d}")
    print("\nreasons for unknown")
    for reason, count in reasons.most_common(25):
        print(f"  {count:5d} {reason}")
    return 1 if totals["WRONG"] or totals["broken"] else 0


if __name__ == "__main__":
    sys.exit(main())
