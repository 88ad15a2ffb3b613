"""Make small changes to the code, one at a time, and see whether a test fails for each.

    python -m validation.mutation --seed 1 --mutants 400 --workers 2

Needs a system that can fork. First every test is run alone to learn which lines it runs (kept in
the output folder for as long as no source changes); then each mutant meets the tests that run its
line, those that mirror its file and the quick ones first, until one fails.
"""

from __future__ import annotations

import os

os.environ["OMP_NUM_THREADS"] = "1"

import argparse
import hashlib
import json
import shutil
import signal
import sys
import time
import tomllib
from collections import Counter
from collections.abc import Iterator
from itertools import chain
from pathlib import Path
from typing import Any

from validation.mutation.mutants import Mutant, mutants_of, sample
from validation.mutation.trial import (
    Job,
    Limits,
    by_line,
    in_children,
    survey_job,
    trial_job,
    warm_up,
)

ROOMS = ("heat", "braze", "flame", "shape")
EQUIVALENT = Path(__file__).with_name("equivalent.toml")
OUTCOMES = ("killed", "timeout", "survived", "equivalent")


def main() -> int:
    """Run a campaign; 1 if 5 % or more of the mutants survive, 2 if it cannot be run."""
    given = _arguments()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))  # its children end with it
    root, out = given.root.resolve(), given.out.resolve()
    only = given.only or [f"thermo/{room}" for room in ROOMS]
    tests = given.tests or [f"tests/{room}" for room in ROOMS]
    files = sorted(f for f in _python(root) if f.startswith(tuple(only)) and f not in tests)
    scratch = out / "scratch"
    shutil.rmtree(scratch, ignore_errors=True)
    scratch.mkdir(parents=True)
    warm_up(out / "pyc")
    survey = _survey(root, files, tests, given.workers, out)
    if broken := [node for node, test in survey["tests"].items() if not test.get("passed")]:
        print("Left out, they fail with nothing changed:", *broken, sep="\n  ", file=sys.stderr)
        survey["tests"] = {n: test for n, test in survey["tests"].items() if n not in broken}
    if not _control(root, files[0], survey, scratch):
        print("Tests fail together with nothing changed, though none fails alone", file=sys.stderr)
        return 2
    if given.again:
        old = {tuple(row["key"]) for row in json.loads(given.again.read_text())["survived"]}
        mutants = [m for file in files for m in mutants_of(root, file) if m.key in old]
    else:
        mutants = sample(root, files, given.mutants, given.seed)
    rows: dict[str, list[dict[str, Any]]] = {outcome: [] for outcome in OUTCOMES}
    began = time.monotonic()
    try:
        for number, (outcome, row) in enumerate(_tried(root, mutants, survey, given, scratch), 1):
            rows[outcome].append(row)
            if outcome != "killed":
                print(f"{number}/{len(mutants)} {outcome}: {_line(row)}", flush=True)
    finally:
        report = _report(rows, given.seed, began)
        (out / "report.json").write_text(json.dumps(report, indent=1, ensure_ascii=False))
        print(*_summary(report), sep="\n")
        shutil.rmtree(scratch)
    return 1 if report["share_survived"] >= 0.05 else 0


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="python -m validation.mutation",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--mutants", type=int, default=400, metavar="N")
    parser.add_argument("--workers", type=int, default=2, metavar="N")
    parser.add_argument("--only", action="append", metavar="PATH", help="files that begin so")
    parser.add_argument("--tests", action="append", metavar="PATH", help="tests to judge by")
    parser.add_argument("--seconds", type=float, default=60.0, help="CPU a mutant's tests may take")
    parser.add_argument("--patience", type=float, default=20.0, help="CPU one test may take more")
    parser.add_argument("--again", type=Path, metavar="JSON", help="survivors of a report only")
    parser.add_argument("--out", type=Path, default=Path("mutation-report"), metavar="DIR")
    parser.add_argument("--root", type=Path, default=Path(), help="folder that holds the code")
    return parser.parse_args()


def _python(root: Path) -> list[str]:
    kept = (p.relative_to(root) for p in root.rglob("*.py"))
    return [p.as_posix() for p in kept if not any(part.startswith(".") for part in p.parts)]


def _survey(
    root: Path, files: list[str], tests: list[str], workers: int, out: Path
) -> dict[str, Any]:
    """Lines that each test runs, from the cache if no source has changed since."""
    digest = hashlib.sha256(repr((files, tests, sys.version)).encode())
    for path in sorted(p for p in root.rglob("*") if p.suffix in (".py", ".toml", ".csv")):
        if not path.is_relative_to(out) and "mutation" not in path.parts:
            digest.update(path.read_bytes())
    cache = out / f"lines-{digest.hexdigest()[:16]}.json"
    if not cache.exists():
        for old in out.glob("lines-*.json"):
            old.unlink()
        job = survey_job(root, files, tests, workers)
        for _, told, ended_by, seconds in in_children([("", job)], 1, out / "scratch"):
            if not told:
                sys.exit(f"the tests cannot be collected (signal {ended_by})")
            cache.write_text(json.dumps(told))
            print(f"{len(told['tests'])} tests alone: {seconds:.0f} s of CPU", flush=True)
    survey: dict[str, Any] = json.loads(cache.read_text())
    return survey


