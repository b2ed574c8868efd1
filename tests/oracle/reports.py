"""Holds the reports of the program against independent readers.

Marked-up drawings: a cabinet with one wrong size in its list is put by ezdxf into
drawings of R12 to R2018, ASCII and binary, that hold other things as well; the
demo is taken as it is, and saved as the first and the last release. Each is
checked by the program, and its marked-up copy read back by ezdxf. The copy must
pass ezdxf's audit with nothing to report that the original has not, hold every
original entity and block as it was, and add entities on the layers of the
findings alone.

SARIF: against the schema of the standard (SARIF 2.1.0, OASIS). JUnit XML: read by
junitparser, counts compared with what it says itself.

    python reports.py PROGRAM SARIF-SCHEMA
"""

import json
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import ezdxf
from ezdxf import recover
from ezdxf.addons import Importer
from ezdxf.lldxf.tagwriter import TagCollector

ROOT = Path(__file__).resolve().parents[2]
MARKS = "DRYFIT-"
VERSIONS = ["r12", "r2000", "r2004", "r2007", "r2010", "r2013", "r2018"]


def main():
    program, schema = Path(sys.argv[1]).resolve(), Path(sys.argv[2])
    validate = sarif_validator(schema)
    sheets = marks = 0
    for what, make in jobs():
        with tempfile.TemporaryDirectory() as home:
            job, out = Path(home) / "job", Path(home) / "out"
            original = make(job)
            check(program, job, out)
            reports(out, validate)
            copy = out / f"{original.stem}.findings.dxf"
            if not copy.exists():
                fail(f"{what}: nothing is marked")
            marks += same(original, copy, what)
            sheets += 1
    print(f"{sheets} marked-up drawings audited; {marks} marks added, nothing else changed")


def jobs():
    """What to call each job, and what makes it in a folder and gives its drawing."""
    for version in VERSIONS:
        for form in ["", "-binary"]:
            name = f"everyday-{version}{form}"
            yield name, lambda into, name=name, form=form: among_others(into, name, form)
    demo = ROOT / "fixtures/glaze-room"
    yield "demo", lambda into: shutil.copytree(demo, into) / "glaze-room.dxf"
    for version, form in [("R12", "asc"), ("R2018", "bin")]:
        yield (
            f"demo {version} {form}",
            lambda into, version=version, form=form: saved_as(demo, into, version, form),
        )


def among_others(into, name, form):
    """The cabinet C2 in a drawing with other things, its sides listed 10 mm too short."""
    cabinet = ROOT / "fixtures/worked/c2"
    shutil.copytree(cabinet, into)
    listing = into / "c2.csv"
    text = listing.read_text()
    assert "W60;Side;2;720" in text
    listing.write_text(text.replace("W60;Side;2;720", "W60;Side;2;710"))
    source = ezdxf.readfile(cabinet / "c2.dxf")
    target = ezdxf.readfile(ROOT / f"fixtures/dxf/{name}.dxf")
    others = set(target.modelspace())
    importer = Importer(source, target)
    importer.import_modelspace()
    importer.finalize()
    # Out of the way of what is there.
    for entity in set(target.modelspace()) - others:
        entity.translate(0, 10_000, 0)
    target.header["$INSUNITS"] = source.header.get("$INSUNITS", 0)
    target.saveas(into / "c2.dxf", fmt="bin" if form else "asc")
    return into / "c2.dxf"


def saved_as(job, into, version, form):
    shutil.copytree(job, into)
    drawing = next(into.glob("*.dxf"))
    document = ezdxf.readfile(drawing)
    document.dxfversion = version
    document.saveas(drawing, fmt=form)
    return drawing


def check(program, job, out):
    done = subprocess.run(
        [program, "check", job, "--out", out], capture_output=True, text=True
    )
    if done.returncode not in (0, 1, 3):
        fail(f"{job}: {done.stderr}")


