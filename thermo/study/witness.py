"""Rows of a log as setups to march, and what each says of the torch."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from thermo.braze import Braze, Setup
from thermo.braze.stages import StageName
from thermo.constants import SIGMA, ZERO_C_K
from thermo.files import Case, CaseError, Problem, strategies_of, to_setup
from thermo.files.case import case_from_tables
from thermo.files.log import LogRow
from thermo.files.reading import load
from thermo.flame import Strategy
from thermo.matter import constant, temper_colours
from thermo.matter.records import UnknownName, find
from thermo.study.marks import MODEL, REACTION_S

SEEN = {
    "flux_dry_s": StageName.FLUX_DRY,
    "flux_milky_s": StageName.FLUX_MILKY,
    "flux_clear_s": StageName.FLUX_CLEAR,
    "filled_s": StageName.FILLED,
}
"""Keys of a row, and the stage that each tells of."""
LONGEST_S = 300.0
"""A joint is heated no longer [s]."""
READ_K, COLOUR_K = 5.0, 15.0
"""How far off a thermocouple on a ball is, and a temper colour (assumed) [K]."""
DEGREE_K = 0.5
"""A kitchen thermometer is read to so much, before and after (assumed) [K]."""
CARRIED_S, CUP = 1.0, 0.1
"""From the flame into the water, and a thin cup's heat as a share of the water's (assumed)."""
WATER_J_kgK = 4180.0
"""Of liquid water from 10 to 60 °C, within 0.2 % (IAPWS R7-97)."""
FILM_W_m2K = 15.0
"""What still air draws from a small ball on its way (assumed)."""


@dataclass(frozen=True)
class Reading:
    """What is read from a braze, as its logarithm.

    Attributes
    ----------
    what : str
        "seen", when a stage is seen [s]; "ball", the ball's far side, "heat", the heat that the
        ball holds above the water, both at a time.
    stage : StageName or None
    at_s : float
        [s]
    water_C : float
        Temperature of the water after [°C].
    """

    what: str
    stage: StageName | None = None
    at_s: float = 0.0
    water_C: float = 20.0

    def of(self, run: Braze) -> float:
        """The logarithm of [s], of [K] above the room, or of [J]; NaN where it never comes."""
        if self.stage is not None:
            found = run.stage(self.stage)
            at = found.time_s if found.seen_s is None else found.seen_s
            return math.nan if at is None else math.log(max(at, 0.05))
        if self.at_s > run.stations.time_s[-1]:
            return math.nan
        back, front = (run.value_at(f"ball_{side}_C", self.at_s) for side in ("back", "front"))
        if self.what == "ball":
            return math.log(max(back - run.setup.ambient_C, 1.0))
        mean = 0.5 * (back + front)
        return math.log(max(ball_heat(run.setup, mean, self.water_C), 1e-3))


@dataclass(frozen=True)
class Witness:
    """One thing that a row says.

    Attributes
    ----------
    row : int
        From 1.
    reading : Reading
    value, error : float
        The logarithm that was observed, and its standard deviation [-].
    """

    row: int
    reading: Reading
    value: float
    error: float


def case_of(row: LogRow, number: int, torch: str, folder: Path) -> tuple[Case, Strategy]:
    """The case that a row describes, and how the torch was held.

    Parameters
    ----------
    row : LogRow
    number : int
        From 1, for messages.
    torch : str
        Kind of torch, or a torch file.
    folder : Path
        Where the case files are that rows name.

    Raises
    ------
    CaseError
        The row describes no joint that can be.
    """
    source = f"row {number}"
    raw: dict[str, Any] = load(folder / row.case) if row.case else {}
    raw = {key: dict(value) if isinstance(value, dict) else value for key, value in raw.items()}
    raw["torch"] = {"torch_file" if torch.endswith(".toml") else "kind": torch}
    given = {
        ("ball", "diameter_mm"): row.ball_diameter_mm,
        ("ball", "material"): row.ball_material,
        ("rod", "diameter_mm"): row.rod_diameter_mm,
        ("flux", "type"): row.flux,
        ("flux", "coat_mm"): row.coat_mm if row.kind == "joint" else 0.0,
        ("filler", "place"): None if row.kind == "joint" else "fed",
    }
    for (table, key), value in given.items():
        if value is not None:
            raw[table] = {**raw.get(table, {}), key: value}
    phase = {"aim": row.aim, "side": row.side, "distance_mm": row.distance_mm}
    phase = {key: value for key, value in phase.items() if value is not None}
    if phase or row.kind != "joint":
        until: dict[str, Any] = {"until": "filled", "max_s": LONGEST_S}
        if row.kind != "joint":
            until = {"until": row.at_s or row.heated_s}
        raw["strategy"] = [{"name": "as the row says", "phase": [phase | until]}]
    case = case_from_tables(raw, source, source, Path(torch).parent)
    return case, _held(case, row, source)


def _held(case: Case, row: LogRow, source: str) -> Strategy:
    """How the torch was held: as the row says, by its name, or by the case's first way."""
    known = strategies_of(case)
    if row.kind == "joint" and row.way:
        try:
            return known[find("way", row.way, known)]
        except UnknownName:
            text = f"is not known; give one of {', '.join(known)}"
            raise CaseError(source, [Problem("way", text, row.way)]) from None
    return to_setup(case).strategy


