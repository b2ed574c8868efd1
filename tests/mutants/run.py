"""Tries many small changes of one room at the cost of one build.

    python tests/mutants/run.py make audit    all changes of src/audit into one copy of the
                                              project, each behind a switch; what does not
                                              compile is taken out
    python tests/mutants/run.py reach         which test comes past which change
    python tests/mutants/run.py try [SECONDS] runs the tests that do, the quickest first,
                                              until one fails or they would take longer
    python tests/mutants/run.py show          what no test noticed

Needs `cargo install cargo-mutants`. All is kept in target/mutants; `reach` and `try` go on
where they were ended. `MUTANT=17 target/mutants/project/target/debug/dryfit check DIR` runs
the program with the 17th change.
"""

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
HOME = ROOT / "target" / "mutants"
PROJECT = HOME / "project"
# Tests that hold the program against time or a live folder, or never come to an audit.
SKIPPED = {"browser", "fuzz_seeds", "floods", "growth", "page", "release", "storage", "watch"}
# Rooms whose own tests run an audit; those of the rooms before it cannot.
LATER_ROOMS = ("report", "signoff", "cli")

# Each test is run many times: the project itself is compiled to run quickly.
QUICK = ["--config", "profile.dev.package.dryfit.opt-level=1"]

SWITCH = """\
//! Which change is made in this run.
use std::io::Write;
use std::sync::LazyLock;
use std::sync::atomic::{AtomicBool, Ordering};
static MADE: LazyLock<usize> =
    LazyLock::new(|| std::env::var("MUTANT").ok().and_then(|n| n.parse().ok()).unwrap_or(0));
static RECORD: LazyLock<Option<String>> = LazyLock::new(|| std::env::var("MUTANT_REACHED").ok());
static REACHED: [AtomicBool; 1 << 14] = [const { AtomicBool::new(false) }; 1 << 14];
pub fn on(id: usize) -> bool {
    if let Some(path) = &*RECORD && !REACHED[id].swap(true, Ordering::Relaxed) {
        let mut file = std::fs::OpenOptions::new().append(true).create(true).open(path).unwrap();
        file.write_all(format!("{id}\\n").as_bytes()).unwrap();
    }
    *MADE == id
}
"""


def read(name, otherwise):
    path = HOME / name
    return json.loads(path.read_text()) if path.exists() else otherwise


def write(name, value):
    (HOME / name).write_text(json.dumps(value))


def copy():
    """The project as it is, but for what was built of the copy before."""
    for name in ("src", "tests"):
        shutil.rmtree(PROJECT / name, ignore_errors=True)
    PROJECT.mkdir(parents=True, exist_ok=True)
    listed = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    names = subprocess.run(listed, cwd=ROOT, check=True, capture_output=True).stdout
    for name in filter(None, names.decode().split("\0")):
        if (ROOT / name).is_file():
            (PROJECT / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / name, PROJECT / name)
    (PROJECT / "src" / "mutant.rs").write_text(SWITCH)
    head = PROJECT / "src" / "lib.rs"
    head.write_text(head.read_text().replace("\npub mod ", "\npub mod mutant;\npub mod ", 1))


def rewrite(excluded):
    copy()
    (HOME / "excluded.txt").write_text("\n".join(map(str, sorted(excluded))))
    manifest = ROOT / "tests" / "mutants" / "rewrite" / "Cargo.toml"
    call = ["cargo", "run", "-q", "--manifest-path", manifest, "--target-dir", HOME / "rewriter"]
    call += ["--", HOME / "list.json", HOME / "excluded.txt", PROJECT]
    done = subprocess.run(call, check=True, capture_output=True, text=True)
    (HOME / "pieces.json").write_text(done.stdout)
    return json.loads(done.stdout)


def blamed(message, places, changes):
    """The changes an error of the compiler speaks of."""
    spans = sorted(message["spans"], key=lambda span: not span["is_primary"])
    for span in spans:
        held = [
            place
            for place in places
            if place["file"] == span["file_name"]
            and place["start"] <= span["byte_start"]
            and span["byte_end"] <= place["end"]
        ]
        if held:
            return min(held, key=lambda p: (p["whole"], p["end"] - p["start"]))["ids"]
    # A value given back early decides the type of the whole function.
    for span in spans:
        lines = (PROJECT / span["file_name"]).read_text().split("\n")[: span["line_start"]]
        named = [found.group(1) for line in lines if (found := re.search(r"\bfn (\w+)", line))]
        ids = [
            number
            for number, change in enumerate(changes, 1)
            if named
            and change["file"] == span["file_name"]
            and change["genre"] == "FnValue"
            and change["function"]["function_name"].split("::")[-1] == named[-1]
        ]
        if ids:
            return ids
    return []


