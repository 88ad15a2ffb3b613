"""Logs: what was seen at the bench, row by row; CSV with a header, TOML, or one line of words.

A row is a joint (when its flux was dry, milky, clear, when it filled), a plain ball on a wire with
a thermocouple or a temper colour, or balls dropped into water.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field

from thermo.files.errors import CaseError, Problem
from thermo.files.fields import Known, Range
from thermo.files.reading import faults, load, text_of
from thermo.files.rows import MOST_ROWS, csv_rows, number_or_text
from thermo.files.tables import LONGEST_S, Ball, Rod, Table
from thermo.files.units import WrittenTables
from thermo.flame.motion import AIMS
from thermo.matter import get_flux, get_solid, temper_colours
from thermo.matter.records import find

HEADER = "ball_diameter_mm,rod_diameter_mm,flux_clear_s,filled_s,remark"
SECONDS = Range(0.2, LONGEST_S, "s", "give the seconds from striking the flame")
Seconds = Annotated[float, SECONDS]
WORDS = {
    "dry": "flux_dry_s",
    "milky": "flux_milky_s",
    "clear": "flux_clear_s",
    "filled": "filled_s",
}
"""What is seen, as it is said in one line, and the key it goes to."""
CUES = tuple(WORDS.values())
SETUP_KEYS = (
    "case",
    "ball_diameter_mm",
    "rod_diameter_mm",
    "ball_material",
    "way",
    "aim",
    "side",
    "distance_mm",
    "flux",
    "coat_mm",
)
"""Keys of a row that say how it was heated."""
SAID = re.compile(r"\s*([\d.,]+)\s*(?:mm)?\s+on\s+([\d.,]+)\s*(?:mm)?\s*:\s*(.+)", re.IGNORECASE)
EXAMPLE = '"6 on 2.4: clear 41, filled 62"'


def _temper(name: str) -> Any:
    known = {colour.name: colour for colour in temper_colours()}
    return known[find("temper colour", name, known)]


class LogRow(Table):
    """One row: a joint, a plain ball on a wire, or balls dropped into water.

    Attributes
    ----------
    case : str
        A case file beside the log, which gives all that the row does not; "" for none.
    way : str
        How the torch was held, by its name; or aim, side and distance of one phase.
    told_low_s, told_high_s : float
        Band of the filled gap that was given beforehand.
    thermocouple_C : float
        Of the plain ball, far side, read at `at_s`; `colour` seen there likewise.
    heated_s, balls, water_ml, water_before_C, water_after_C
        So many balls, heated so long each and dropped into water.
    """

    case: Annotated[str, Field(max_length=200)] = ""
    date: Annotated[str, Field(max_length=40)] = ""
    ball_diameter_mm: Annotated[float, Ball.model_fields["diameter_mm"].metadata[0]] | None = None
    rod_diameter_mm: Annotated[float, Rod.model_fields["diameter_mm"].metadata[0]] | None = None
    ball_material: Annotated[str, Known(get_solid, "solids")] | None = None
    way: Annotated[str, Field(max_length=60)] = ""
    aim: Annotated[float | str, Range(-30, 300, "mm", "give where it was aimed", AIMS)] | None = (
        None
    )
    side: (
        Annotated[
            float | str,
            Range(-360, 360, "degrees", "give the side", ("filler", "opposite")),
        ]
        | None
    ) = None
    distance_mm: (
        Annotated[
            float | str,
            Range(1, 150, "mm", "give mouth of the burner to steel", ("cone-tip",)),
        ]
        | None
    ) = None
    flux: Annotated[str, Known(get_flux, "fluxes")] | None = None
    coat_mm: Annotated[float, Range(0, 2, "mm", "give how thick the paste was")] | None = None
    flux_dry_s: Seconds | None = None
    flux_milky_s: Seconds | None = None
    flux_clear_s: Seconds | None = None
    filled_s: Seconds | None = None
    at_s: Seconds | None = None
    thermocouple_C: Annotated[float, Range(40, 1400, "°C", "give what it read at at_s")] | None = (
        None
    )
    colour: Annotated[str, Known(_temper, "colours")] | None = None
    heated_s: Seconds | None = None
    balls: Annotated[float, Range(1, 100, "", "give how many balls went into the water")] = 1.0
    water_ml: Annotated[float, Range(2, 5000, "ml", "give how much water there was")] | None = None
    water_before_C: Annotated[float, Range(0, 60, "°C", "give the water before")] | None = None
    water_after_C: Annotated[float, Range(0, 99, "°C", "give the water after")] | None = None
    told_low_s: Seconds | None = None
    told_high_s: Seconds | None = None
    outcome: Literal["sound", "dry", "burnt", "burst", "let-go", ""] = ""
    remark: Annotated[str, Field(max_length=1000)] = ""

    @property
    def kind(self) -> Literal["joint", "ball", "water"]:
        """What was heated."""
        if self.water_ml is not None:
            return "water"
        plain = self.thermocouple_C is not None or self.colour is not None
        return "ball" if plain else "joint"


class LogFile(Table):
    """A log as TOML: rows as [[row]]."""

    title: Annotated[str, Field(max_length=200)] = ""
    note: Annotated[str, Field(max_length=5000)] = ""
    row: Annotated[list[LogRow], Field(min_length=1, max_length=MOST_ROWS)]


def read_log(path: str | Path) -> list[LogRow]:
    """Rows of a log: TOML where the file's name ends so, else CSV with a header.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    list of LogRow

    Raises
    ------
    CaseError
        With every fault found, one a line.
    """
    source = str(path)
    raw = (
        load(path)
        if source.endswith(".toml")
        else {"row": csv_rows(text_of(path), source, LogRow, HEADER)}
    )
    return _checked(raw, source)


def said(text: str) -> list[LogRow]:
    """One joint in a line of words, such as "6 on 2.4: clear 41, filled 62".

    Parameters
    ----------
    text : str
        Ball and rod [mm], then what was seen, and when [s]: dry, milky, clear, filled.

    Raises
    ------
    CaseError
        It cannot be read; the message has an example.
    """
    found = SAID.fullmatch(text)
    if found is None:
        raise CaseError("--saw", [Problem("", f"say it as in {EXAMPLE}", text)])
    ball, rod, seen = found.groups()
    row: dict[str, Any] = {
        "ball_diameter_mm": number_or_text(ball),
        "rod_diameter_mm": number_or_text(rod),
    }
    for part in re.split(r"[,;]\s+|\s+and\s+", seen.strip()):
        match part.removesuffix(" s").split():
            case [word, seconds] if word in WORDS:
                row[WORDS[word]] = number_or_text(seconds)
            case _:
                words = ", ".join(WORDS)
                hint = f"say one of {words}, then the seconds, as in {EXAMPLE}"
                raise CaseError("--saw", [Problem("", hint, part)])
    return _checked({"row": [row]}, "--saw")


def _checked(raw: dict[str, Any], source: str) -> list[LogRow]:
    written = WrittenTables(raw, LogFile)
    problems = faults(written.tables, written, {})
    if problems:
        raise CaseError(source, problems)
    rows = LogFile.model_validate(written.tables).row
    problems = [problem for k, row in enumerate(rows, start=1) for problem in _amiss(k, row)]
    if problems:
        raise CaseError(source, problems)
    return rows


def _amiss(number: int, row: LogRow) -> list[Problem]:
    """What a row lacks, or has that does not go together."""
    found = []

    def tell(key: str, text: str) -> None:
        found.append(Problem(f"row[{number}].{key}", text))

    if not row.case:
        for key in ("ball_diameter_mm", "rod_diameter_mm"):
            if getattr(row, key) is None:
                what = "the wire's diameter" if key[0] == "r" and row.kind != "joint" else "it"
                tell(key, f"is missing; give {what}, or a case file")
    needs: dict[str, tuple[str, ...]] = {
        "joint": (),
        "ball": ("at_s",),
        "water": ("heated_s", "water_before_C", "water_after_C"),
    }
    for key in needs[row.kind]:
        if getattr(row, key) is None:
            tell(key, "is missing; this row needs it")
    if row.kind == "joint" and all(getattr(row, key) is None for key in CUES):
        tell("flux_clear_s", f"is missing; give at least one of {', '.join(CUES)}")
    seen = [at for key in CUES if (at := getattr(row, key)) is not None]
    if seen != sorted(seen):
        tell("filled_s", f"comes out of order: {', '.join(CUES)} come one after the other")
    before, after = row.water_before_C, row.water_after_C
    if before is not None and after is not None and after <= before:
        tell("water_after_C", "must be above water_before_C")
    low, high = row.told_low_s, row.told_high_s
    if (low is None) != (high is None) or (low is not None and high is not None and low >= high):
        tell("told_low_s", "give told_low_s and told_high_s, the low one first, or neither")
    return found
