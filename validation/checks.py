"""Rows of published numbers, how far ours may be from them, and what came of it.

A folder per source holds `rows.toml`, the numbers as data, and `check.py`, whose `ROWS` names for
every row the function that computes our own numbers from the row's inputs. Comparing is done here,
once for all.
"""

from __future__ import annotations

import csv
import importlib
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from importlib import metadata
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

HERE = Path(__file__).parent
EVERY = "every"  # key of the tolerance of all series that have none of their own


@dataclass(frozen=True)
class Tolerance:
    """How far a number may be off.

    Parameters
    ----------
    absolute : float
        In the number's unit.
    relative : float
        Of the expected number, of its rise above `above`, or of `scale`.
    above : float
        Level from which a rise counts.
    scale : float, optional
        What the relative part is of, instead.
    series : str
        Series of the row whose rise at the same time the relative part is of, instead.
    least : bool
        The expected number is a least value: more is as good.
    words : str
        What the relative part is of, in words.
    """

    absolute: float = 0.0
    relative: float = 0.0
    above: float = 0.0
    scale: float | None = None
    series: str = ""
    least: bool = False
    words: str = ""

    def bound(self, expected: Floats, others: Mapping[str, Floats]) -> Floats:
        """Largest difference allowed, as many as expected numbers."""
        base = np.abs(others.get(self.series, expected) - self.above)
        if self.scale is not None:
            base = np.full_like(expected, self.scale)
        return np.maximum(self.absolute, self.relative * base)

    def told(self, unit: str) -> str:
        """The tolerance in words."""
        if self.least:
            return "at least"
        parts = [f"{self.absolute:g} {unit}".rstrip()] if self.absolute else []
        if self.relative:
            share = (
                f"{100 * self.relative:g} %"
                if self.relative >= 1e-4
                else f"{self.relative:g} of it"
            )
            parts.append(f"{share} {self.words}".rstrip())
        return " or ".join(parts)


@dataclass(frozen=True)
class Row:
    """One row of published numbers.

    Attributes
    ----------
    id, folder, area, title : str
    source, provenance : str
        Where the numbers stand, and how they were come by.
    ours : str
        What of ours computes the numbers.
    note : str
        Errors in public material, what of the row is left out, how a tolerance is read.
    inputs : dict
    axis : dict
        name, unit and values along which the series run; empty for single numbers.
    expected : dict
        Numbers by the name of their series.
    tolerances : dict
        By series; `EVERY` for the rest.
    units : dict
        The same.
    """

    id: str
    folder: str
    area: str
    title: str
    source: str
    provenance: str
    ours: str
    note: str
    inputs: dict[str, Any]
    axis: dict[str, Any]
    expected: dict[str, Floats]
    tolerances: dict[str, Tolerance]
    units: dict[str, str]

    @property
    def along(self) -> Floats:
        """Values of the axis."""
        return np.array(self.axis["values"], dtype=float)


Computed = Mapping[str, ArrayLike]
Compute = Callable[[Row], Computed]
Library = tuple[str, Compute]  # name of a general library, and the row's numbers by it


@dataclass(frozen=True)
class Line:
    """One number compared: expected, our own, and what is allowed between them."""

    what: str
    unit: str
    expected: float
    got: float
    bound: float
    tolerance: str
    least: bool

    @property
    def difference(self) -> float:
        """Ours minus the expected."""
        return self.got - self.expected

    @property
    def passed(self) -> bool:
        """True where the difference is allowed; a number that is none never passes."""
        return self.difference >= 0 if self.least else bool(abs(self.difference) <= self.bound)


@dataclass(frozen=True)
class Curve:
    """A series along an axis, expected and our own."""

    label: str
    along: Floats
    expected: Floats
    got: Floats


@dataclass(frozen=True)
class Check:
    """A row with its lines and curves, and what was left out of it for want of a library."""

    row: Row
    lines: tuple[Line, ...]
    curves: tuple[Curve, ...]
    skipped: str = ""

    @property
    def passed(self) -> bool:
        """True where every line passes."""
        return all(line.passed for line in self.lines)


@dataclass(frozen=True)
class NotRun:
    """A row that is not run, and why."""

    id: str
    area: str
    source: str
    reason: str


def read_rows(folder: str) -> list[Row]:
    """Rows of one source."""
    data = tomllib.loads((HERE / folder / "rows.toml").read_text(encoding="utf-8"))
    return [_row(key, folder, table) for key, table in data.items()]


def read_columns(path: Path) -> dict[str, Floats]:
    """Columns of a table of numbers, by their heads."""
    with path.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return {name: np.array([float(row[name]) for row in rows]) for name in rows[0]}


