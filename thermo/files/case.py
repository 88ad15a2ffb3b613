"""A case: one braze as a maker describes it, read from a file or from a few options."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from thermo.files.checks import misfits
from thermo.files.defaults import complete
from thermo.files.errors import CaseError, Problem
from thermo.files.reading import faults, load
from thermo.files.rules import Tables
from thermo.files.tables import Case
from thermo.files.torch_file import read_torch_file
from thermo.files.torch_rules import flame_of
from thermo.files.units import WrittenTables

FROM_OPTIONS = "options"
REQUIRED: dict[tuple[str, ...], str] = {
    ("ball", "diameter_mm"): "give the ball's diameter, as in [ball] diameter_mm = 6",
    ("rod", "diameter_mm"): "give the rod's diameter, as in [rod] diameter_mm = 2.4",
    ("torch", "kind"): 'give kind = "pocket", "pencil" or "hand", or else fuel, '
    "fuel_rate_g_per_h and nozzle_mm",
    (
        "ball",
        "thread_pitch_mm",
    ): "no metric thread leaves this rod the usual gap; give the pitch and "
    "hole_diameter_mm of your own, or another rod: M2.5 x 0.45 takes one of 2 mm, M3 x 0.35 one of "
    "2.6 mm, and M3 of the usual 0.5 pitch, 2.46 mm at its narrowest, one of 2.4 mm",
    ("second_ball", "spacing_mm"): "give the distance from centre to centre, as in spacing_mm = 20",
    ("strategy", "name"): "give the strategy a name",
    ("strategy", "phase"): "give at least one [[strategy.phase]]",
    ("strategy", "phase", "until"): 'say what ends the phase, as in until = "filled"',
    ("strategy", "phase", "max_s"): "give the longest time the phase may take, as in max_s = 300",
}

OWN_TORCH = {
    "fuel_rate_g_per_h": "weigh it before and after a timed burn",
    "nozzle_mm": "measure the burner's mouth",
    "cone_mm": "measure the bright inner cone",
    "tip_temperature_C": "give the gas's temperature just beyond the cone",
    "primary_air": "give the air drawn in at the burner over that for complete burning",
}
"""Keys with no default where no usual kind of torch may stand for one that burns the fuel."""


def read_case(path: str | Path) -> Case:
    r"""Read a case file.

    Parameters
    ----------
    path : str or Path
        A TOML file. The torch file it may name is looked for beside it.

    Returns
    -------
    Case
        Checked, every default filled in.

    Raises
    ------
    CaseError
        With every fault found, one a line.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> from thermo import read_case
    >>> text = "[ball]\ndiameter_mm = 6\n[rod]\ndiameter_mm = 2.4\n[torch]\nkind = 'pocket'\n"
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder) / "earth.toml"
    ...     _ = file.write_text(text, encoding="utf-8")
    ...     case = read_case(file)
    >>> case.filler.alloy
    'Ag 156'
    """
    file = Path(path)
    return case_from_tables(load(file), str(path), file.stem, file.parent)


def case_from_options(
    ball: float, rod: float, torch: str, *, filler: str | None = None, flux: str | None = None
) -> Case:
    """A case from the few values that have no default.

    Parameters
    ----------
    ball, rod : float
        Diameters [mm].
    torch : str
        Kind of torch, or a torch file (ending in .toml).
    filler, flux : str, optional
        Alloy and flux type.

    Returns
    -------
    Case

    Raises
    ------
    CaseError
        With every fault found, one a line.

    Examples
    --------
    >>> from thermo import case_from_options
    >>> case_from_options(6.0, 2.4, "pocket").rod.length_mm
    40.0
    """
    raw: dict[str, Any] = {
        "ball": {"diameter_mm": ball},
        "rod": {"diameter_mm": rod},
        "torch": {"torch_file" if torch.endswith(".toml") else "kind": torch},
    }
    if filler is not None:
        raw["filler"] = {"alloy": filler}
    if flux is not None:
        raw["flux"] = {"type": flux}
    return case_from_tables(raw, FROM_OPTIONS, f"ball-{ball:g}mm-rod-{rod:g}mm", Path())


def under_torch(case: Case, torch: str) -> Case:
    """The same case under another torch.

    Parameters
    ----------
    case : Case
    torch : str
        Kind of torch, or a torch file (ending in .toml).

    Raises
    ------
    CaseError
        With every fault of the torch file, one a line.
    """
    other = case_from_options(6.0, 2.4, torch)  # a joint that fits: its torch alone is wanted
    own, sure = case.uncertainty, other.uncertainty
    if own is not None and sure is not None:
        sure = own.model_copy(update=sure.model_dump(exclude_none=True))
    return case.model_copy(update={"torch": other.torch, "uncertainty": sure or own})


def case_from_tables(raw: Mapping[str, Any], source: str, name: str, folder: Path) -> Case:
    """A case from tables as TOML gives them.

    Parameters
    ----------
    raw : mapping
        Tables; values may be of any kind.
    source, name : str
        What to call them in messages, and the case's short name.
    folder : Path
        Where a torch file is looked for.

    Returns
    -------
    Case

    Raises
    ------
    CaseError
        With every fault found, one a line.
    """
    written = WrittenTables(raw, Case)
    tables = _with_torch_file(written.tables, folder, source)
    filled, assumed = complete(tables)
    problems = faults(filled, written, _required(filled) | _of_thread(tables))
    if problems:
        raise CaseError(source, problems)
    filled["title"] = filled["title"] or _title(filled)
    case = Case.completed(filled, source, name, assumed)
    problems = misfits(case)
    if problems:
        raise CaseError(source, problems)
    return case


def _of_thread(tables: Mapping[str, Any]) -> dict[tuple[str, ...], str]:
    """What to say of a thread of which diameter or pitch alone is given, and fits none."""
    ball, rod = (tables.get(name) for name in ("ball", "rod"))
    if not isinstance(ball, dict) or not isinstance(rod, dict) or "diameter_mm" not in rod:
        return {}
    if ball.get("hole") != "threaded":
        return {}
    if "thread_pitch_mm" in ball:
        text = "no metric thread of this pitch lets the rod in; give the thread's nominal diameter"
        return {("ball", "hole_diameter_mm"): text}
    if "hole_diameter_mm" in ball:
        text = (
            "no metric thread of this diameter lets the rod in; give the pitch of your own, a "
            "wider thread or a thinner rod"
        )
        return {("ball", "thread_pitch_mm"): text}
    return {}


def _required(filled: Tables) -> dict[tuple[str, ...], str]:
    """What to say of the keys that must be given: with some fuels, all the torch's own numbers."""
    flame = flame_of(filled)
    if flame is None or flame.usual:
        return REQUIRED
    text = f"no usual kind of torch can stand for one that burns {flame.fuel}"
    others = {place: why for place, why in REQUIRED.items() if place != ("torch", "kind")}
    return others | {("torch", key): f"{text}: {remedy}" for key, remedy in OWN_TORCH.items()}


def _title(tables: Mapping[str, Any]) -> str:
    ball, rod = (tables[table]["diameter_mm"] for table in ("ball", "rod"))
    return f"{ball:g} mm ball on a {rod:g} mm rod"


def _with_torch_file(tables: dict[str, Any], folder: Path, source: str) -> dict[str, Any]:
    """Lay the case's own values of the torch over those of the file it names."""
    torch = tables.get("torch")
    if not isinstance(torch, dict) or "torch_file" not in torch:
        return tables
    name = torch["torch_file"]
    if not isinstance(name, str) or not name:
        text = "must be the name of a torch file, in quotes"
        raise CaseError(source, [Problem("torch.torch_file", text, name)])
    try:
        kept = read_torch_file(folder / name)
    except CaseError as fault:
        found = [Problem("torch.torch_file", line, name) for line in fault.lines]
        raise CaseError(source, found) from None
    own = tables.get("uncertainty", {})
    if isinstance(own, dict) and "uncertainty" in kept:
        tables = tables | {"uncertainty": kept["uncertainty"] | own}
    return tables | {"torch": kept["torch"] | torch}
