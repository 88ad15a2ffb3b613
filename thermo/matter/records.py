"""One loader for all data: every number comes as a record with its range and its source."""

from __future__ import annotations

import copyreg
import csv
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any


def _view(values: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(values)


copyreg.pickle(MappingProxyType, lambda view: (_view, (dict(view),)))  # to other processes

DATA = Path(__file__).resolve().parent.parent / "data"


class UnknownName(LookupError):
    """A name that no table holds.

    Parameters
    ----------
    kind : str
        What was looked for: "solid", "filler", ...
    name : str
        The name as it was written.
    known : sequence of str
        Names that may be suggested.
    asks : str
        What to choose from, where it is a word of the trade for several; empty where it is none.
    """

    def __init__(self, kind: str, name: str, known: Iterable[str], asks: str = "") -> None:
        from difflib import get_close_matches

        self.kind, self.asks = kind, asks
        self.name = name
        self.known = tuple(known)
        folded = {fold(one): one for one in self.known}
        close = get_close_matches(fold(name), folded, n=1, cutoff=0.5)
        self.nearest = folded[close[0]] if close else None
        hint = f" Did you mean {self.nearest!r}?" if self.nearest else ""
        super().__init__(f"unknown {kind} {name!r}.{hint} Known: {', '.join(self.known)}.")


@dataclass(frozen=True)
class Record:
    """A number with its unit, range, source and how it was reached.

    `low` and `high` bound what is usual; None means unknown, never zero.
    """

    value: float
    unit: str
    low: float | None
    high: float | None
    source: str
    provenance: str

    @property
    def range(self) -> tuple[float, float]:
        """Low and high; an unknown end is the value itself, so the range is then one-sided."""
        return (
            self.value if self.low is None else self.low,
            self.value if self.high is None else self.high,
        )

    @classmethod
    def of(cls, row: Mapping[str, Any]) -> Record:
        """Read one row of a table, or one entry of a TOML file."""
        return cls(
            value=float(row["value"]),
            unit=row["unit"],
            low=number(row.get("low")),
            high=number(row.get("high")),
            source=row["source"],
            provenance=row["provenance"],
        )


@dataclass(frozen=True)
class Source:
    """Where numbers come from.

    `read` tells how near we got: "read", "quoted" (read in a text that quotes the source),
    "memory" (recalled, not checked), "calculated" or "none".
    """

    key: str
    title: str
    part: str
    kind: str
    read: str


def fold(name: str) -> str:
    """Spell a name without case, spaces, hyphens and underscores."""
    return "".join(letter for letter in name.casefold() if letter not in " -_")


def find(kind: str, name: str, known: Iterable[str]) -> str:
    """Spell a name as the table does; case, spaces, hyphens and underscores do not matter.

    A word of the trade that means one entry stands for it.

    Raises
    ------
    UnknownName
        The table does not hold it.
    """
    names = tuple(known)
    for one in names:
        if fold(one) == fold(name):
            return one
    word = trade_words(kind).get(fold(name), {})
    if word.get("means") in names:
        return word["means"]
    raise UnknownName(kind, name, names, word.get("asks", ""))


def trade_words(kind: str) -> Mapping[str, Mapping[str, str]]:
    """Words of the trade by how they fold: each `means` one entry, or `asks` for one of several."""
    words = document("trade_words.toml").get(kind, {})
    return {fold(name): word for name, word in words.items()}


def number(text: float | str | None) -> float | None:
    """Read a number; an empty cell is unknown, hence None."""
    return None if text is None or text == "" else float(text)


@cache
def table(name: str) -> tuple[Mapping[str, str], ...]:
    """Rows of a CSV file of the data folder."""
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return tuple(MappingProxyType(row) for row in csv.DictReader(file))


@cache
def document(name: str) -> Mapping[str, Any]:
    """Content of a TOML file of the data folder."""
    with (DATA / name).open("rb") as file:
        return MappingProxyType(tomllib.load(file))


@cache
def sources() -> Mapping[str, Source]:
    """All sources by key."""
    entries = document("sources.toml")
    return MappingProxyType({key: Source(key=key, **entry) for key, entry in entries.items()})


@cache
def constants(group: str) -> Mapping[str, Record]:
    """Records of one group of the table of constants.

    Groups: emissivity, oxidation, contact, filler, fillet, coat, water, bound-water.

    Raises
    ------
    UnknownName
        No such group.
    """
    rows = table("constants.csv")
    groups = sorted({row["group"] for row in rows})
    if group not in groups:
        raise UnknownName("group of constants", group, groups)
    found = {row["name"]: Record.of(row) for row in rows if row["group"] == group}
    return MappingProxyType(found)


def constant(group: str, name: str) -> Record:
    """One record of the table of constants, such as ("contact", "gap-dry").

    Raises
    ------
    UnknownName
        No such group, or no such name in it.
    """
    group_records = constants(group)
    if name not in group_records:
        raise UnknownName(group, name, group_records)
    return group_records[name]