def same(original, copy, what):
    """Audits the copy and compares it with its original; gives the number of marks."""
    before, known = load(original)
    recovered, auditor = load(copy)
    # Without recovery as well.
    ezdxf.readfile(copy)
    # What is repaired in the original is none of the copy's doing.
    if auditor.errors or len(auditor.fixes) > len(known.fixes):
        messages = [entry.message for entry in auditor.errors + auditor.fixes]
        fail(f"{what}: audit: {messages}")
    old, new = entities(before), entities(recovered)
    for key, tags in old.items():
        if new.get(key) != tags:
            fail(f"{what}: {key} changed:\n{tags}\n{new.get(key)}")
    added = [key for key in new if key not in old]
    for key in added:
        if not key[0].startswith("layout") or not key[2].startswith(MARKS):
            fail(f"{what}: {key} was added")
    if not added:
        fail(f"{what}: no mark")
    layers = {layer.dxf.name for layer in recovered.layers}
    missing = {key[2] for key in added} - layers
    if missing and recovered.dxfversion != "AC1009":
        fail(f"{what}: layers {missing} are not in the table")
    gone = {layer.dxf.name for layer in before.layers} - layers
    if gone:
        fail(f"{what}: layers {gone} are gone")
    return len(added)


def load(path):
    """Read with recovery, which takes nothing for granted; binary files as they are."""
    if path.read_bytes()[:6] == b"AutoCA":
        document = ezdxf.readfile(path)
        return document, document.audit()
    return recover.readfile(path)


def entities(document):
    """Every entity of every layout and block by place, with its tags."""
    found = {}
    places = [("layout " + layout.name, layout) for layout in document.layouts]
    places += [
        ("block " + block.name, block)
        for block in document.blocks
        if not block.is_any_layout
    ]
    for place, container in places:
        for index, entity in enumerate(container):
            tags = TagCollector.dxftags(entity, dxfversion=document.dxfversion)
            if document.dxfversion == "AC1009":
                # Release 12 files need no handles; the reader makes them up then.
                tags = [tag for tag in tags if tag.code != 5]
            key = (place, index, entity.dxf.layer)
            found[key] = re.sub(r"\s+", " ", " ".join(str(tag) for tag in tags))
    return found


def sarif_validator(schema):
    import jsonschema

    content = json.loads(schema.read_text())
    validator = jsonschema.Draft4Validator(content)

    def validate(document):
        if errors := list(validator.iter_errors(document)):
            fail(f"SARIF: {errors[0].json_path}: {errors[0].message}")

    # It does refuse something.
    if not list(validator.iter_errors({"version": "2.1.0"})):
        fail("the SARIF schema refuses nothing")
    return validate


def reports(out, validate):
    report = json.loads((out / "report.json").read_text())
    validate(json.loads((out / "findings.sarif").read_text()))
    junit(out / "findings.junit.xml", report)


def junit(path, report):
    from junitparser import Error, Failure, JUnitXml, Skipped

    suites = JUnitXml.fromstring(path.read_bytes())
    cases = [case for suite in suites for case in suite]
    kinds = [{type(result) for result in case.result} for case in cases]
    counted = {
        "tests": len(cases),
        "failures": sum(Failure in kind for kind in kinds),
        "errors": sum(Error in kind for kind in kinds),
        "skipped": sum(Skipped in kind for kind in kinds),
    }
    for suite in suites:
        said = {key: getattr(suite, key) for key in counted}
        inside = list(suite)
        if said["tests"] != len(inside):
            fail(f"JUnit: {suite.name} says {said}, holds {len(inside)} cases")
    if report["outcome"] == "disagrees" and not counted["failures"]:
        fail("JUnit: a job that disagrees has no failure")
    for case in cases:
        if not case.name or not case.classname:
            fail("JUnit: a case without name or class")


def fail(message):
    sys.exit(message)


if __name__ == "__main__":
    main()
