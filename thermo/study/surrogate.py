"""What a log's rows would observe, as polynomials of what is not known.

Every set-up of a log is marched for members of all that is not known. The logarithm of what a row
observes is, over the members, close to

    y = a + b·p + p·C p + d·x + e,    p = (ln strength, ln transfer)

with x all else that was drawn, counted in standard deviations.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from thermo.braze import Setup, members
from thermo.braze.member import Member
from thermo.files import Case, CaseError, Problem, to_setup
from thermo.files.log import SETUP_KEYS, LogRow
from thermo.flame import Strategy
from thermo.study.spread import BATCH, sobol
from thermo.study.unsure import Unsure, member, narrowed, unsure
from thermo.study.witness import Reading, Witness, case_of, witnesses

Floats = NDArray[np.float64]

FACTORS = ("torch", "transfer")
"""What is fitted: keys of [uncertainty]."""
DRAWS = 64
"""Members of a set-up."""
UNIFORM = 12.0**0.5
"""Standard deviations in the range of a uniform draw."""


@dataclass(frozen=True)
class Surrogate:
    """The polynomial of one witness.

    Attributes
    ----------
    witness : Witness
    constant, noise : float
        Noise is the standard deviation of what the polynomial leaves [-].
    linear : (2,) array
        Slopes with the fitted factors' logarithms.
    square : (3,) array
        With the first's square, the second's and their product.
    rest : dict of str to float
        Slope per standard deviation of all else that was drawn.
    """

    witness: Witness
    constant: float
    linear: Floats
    square: Floats
    rest: dict[str, float] = field(repr=False)
    noise: float

    def at(self, points: Floats) -> Floats:
        """The logarithm expected at (n, 2) points of the factors' logarithms, (n,)."""
        return np.asarray(self.constant + points @ self.linear + _squares(points) @ self.square)


@dataclass(frozen=True)
class SetUp:
    """Rows of a log that were heated alike.

    Attributes
    ----------
    case : Case
    setup : Setup
    strategy : Strategy
    witnesses : list of Witness
        All that these rows say.
    ranges : tuple of Unsure
    """

    case: Case
    setup: Setup
    strategy: Strategy
    witnesses: list[Witness]
    ranges: tuple[Unsure, ...]


@dataclass(frozen=True)
class _Job:
    setup: Setup
    strategy: Strategy
    drawn: list[Member]
    readings: list[Reading]


def set_ups(rows: Sequence[LogRow], torch: str, folder: Path) -> list[SetUp]:
    """Rows of a log by how they were heated.

    Parameters
    ----------
    rows : sequence of LogRow
    torch : str
        Kind of torch, or a torch file.
    folder : Path
        Where the case files are that rows name.

    Raises
    ------
    CaseError
        A row describes no joint that can be.
    """
    found: dict[tuple[object, ...], SetUp] = {}
    for number, row in enumerate(rows, start=1):
        key = (row.kind, *(getattr(row, name) for name in SETUP_KEYS))
        if row.kind != "joint":
            key = (*key, row.at_s, row.heated_s)
        if key not in found:
            case, strategy = case_of(row, number, torch, folder)
            setup = to_setup(case, strategy)
            ranges = tuple(narrowed(one) for one in unsure(case, setup))
            found[key] = SetUp(case, setup, strategy, [], ranges)
        found[key].witnesses.extend(witnesses(row, number, found[key].setup))
    return list(found.values())


def surrogates(
    held: Sequence[SetUp],
    box: Floats | None = None,
    workers: int | None = None,
    done: Callable[[int, int], None] | None = None,
) -> list[Surrogate]:
    """March every set-up for members and fit the polynomial of every witness, in order of rows.

    Parameters
    ----------
    held : sequence of SetUp
    box : (2, 2) array, optional
        Low and high of each factor's logarithm; by default their whole ranges.
    workers : int, optional
        Processes; the numbers are the same with any.
    done : callable, optional
        Told the number of batches finished and of all.

    Raises
    ------
    CaseError
        The model says that hardly a torch of the kind does what a row saw.
    """
    from thermo.study.pool import run_all  # brings processes: polynomials alone do without

    drawn = [_drawn(one.ranges, box) for one in held]
    jobs, places = [], []
    for number, (one, (_, values)) in enumerate(zip(held, drawn, strict=True)):
        keys = [r.key for r in one.ranges]
        every = [member(dict(zip(keys, row.tolist(), strict=True))) for row in values]
        order = np.argsort([x.torch * x.transfer for x in every], kind="stable")
        readings = [w.reading for w in one.witnesses]
        for group in np.array_split(order, max(DRAWS // BATCH, 1)):
            jobs.append(_Job(one.setup, one.strategy, [every[k] for k in group], readings))
            places.append((number, group))
    found = [np.empty((DRAWS, len(one.witnesses))) for one in held]
    for (number, group), values in zip(places, run_all(_read, jobs, workers, done), strict=True):
        found[number][group] = values
    fitted = [
        _polynomial(witness, one.ranges, *both, read)
        for one, both, values in zip(held, drawn, found, strict=True)
        for witness, read in zip(one.witnesses, values.T, strict=True)
    ]
    return sorted(fitted, key=lambda one: one.witness.row)


def _read(job: _Job) -> Floats:
    """What members observe, (members, readings)."""
    runs = members(job.setup, job.strategy, job.drawn)
    return np.array([[reading.of(run) for reading in job.readings] for run in runs])


def _drawn(ranges: Sequence[Unsure], box: Floats | None) -> tuple[Floats, Floats]:
    """Shares of the way through each range, and the values there, (DRAWS, k) each."""
    shares = sobol(len(ranges), DRAWS)
    values = np.column_stack([one.at(u) for one, u in zip(ranges, shares.T, strict=True)])
    if box is not None:
        for (low, high), key in zip(box, FACTORS, strict=True):
            column = [one.key for one in ranges].index(key)
            values[:, column] = np.exp(low + (high - low) * shares[:, column])
    return shares, values


def _polynomial(
    witness: Witness, ranges: Sequence[Unsure], shares: Floats, values: Floats, read: Floats
) -> Surrogate:
    """Least squares over the members that observe it."""
    known = np.isfinite(read)
    keys = [one.key for one in ranges]
    others = [key for key in keys if key not in FACTORS and np.ptp(values[:, keys.index(key)]) > 0]
    columns = 6 + len(others)
    if known.sum() < columns + 4:
        text = (
            f"the model says that hardly a torch of the kind does this ({known.sum()} of "
            f"{len(known)}); look at the row's numbers, or give another --torch"
        )
        raise CaseError("log", [Problem(f"row {witness.row}", text)])
    points = np.log(values[:, [keys.index(key) for key in FACTORS]])
    x = UNIFORM * (shares[:, [keys.index(key) for key in others]] - 0.5)
    matrix = np.column_stack([np.ones(len(read)), points, _squares(points), x])[known]
    found, *_ = np.linalg.lstsq(matrix, read[known], rcond=None)
    left = read[known] - matrix @ found
    noise = float(np.sqrt(left @ left / (known.sum() - columns)))
    rest = dict(zip(others, found[6:].tolist(), strict=True))
    return Surrogate(witness, float(found[0]), found[1:3], found[3:6], rest, noise)


def _squares(points: Floats) -> Floats:
    """Squares of both factors and their product, (n, 3)."""
    a, b = points.T
    return np.column_stack([a * a, b * b, a * b])
