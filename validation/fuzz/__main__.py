"""Run a campaign: `python -m validation.fuzz --seed 1 --inputs 20000 [--workers 2] [--out DIR]`."""

from __future__ import annotations

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

import argparse
import json
import sys
import time
from pathlib import Path

from validation.fuzz.inputs import CASE, LEGAL, Input, draw_input
from validation.fuzz.report import Campaign
from validation.fuzz.runs import (
    LIMIT_S,
    PROBE_LIMIT_S,
    Outcome,
    run_all,
    run_command,
    run_probe,
    run_twice,
)

TOLD_EVERY = 500
REPEAT_EVERY = 50
PROBE_EVERY = 20  # of the cases whose gap melts filler; about one in a hundred legal heat inputs


def campaign(
    seed: int, first: int, count: int, workers: int = 1, limit_s: float = LIMIT_S
) -> Campaign:
    """Run the inputs of a seed from a number on."""
    found = Campaign()
    inputs = [draw_input(seed, number) for number in range(first, first + count)]
    again = [one for one in inputs if one.number % REPEAT_EVERY == 0]
    once = [one for one in inputs if one.number % REPEAT_EVERY]
    good = []
    for part, work in ((once, run_command), (again, run_twice)):
        for given, outcome in run_all(part, work, workers, limit_s):
            found.add(given, outcome, work)
            if (done := found.totals.total()) % TOLD_EVERY == 0:
                print(f"{done} of {count} inputs, {len(found.failed)} checks failed", flush=True)
            if melts(given, outcome):
                good.append(given)
    good.sort(key=lambda one: one.number)  # not by the order of their ends
    for given, outcome in run_all(good[::PROBE_EVERY], run_probe, workers, PROBE_LIMIT_S):
        found.add_probe(given, outcome, run_probe)
    return found


def melts(given: Input, found: Outcome) -> bool:
    """True of a braze whose gap reaches the filler's liquidus: it has times to compare."""
    if given.command != "heat" or given.kind != LEGAL or CASE not in given.words:
        return False
    if found.ended != "exit 0" or "--json" not in given.words:
        return False
    stages = json.loads(found.stdout)["stages"]
    return any(one["name"] == "liquidus" and one["time_s"] is not None for one in stages)


def main(arguments: list[str] | None = None) -> int:
    """Run the inputs and write what came of it; 1 if any check failed."""
    parser = argparse.ArgumentParser(prog="python -m validation.fuzz", description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, help="number of the first input")
    parser.add_argument("--inputs", type=int, default=20000)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument(
        "--limit", type=float, default=LIMIT_S, help="processor seconds for one input"
    )
    parser.add_argument("--out", type=Path, default=Path("validation-report/fuzz"), metavar="DIR")
    given = parser.parse_args(arguments)
    began = time.monotonic()
    found = campaign(given.seed, given.first, given.inputs, given.workers, given.limit)
    print(found.write(given.out, time.monotonic() - began))
    print(f"Report: {given.out / 'summary.txt'}, {given.out / 'findings.json'}")
    return 1 if found.failed else 0


if __name__ == "__main__":
    sys.exit(main())