def _control(root: Path, file: str, survey: dict[str, Any], scratch: Path) -> bool:
    """Whether the quick tests pass in a trial that changes nothing."""
    seconds = {node: test["seconds"] for node, test in survey["tests"].items()}
    quick = dict(sorted(seconds.items(), key=lambda entry: entry[1])[:300])
    job = trial_job(root, file, (root / file).read_bytes(), quick, Limits(20.0, 20.0))
    return all(not told["killed_by"] for _, told, *_ in in_children([("", job)], 1, scratch))


def _tests_for(mutant: Mutant, survey: dict[str, Any], table: dict[str, Any]) -> dict[str, float]:
    """Tests that run a mutant's lines with their seconds, in the order to run them.

    What runs on import is judged by all tests that run anything of the file, or else by all.
    """
    lines = table.get(mutant.file, {})
    nodes = set().union(*(lines.get(n, ()) for n in range(mutant.first, mutant.last + 1)))
    if "" in nodes:
        nodes |= set().union(*lines.values())
        nodes = nodes - {""} or set(survey["tests"])
    room, name = Path(mutant.file).parts[-2:]
    mirror = f"{room}/test_{name}::"
    seconds = {node: survey["tests"][node]["seconds"] for node in nodes}
    order = sorted(nodes, key=lambda n: (seconds[n] * (0.2 if mirror in n else 1.0), n))
    return {node: seconds[node] for node in order}


def _tried(
    root: Path,
    mutants: list[Mutant],
    survey: dict[str, Any],
    given: argparse.Namespace,
    scratch: Path,
) -> Iterator[tuple[str, dict[str, Any]]]:
    """Try every mutant; outcome and row of each, as they come."""
    limits, table = Limits(given.seconds, given.patience), by_line(survey)
    listed = {(e["file"], e["before"], e["after"]): e["why"] for e in _equivalent()}
    jobs: list[tuple[Mutant, Job]] = []
    untested: list[Mutant] = []
    for mutant in mutants:
        source = mutant.applied((root / mutant.file).read_bytes())
        if tests := _tests_for(mutant, survey, table):
            jobs.append((mutant, trial_job(root, mutant.file, source, tests, limits)))
        else:
            untested.append(mutant)
    nothing = {"killed_by": "", "note": "no test runs it"}
    done = [(mutant, nothing, 0, 0.0) for mutant in untested]
    trials = in_children(jobs, given.workers, scratch)
    for mutant, told, ended_by, seconds in chain(done, trials):
        row = {"key": mutant.key, "line": mutant.line, "kind": mutant.kind, **told}
        row["seconds"] = round(seconds, 2)
        outcome = _outcome(told, ended_by)
        if outcome == "survived" and mutant.key in listed:
            outcome, row["why"] = "equivalent", listed[mutant.key]
        yield outcome, row


def _report(rows: dict[str, list[dict[str, Any]]], seed: int, began: float) -> dict[str, Any]:
    """What came out, also of a campaign that was broken off."""
    for of_outcome in rows.values():
        of_outcome.sort(key=lambda row: (row["key"][0], row["line"], row["key"]))
    tried = sum(map(len, rows.values()))
    share = len(rows["survived"]) / max(tried, 1)
    wall = round(time.monotonic() - began)
    return {"seed": seed, "tried": tried, "share_survived": share, "wall_s": wall, **rows}


def _outcome(told: dict[str, Any], ended_by: int) -> str:
    """A test that took ten times as long and more is told apart from one that failed."""
    if ended_by in (signal.SIGPROF, signal.SIGKILL):
        return "timeout"
    return "killed" if ended_by or told.get("killed_by", "it broke pytest") else "survived"


def _equivalent() -> list[dict[str, str]]:
    listed: list[dict[str, str]] = tomllib.loads(EQUIVALENT.read_text(encoding="utf-8"))["mutant"]
    return listed


def _line(row: dict[str, Any]) -> str:
    file, before, after = row["key"]
    more = row.get("note") or (f"{row['left_out']} tests left out" if row.get("left_out") else "")
    return f"{file}:{row['line']}  {before}  ->  {after}" + (f"  ({more})" if more else "")


def _summary(report: dict[str, Any]) -> list[str]:
    """The report in lines: by file, then what survived and what took too long."""
    lines = [f"{'file':34}" + "".join(f"{outcome:>12}" for outcome in OUTCOMES)]
    counts = {o: Counter(row["key"][0] for row in report[o]) for o in OUTCOMES}
    lines += [
        f"{file:34}" + "".join(f"{counts[outcome][file]:12d}" for outcome in OUTCOMES)
        for file in sorted(set().union(*counts.values()))
    ]
    for outcome in OUTCOMES[1:]:
        lines += ["", f"{outcome}: {len(report[outcome])}", *map(_line, report[outcome])]
    lines.append(
        f"\n{report['tried']} tried (seed {report['seed']}), {len(report['killed'])} killed, "
        f"{len(report['timeout'])} took too long, {len(report['equivalent'])} equivalent, "
        f"{len(report['survived'])} survived = {report['share_survived']:.1%}; {report['wall_s']} s"
    )
    return lines


if __name__ == "__main__":
    sys.exit(main())
