"""What every outcome must keep to."""

from __future__ import annotations

import itertools
import json
from collections.abc import Iterator
from typing import Any

from validation.fuzz.heat import SLACK_K
from validation.fuzz.inputs import CASE, SPOILT, Input
from validation.fuzz.runs import Outcome

IN_ORDER = (
    ("flux-dry", "flux-milky", "flux-clear"),
    ("solidus", "liquidus"),
    ("liquidus", "filled", "solid"),
    ("flame-off", "solid", "wash"),
)
RISING = (
    ("low", "high"),
    ("low_s", "high_s"),
    ("least", "aim", "most"),
)
LEDGER = 1e-9
WORDS_MOST = 6000  # letters of a message: eight lines, each with a path and a remedy


def faults(given: Input, found: Outcome) -> dict[str, str]:
    """Every check that an outcome fails, and how."""
    return dict(_faults(given, found))


def _faults(given: Input, found: Outcome) -> Iterator[tuple[str, str]]:
    if found.ended in ("hang", "crash"):
        yield found.ended, f"after {found.seconds:.0f} s"
        return
    if found.ended not in ("exit 0", "exit 1", "exit 2"):
        yield "exit code", found.ended
    if found.ended == "exit 1":
        yield "failed run", found.stderr or found.raised
    if found.raised:
        yield "traceback", found.raised
    if found.warned:
        yield "warning", "; ".join(found.warned)
    if found.same is False:
        yield "repeat", "the same input gave other bytes"
    if given.kind == SPOILT and found.ended == "exit 0":
        yield "accepted", f"a fault at {given.named!r} is passed over"
    shown = {c for c in found.stdout + found.stderr if not (c.isprintable() or c in "\n\t")}
    if shown:
        yield "raw letters", " ".join(sorted(f"U+{ord(c):04X}" for c in shown))
    for name, (kelvin, at_C, t) in found.worst.items():
        if kelvin > SLACK_K:
            yield (
                f"outside: {name}",
                f"{kelvin:.2f} K outside room to gas: {at_C:.1f} °C at {t:g} s",
            )
    for name, text in found.probed.items():
        if name != "measured":
            yield name, text
    if not found.probed:
        yield from _refused(given, found) if found.ended != "exit 0" else _answered(given, found)


def _refused(given: Input, found: Outcome) -> Iterator[tuple[str, str]]:
    """One message on stderr that names file and key."""
    if found.stdout and "--json" in given.words:
        yield "noise", f"stdout of a refusal: {found.stdout[:80]!r}"
    message = found.stderr
    count = sum(line.startswith("Error: ") for line in message.splitlines())
    if count != 1:
        yield "message", f"{count} messages on stderr: {message[:200]!r}"
    if len(message) > WORDS_MOST:
        yield "message", f"{len(message)} letters long"
    if given.named and given.named not in message:
        yield "unnamed", f"{given.named!r} is not named: {message[:200]!r}"
    by_usage = message.startswith("Usage:")
    if given.kind != SPOILT and CASE in given.words and not by_usage and CASE not in message:
        yield "unnamed", f"the file is not named: {message[:200]!r}"


def _answered(given: Input, found: Outcome) -> Iterator[tuple[str, str]]:
    """Text or one sound document on stdout, nothing on stderr."""
    if found.stderr:
        yield "noise", f"stderr of a good run: {found.stderr[:200]!r}"
    if not found.stdout.strip():
        yield "silent", "nothing on stdout"
    if "--json" not in given.words:
        return
    try:
        document = json.loads(found.stdout, parse_constant=_no_number)
    except ValueError as fault:
        yield "document", str(fault)
        return
    if not isinstance(document, dict) or "schema" not in document:
        yield "document", "no schema"
    for part in _parts(document):
        yield from _sound(part)


def _no_number(name: str) -> float:
    raise ValueError(f"{name} in a document")


def _parts(value: Any) -> Iterator[dict[str, Any]]:
    """Every object of a document."""
    if isinstance(value, dict):
        yield value
    for inner in value.values() if isinstance(value, dict) else value:
        if isinstance(inner, dict | list):
            yield from _parts(inner)


def _sound(part: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Order of stages, rising bounds, and the ledger, of one object."""
    stages = part.get("stages")
    if isinstance(stages, list):
        for key, names in itertools.product(("time_s", "seen_s"), IN_ORDER):
            times = {one["name"]: one[key] for one in stages}
            yield from _rising("stages", key, {name: times.get(name) for name in names})
    for keys in RISING:
        if all(key in part for key in keys):
            yield from _rising("bounds", "", {key: part[key] for key in keys})
    residual = part.get("residual", 0.0)
    if residual is None or abs(residual) > LEDGER:
        yield "ledger", f"residual {residual}"


def _rising(check: str, key: str, values: dict[str, Any]) -> Iterator[tuple[str, str]]:
    known = [(name, x) for name, x in values.items() if isinstance(x, int | float)]
    for (one, low), (other, high) in itertools.pairwise(known):
        if low > high:
            yield check, f"{one} {low:g} after {other} {high:g} {key}".rstrip()