def folders() -> list[str]:
    """Names of the sources' folders."""
    return sorted(path.parent.name for path in HERE.glob("*/rows.toml"))


def all_rows() -> Iterator[tuple[Row, Compute, Library | None]]:
    """Every row that is run, with its function, and its library where there is one."""
    for folder in folders():
        check = importlib.import_module(f"validation.{folder}.check")
        libraries = getattr(check, "LIBRARIES", {})
        for row in read_rows(folder):
            yield row, check.ROWS[row.id], libraries.get(row.id)


def not_run() -> list[NotRun]:
    """Rows that are not run."""
    data = tomllib.loads((HERE / "not_run.toml").read_text(encoding="utf-8"))
    return [NotRun(id=key, **table) for key, table in data.items()]


def run_check(row: Row, compute: Compute, library: Library | None = None) -> Check:
    """Compute our numbers of a row and hold them to the expected ones.

    With a library, and where it is installed, ours are held to its numbers too.

    Raises
    ------
    ValueError
        If the function does not give exactly the row's series.
    """
    with np.errstate(divide="raise", over="raise", invalid="raise"):
        computed = compute(row)
    if set(computed) != set(row.expected):
        raise ValueError(f"{row.id}: computed {sorted(computed)}, expected {sorted(row.expected)}")
    lines: list[Line] = []
    curves: list[Curve] = []
    for name, expected in row.expected.items():
        got = np.atleast_1d(np.asarray(computed[name], dtype=float))
        if got.shape != expected.shape:
            raise ValueError(f"{row.id}, {name}: {got.shape} numbers, expected {expected.shape}")
        lines += _lines(row, name, expected, got)
        if row.axis and len(expected) == len(row.along) > 2:
            curves.append(Curve(name, row.along, expected, got))
    skipped = ""
    if library is not None:
        by_library, skipped = _by_library(row, computed, *library)
        lines += by_library
    return Check(row, tuple(lines), tuple(curves), skipped)


def _by_library(
    row: Row, computed: Computed, library: str, compute: Compute
) -> tuple[list[Line], str]:
    """Lines that hold ours to a library's numbers; without it none, and a word about that."""
    try:
        version = metadata.version(library)
    except metadata.PackageNotFoundError:
        return [], f"Not compared with the library {library}: not installed."
    lines: list[Line] = []
    for name, values in compute(row).items():
        got = np.atleast_1d(np.asarray(computed[name], dtype=float))
        expected = np.atleast_1d(np.asarray(values, dtype=float))
        lines += [
            replace(line, what=f"{line.what}, by {library} {version}")
            for line in _lines(row, name, expected, got)
        ]
    return lines, ""


def _lines(row: Row, name: str, expected: Floats, got: Floats) -> Iterator[Line]:
    tolerance = row.tolerances.get(name) or row.tolerances[EVERY]
    unit = row.units.get(name, row.units.get(EVERY, ""))
    bounds = np.broadcast_to(tolerance.bound(expected, row.expected), expected.shape)
    places = [""] * len(expected)
    if row.axis and len(expected) == len(row.along):
        places = [f", {row.axis['name']} {x:g} {row.axis['unit']}".rstrip() for x in row.along]
    elif len(expected) > 1:
        places = [f" [{i + 1}]" for i in range(len(expected))]
    told = tolerance.told(unit)
    for place, wanted, ours, bound in zip(places, expected, got, bounds, strict=True):
        numbers = float(wanted), float(ours), float(bound)
        yield Line(name + place, unit, *numbers, told, tolerance.least)


def _row(key: str, folder: str, table: dict[str, Any]) -> Row:
    table = dict(table)
    expected = table.pop("expected", {})
    if "table" in table:
        columns = read_columns(HERE / folder / table.pop("table"))
        expected |= {name: columns[name] for name in table.pop("columns")}
        axis = table["axis"]
        table["axis"] = axis | {"values": columns[axis["column"]]}
    tolerance, unit = table.pop("tolerance"), table.pop("unit", "")
    alike = not any(isinstance(parts, dict) for parts in tolerance.values())
    series = {EVERY: tolerance} if alike else tolerance
    return Row(
        id=key,
        folder=folder,
        inputs=table.pop("inputs", {}),
        axis=table.pop("axis", {}),
        note=table.pop("note", ""),
        expected={
            name: np.atleast_1d(np.array(values, dtype=float)) for name, values in expected.items()
        },
        tolerances={name: Tolerance(**parts) for name, parts in series.items()},
        units=unit if isinstance(unit, dict) else {EVERY: unit},
        **table,
    )