def witnesses(row: LogRow, number: int, setup: Setup) -> list[Witness]:
    """All that a row says of the torch.

    Parameters
    ----------
    row : LogRow
    number : int
        From 1.
    setup : Setup
        As the row describes it.
    """
    if row.kind == "water":
        return [_water(row, number, setup)]
    if row.kind == "ball":
        return [_plain_ball(row, number, setup)]
    return [
        Witness(number, Reading("seen", stage), math.log(at), math.hypot(REACTION_S / at, MODEL))
        for key, stage in SEEN.items()
        if (at := getattr(row, key)) is not None
    ]


def _plain_ball(row: LogRow, number: int, setup: Setup) -> Witness:
    """Heating rate of a slug, from room to a temperature in a time; ASTM E457 (2008) does so."""
    assert row.at_s is not None
    at_C, error = row.thermocouple_C, READ_K
    if at_C is None:
        at_C = next(one.from_C for one in temper_colours() if one.name == row.colour)
        error = COLOUR_K
    gained = max(at_C - setup.ambient_C, 1.0)
    late = REACTION_S / row.at_s
    error = math.hypot(math.hypot(error / gained, late), MODEL)
    return Witness(number, Reading("ball", at_s=row.at_s), math.log(gained), error)


def _water(row: LogRow, number: int, setup: Setup) -> Witness:
    """Heat that the water gained, and what a ball lost on the way to it."""
    assert row.water_ml is not None and row.heated_s is not None
    assert row.water_before_C is not None and row.water_after_C is not None
    gained = row.water_after_C - row.water_before_C
    heat = gained_J(row.water_ml, gained) / row.balls
    heat += lost_J(setup, row.water_after_C, heat)
    error = math.hypot(
        math.hypot(DEGREE_K * math.sqrt(2.0) / gained, MODEL), REACTION_S / row.heated_s
    )
    reading = Reading("heat", at_s=row.heated_s, water_C=row.water_after_C)
    return Witness(number, reading, math.log(heat), error)


def gained_J(water_ml: float, gained_K: float) -> float:
    """Heat that water and its cup gain [J]."""
    return (1.0 + CUP) * WATER_J_kgK * 1e-3 * water_ml * gained_K


def ball_heat(setup: Setup, ball_C: float, water_C: float) -> float:
    """Heat of the ball above the water [J]."""
    volume = setup.joint.ball_volume
    return float(volume * (setup.ball.enthalpy(ball_C) - setup.ball.enthalpy(water_C)))


def lost_J(setup: Setup, water_C: float, heat_J: float) -> float:
    """What a ball of so much heat loses on its way into the water, by radiation and air [J]."""
    levels = np.linspace(water_C, setup.ball.melts_C, 400)
    held = [ball_heat(setup, float(level), water_C) for level in levels]
    ball_C = float(np.interp(heat_J, held, levels))
    dark = constant("emissivity", "oxidised").value
    hot, room = ball_C + ZERO_C_K, setup.ambient_C + ZERO_C_K
    flux = dark * SIGMA * (hot**4 - room**4) + FILM_W_m2K * (hot - room)
    return float(CARRIED_S * flux * math.pi * setup.joint.ball_diameter**2)


def balls_needed(setup: Setup, ball_C: float, water_ml: float, share: float = 0.05) -> int:
    """How many balls warm the water far enough for two readings to tell their heat to a share."""
    gained = DEGREE_K * math.sqrt(2.0) / share
    return math.ceil(gained_J(water_ml, gained) / ball_heat(setup, ball_C, 20.0))