def make(room):
    HOME.mkdir(parents=True, exist_ok=True)
    call = ["cargo", "mutants", "--list", "--json", "-f", f"src/{room}/**"]
    found = subprocess.run(call, cwd=ROOT, check=True, capture_output=True, text=True)
    changes = json.loads(found.stdout)
    # Where only tests were written since, what does not compile is known.
    same = changes == read("list.json", None)
    excluded = set(read("excluded.json", [])) if same else set()
    write("list.json", changes)
    # The numbers of changes and what tests say of them hold for one build.
    for name in ("reach.json", "results.jsonl"):
        (HOME / name).unlink(missing_ok=True)
    while True:
        made = rewrite(excluded)
        call = ["cargo", "build", *QUICK, "--lib", "--message-format=json"]
        built = subprocess.run(call, cwd=PROJECT, capture_output=True, text=True)
        if built.returncode == 0:
            break
        more = set()
        for message in map(json.loads, built.stdout.splitlines()):
            message = message.get("message")
            if isinstance(message, dict) and message["level"] == "error" and message["spans"]:
                more.update(blamed(message, made["places"], changes))
        if not more - excluded:
            sys.exit(built.stderr)
        excluded |= more
        print(f"{len(excluded)} do not compile", flush=True)
    write("room.json", room)
    write("excluded.json", sorted(excluded))
    call = ["cargo", "build", *QUICK, "--tests", "--message-format=json"]
    built = subprocess.run(call, cwd=PROJECT, check=True, stdout=subprocess.PIPE, text=True)
    binaries = {}
    for part in map(json.loads, built.stdout.splitlines()):
        if part.get("reason") == "compiler-artifact" and part["profile"]["test"]:
            target = part["target"]
            if part.get("executable") and target["kind"] != ["bin"]:
                binaries[target["name"]] = part["executable"]
    write("binaries.json", binaries)
    missing = len(made["missing"])
    print(f"{len(changes)} changes; {len(excluded)} do not compile, {missing} cannot be switched")


def environment(**more):
    kept = {k: v for k, v in os.environ.items() if k not in ("MUTANT", "DRYFIT_WRITE")}
    kept.update(CARGO_MANIFEST_DIR=str(PROJECT), INSTA_WORKSPACE_ROOT=str(PROJECT), INSTA_UPDATE="no")
    kept["CARGO_BIN_EXE_dryfit"] = str(PROJECT / "target" / "debug" / "dryfit")
    return {**kept, **more}


def run(binary, names, limit, **more):
    """Exit status, or "time" when it had to be ended, and seconds."""
    start = time.time()
    job = subprocess.Popen(
        [binary, "--exact", "--test-threads", "1", *names],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        cwd=PROJECT,
        env=environment(**more),
        start_new_session=True,
    )
    try:
        status = job.wait(limit)
    except subprocess.TimeoutExpired:
        os.killpg(job.pid, signal.SIGKILL)
        job.wait()
        status = "time"
    return status, time.time() - start


def tests(name, binary):
    call = [binary, "--list"]
    said = subprocess.run(call, capture_output=True, text=True, cwd=PROJECT, env=environment())
    names = [line.removesuffix(": test") for line in said.stdout.splitlines() if line.endswith(": test")]
    rooms = (read("room.json", ""), *LATER_ROOMS)
    return [test for test in names if name != "dryfit" or test.split("::")[0] in rooms]


def reach():
    reached = read("reach.json", {})
    record = HOME / "reached.txt"
    for name, binary in read("binaries.json", {}).items():
        if name in SKIPPED:
            continue
        for test in tests(name, binary):
            if f"{name}::{test}" in reached:
                continue
            record.unlink(missing_ok=True)
            run(binary, [test], 900, MUTANT_REACHED=str(record))
            ids = sorted(set(map(int, record.read_text().split()))) if record.exists() else []
            # Once more without the record, for its time and its outcome.
            status, seconds = run(binary, [test], 900) if ids else (0, 0.0)
            reached[f"{name}::{test}"] = {"status": status, "seconds": seconds, "ids": ids}
        write("reach.json", reached)
        print(name, flush=True)


def results():
    path = HOME / "results.jsonl"
    lines = path.read_text().splitlines() if path.exists() else []
    return {result["id"]: result for result in map(json.loads, lines)}


def attempt(most):
    reached, binaries, held = read("reach.json", {}), read("binaries.json", {}), results()
    by_change = {}
    for test, found in reached.items():
        for change in found["ids"] if found["status"] == 0 else []:
            by_change.setdefault(change, []).append(test)
    made = {i for place in read("pieces.json", {})["places"] for i in place["ids"]}
    noticed_by = Counter()
    with open(HOME / "results.jsonl", "a") as out:
        for change in sorted(made):
            before = held.get(change, {"tried": []})
            if before.get("by"):
                continue
            tried = set(before["tried"])
            todo = [test for test in by_change.get(change, []) if test not in tried]
            # What notices much for its time comes first.
            todo.sort(key=lambda test: (reached[test]["seconds"] + 0.02) / (1 + noticed_by[test]))
            spent, by = 0.0, None
            while todo and not by:
                name = todo[0].split("::")[0]
                batch, cost = [], 0.0
                for test in todo:
                    more = reached[test]["seconds"]
                    if test.split("::")[0] != name or (batch and cost + more > max(0.4, spent / 2)):
                        break
                    batch.append(test)
                    cost += more
                if spent + cost > most:
                    break
                todo = todo[len(batch) :]
                names = [test.split("::", 1)[1] for test in batch]
                status, seconds = run(binaries[name], names, 15 + 8 * cost, MUTANT=str(change))
                spent += seconds
                if status != 0:
                    by = batch
                    noticed_by.update(batch)
                else:
                    tried.update(batch)
            result = {"id": change, "by": by, "tried": sorted(tried), "left": len(todo)}
            out.write(json.dumps(result) + "\n")
            out.flush()


def show():
    changes, held = read("list.json", []), results()
    for number, result in sorted(held.items()):
        if not result["by"]:
            left = f" ({result['left']} tests not run)" if result["left"] else ""
            print(number, changes[number - 1]["name"] + left)
    noticed = sum(bool(result["by"]) for result in held.values())
    print(f"{len(held)} tried, {noticed} noticed")


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["make", room]:
            make(room)
        case ["reach"]:
            reach()
        case ["try", *most]:
            attempt(float(most[0]) if most else float("inf"))
        case ["show"]:
            show()
        case _:
            sys.exit(__doc__)
