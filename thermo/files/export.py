"""Results for other programs: a table as CSV, cells as VTU.

A file is written whole or not at all; one that is there already is replaced.
"""

from __future__ import annotations

import csv
import os
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from thermo.braze.coat import BOILING_C, coated_pieces
from thermo.braze.result import Braze
from thermo.shape import Mesh
from thermo.shape.polyhedra import polyhedra

Floats = NDArray[np.float64]

NEEDS = "VTU needs meshio, which is not installed: pip install 'brazeclock[export]'"


def braze_to_csv(result: Braze, path: str | Path) -> None:
    """Write what was monitored of a braze through time, one line a moment.

    Parameters
    ----------
    result : Braze
    path : str or Path
        A line of keys comes first, each with its unit: "time_s", "gap_min_C", "lead_K",
        "gap_spent_pct" and so on. What there is not, as a coat where none was brushed on, is left
        empty.

    Raises
    ------
    OSError
        If it cannot be written; what was there is as it was.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> from thermo import braze_to_csv, case_from_options, run_braze, to_setup
    >>> result = run_braze(to_setup(case_from_options(3.0, 1.2, "pocket")), "quick")
    >>> with TemporaryDirectory() as folder:
    ...     path = Path(folder) / "moon.csv"
    ...     braze_to_csv(result, path)
    ...     head, first, *rest = path.read_text(encoding="utf-8").splitlines()
    >>> head.split(",")[:3]
    ['time_s', 'gap_near_C', 'gap_far_C']
    >>> first.split(",")[:2]
    ['0.0', '20.0']
    """
    columns = _monitored(result)

    def write(file: Path) -> None:
        with file.open("w", encoding="utf-8", newline="") as text:
            lines = csv.writer(text)
            lines.writerow(columns)
            for values in zip(*columns.values(), strict=True):
                lines.writerow("" if np.isnan(x) else repr(round(float(x), 6)) for x in values)

    _write_whole(Path(path), write)


def braze_to_vtu(result: Braze, path: str | Path) -> None:
    """Write the joint as it is once the whole gap can fill, or else as the flame is taken away.

    Cell data: "temperature_C"; "body", 0 ball, 1 rod, 2 second ball; "flux", 0 for cells beside
    which there is none, 1 wet, 2 dry, 3 milky, 4 clear.

    Parameters
    ----------
    result : Braze
    path : str or Path
        Should end in .vtu.

    Raises
    ------
    ImportError
        If meshio is not installed.
    OSError
        If it cannot be written; what was there is as it was.

    Notes
    -----
    Approximate are: the shape, straight-edged as `mesh_to_vtu` tells; the flux, by how hot the cell
    under it or beside the gap is at that moment, not by how hot the flux itself has been (it lags
    behind under a flame, and never turns back). Temperatures are the cells' own, exactly.
    """
    mesh = result.mesh
    cells = {"temperature_C": result.section_C, "flux": _flux_of(result)}
    mesh_to_vtu(mesh, path, cells)


def mesh_to_vtu(mesh: Mesh, path: str | Path, cells: Mapping[str, ArrayLike] | None = None) -> None:
    """Write a mesh, round the full circle, with values of its cells.

    Parameters
    ----------
    mesh : Mesh
    path : str or Path
        Should end in .vtu.
    cells : mapping of (n,) array_like, optional
        Values of every kept cell by their names, units in them, such as "temperature_C". "body" is
        always there: 0 ball, 1 rod, 2 second ball.

    Raises
    ------
    ImportError
        If meshio is not installed.
    ValueError
        If values are not one for each cell.
    OSError
        If it cannot be written; what was there is as it was.

    Notes
    -----
    Cells of revolution become polyhedra with straight edges (`thermo.shape.polyhedra`): together
    up to 1 % less than the cells' own volume, more in single cells at the sphere. A cell that the
    sphere cuts, or that goes once round the axis, is several of them, all with its value.
    """
    values = {name: np.asarray(value) for name, value in (cells or {}).items()}
    for name, value in values.items():
        if value.shape != (mesh.cells,):
            raise ValueError(f"{name} has shape {value.shape}: give one value a cell, {mesh.cells}")
    try:
        import meshio
    except ImportError as fault:
        raise ImportError(NEEDS) from fault
    solid = polyhedra(mesh)
    grid = meshio.Mesh(
        solid.points,
        list(solid.corners.items()),
        cell_data={
            name: [value[own] for own in solid.cell.values()]
            for name, value in {**values, "body": mesh.body}.items()
        },
    )
    _write_whole(Path(path), lambda file: meshio.write(file, grid, file_format="vtu"))


def _monitored(result: Braze) -> dict[str, Floats]:
    """Everything monitored through time, by keys with units, time first."""
    return dict(result.stations.items())


def _flux_of(result: Braze) -> NDArray[np.int64]:
    """State of the flux beside every cell, (n,)."""
    setup, mesh, T = result.setup, result.mesh, result.section_C
    state = np.zeros(mesh.cells, dtype=np.int64)
    if setup.coat.thickness <= 0.0:
        return state
    gap, stages = mesh.gap, setup.flux.stages
    own = ~gap.second
    beside = np.concatenate(
        [mesh.patches.cell[coated_pieces(setup.joint, mesh.patches)], gap.ball[own], gap.rod[own]]
    )
    marks = [BOILING_C, stages["milky"].value, stages["clear"].value]
    state[beside] = 1 + np.searchsorted(marks, T[beside], side="right")
    return state


def _write_whole(path: Path, write: Callable[[Path], None]) -> None:
    """Write a file beside its place, then put it there."""
    number, name = tempfile.mkstemp(prefix=f".{path.name}-", dir=path.parent)
    os.close(number)
    try:
        write(Path(name))
        os.chmod(name, 0o666 & ~_umask())
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _umask() -> int:
    """What files are kept from by the user's own wish."""
    kept = os.umask(0)
    os.umask(kept)
    return kept
