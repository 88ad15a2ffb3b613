"""What a campaign comes to: totals, the slowest, peak memory, and a small case for each fault."""

from __future__ import annotations

import copy
import json
import shlex
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from validation.fuzz.cases import Tables, as_toml
from validation.fuzz.checks import faults
from validation.fuzz.inputs import CASE, LEGAL, Input
from validation.fuzz.runs import Outcome, Work, run_all

MOST_KEPT = 3  # cases kept of one check, each made small
MOST_TRIES = 40  # at making a case small
TRY_S = 10.0


@dataclass
class Campaign:
    """Totals of what was run, and what failed."""

    totals: Counter[tuple[str, str, str]] = field(default_factory=Counter)
    failed: dict[str, list[tuple[Input, str, Work]]] = field(
        default_factory=lambda: defaultdict(list)
    )
    slowest: tuple[float, Input | None] = (0.0, None)
    peak: tuple[float, Input | None] = (0.0, None)
    repeated: int = 0
    worst_K: dict[str, float] = field(default_factory=dict)
    measured: list[tuple[int, str]] = field(default_factory=list)
    not_ended: list[int] = field(default_factory=list)

    def add(self, given: Input, found: Outcome, work: Work) -> None:
        """Count an outcome, and keep what it fails."""
        self.totals[given.command, given.kind, found.ended] += 1
        self.repeated += found.same is not None
        if given.kind == LEGAL and found.seconds > self.slowest[0]:
            self.slowest = found.seconds, given
        if found.peak_MB > self.peak[0]:
            self.peak = found.peak_MB, given
        for name, (kelvin, *_) in found.worst.items():
            self.worst_K[name] = max(kelvin, self.worst_K.get(name, 0.0))
        for check, text in faults(given, found).items():
            self.failed[check].append((given, text, work))

    def add_probe(self, given: Input, found: Outcome, work: Work) -> None:
        """Keep what a comparison of brazes gives; one that does not end in time is counted."""
        if found.ended == "hang":
            self.not_ended.append(given.number)
            return
        self.measured.append((given.number, found.probed.get("measured", found.ended)))
        for check, text in faults(given, found).items():
            self.failed[check].append((given, text, work))

    def write(self, folder: Path, seconds: float) -> str:
        """Write findings.json, summary.txt and a folder for each kept case; the summary."""
        folder.mkdir(parents=True, exist_ok=True)
        summary = "\n".join(self._lines(seconds))
        (folder / "summary.txt").write_text(summary + "\n", encoding="utf-8")
        kept = []
        for check, cases in sorted(self.failed.items()):
            for given, text, work in cases[:MOST_KEPT]:
                small = shrunk(given, check, work)
                place = folder / f"{check.replace(': ', '-').replace(' ', '-')}-{given.number}"
                place.mkdir(exist_ok=True)
                for name, content in small.files.items():
                    (place / name).write_bytes(content)
                (place / "command.txt").write_text(f"{told(small)}\n{text}\n", encoding="utf-8")
                one = {"check": check, "number": given.number, "command": told(small)}
                kept.append(one | {"text": text, "folder": place.name})
        document: dict[str, Any] = {
            "seconds": seconds,
            "totals": [[*key, count] for key, count in sorted(self.totals.items())],
            "failed": {name: [one[0].number for one in c] for name, c in self.failed.items()},
            "kept": kept,
            "probed": self.measured,
            "outside_K": self.worst_K,
        }
        text = json.dumps(document, indent=1)
        (folder / "findings.json").write_text(text + "\n", encoding="utf-8")
        return summary

    def _lines(self, seconds: float) -> Iterator[str]:
        commands = sorted({command for command, *_ in self.totals})
        ends = sorted({(kind, end) for _, kind, end in self.totals})
        yield f"{sum(self.totals.values())} inputs in {seconds:.0f} s"
        yield f"{'':10}" + "".join(f"{kind + ' ' + end:>16}" for kind, end in ends)
        for command in commands:
            counts = (self.totals[command, kind, end] for kind, end in ends)
            yield f"{command:10}" + "".join(f"{count:16}" for count in counts)
        for name, (value, given), unit in (
            ("slowest legal input", self.slowest, "s"),
            ("peak memory", self.peak, "MB"),
        ):
            if given is not None:
                yield f"{name}: {value:.1f} {unit}, input {given.number}: {told(given)}"
        if self.slowest[1] is not None:
            yield self.slowest[1].files[CASE].decode(errors="replace")
        outside = ", ".join(f"{name} {k:.2f} K" for name, k in sorted(self.worst_K.items()))
        yield f"farthest outside room to gas: {outside or 'nothing'}"
        yield f"{self.repeated} repeated"
        yield (
            f"{len(self.measured)} held against finer runs and more fuel, {len(self.not_ended)} "
            "more not ended in time; number: share off fine, share off fine tolerance, filler K"
        )
        yield from (f"  {number}: {text}" for number, text in sorted(self.measured))
        yield f"failed checks: {sum(map(len, self.failed.values()))}"
        for check, cases in sorted(self.failed.items()):
            numbers = ", ".join(str(given.number) for given, *_ in cases[:12])
            yield f"  {check}: {len(cases)} ({numbers}{' ...' if len(cases) > 12 else ''})"
            yield from (f"    {' '.join(text.split())[:150]}" for _, text, _ in cases[:MOST_KEPT])


def told(given: Input) -> str:
    """The command as typed."""
    return shlex.join(["brazeclock", *given.words])


def shrunk(given: Input, check: str, work: Work) -> Input:
    """An input without the tables and keys that the fault does without."""
    if given.case is None or check == "hang":
        return given
    for place in _places(given.case)[:MOST_TRIES]:
        case = _without(given.case, place)
        if case is None or not case:
            continue
        smaller = replace(given, case=case, files=given.files | {CASE: as_toml(case).encode()})
        [(_, found)] = run_all([smaller], work, limit_s=TRY_S)
        if check in faults(smaller, found):
            given = smaller
    return given


def _places(case: Tables) -> list[tuple[str, ...]]:
    """Tables first, then their keys."""
    keys = [(name, key) for name, table in case.items() if isinstance(table, dict) for key in table]
    return [*((name,) for name in case), *keys]


def _without(case: Tables, place: tuple[str, ...]) -> Tables | None:
    """The case without a table or a key; None where that is gone already."""
    case = copy.deepcopy(case)
    table = case if len(place) == 1 else case.get(place[0], {})
    if place[-1] not in table:
        return None
    del table[place[-1]]
    return case
