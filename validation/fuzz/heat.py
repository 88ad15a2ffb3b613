"""What is looked at inside a braze, and brazes held against other brazes of the same case."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from thermo.braze import Braze, Setup, braze
from thermo.braze.model import BrazeModel
from thermo.files import read_case, to_setup
from thermo.flame import Strategy
from thermo.flame.motion import CONE_GAP, OBSERVABLES
from thermo.heat import Readings, Step

SLACK_K = 0.8
"""The march's own tolerance: what a temperature may be off by one step."""
STAGES = ("flux-dry", "flux-milky", "flux-clear", "solidus", "liquidus", "filled")
QUICK = 0.03, 0.3
"""Most that a stage of a quick run may be off from a fine one: share, or seconds if more."""
ENGINE = 0.01, 0.1
"""The same between the usual tolerance and a sixteenth of it, where filler may be 3 K off."""
ENGINE_K, FINE_TOLERANCE_K = 3.0, 0.05
FUEL, LATER_S = 1.5, 0.1
"""More fuel, and how much later a stage may seem by it."""


@dataclass
class Excursions:
    """How far temperatures leave the span from room to hottest gas.

    Attributes
    ----------
    worst : dict
        By what it is: kelvin outside, temperature [°C], time [s].
    """

    worst: dict[str, tuple[float, float, float]] = field(default_factory=dict)

    def take(self, braze_model: BrazeModel, t: float, readings: Readings) -> None:
        """Look at every temperature of a scene at a step's end."""
        low, high = span_of(braze_model.setup)
        filler_states = braze_model.history.filler_states
        seen = {
            "cells": (readings.cells.min(), readings.cells.max()),
            "gap walls": (readings.colder.min(), max(readings.hole.max(), readings.rod.max())),
            "surface": (readings.metal.min(), readings.metal.max()),
            "filler": (
                min(
                    braze_model.filler_heat.temperature(filler_state)
                    for filler_state in filler_states
                ),
                max(
                    braze_model.filler_heat.temperature(filler_state)
                    for filler_state in filler_states
                ),
            ),
        }
        if len(readings.layer):
            seen["coat"] = readings.layer.min(), readings.layer.max()
        if braze_model.brick is not None:
            seen["brick"] = braze_model.brick.face_C.min(), braze_model.brick.face_C.max()
        for name, (least, most) in seen.items():
            under, over = low - float(least), float(most) - high
            out = max(under, over) if math.isfinite(under + over) else math.inf
            if out > self.worst.get(name, (0.0,))[0]:
                self.worst[name] = out, float(least if under > over else most), t


@contextlib.contextmanager
def watching() -> Iterator[Excursions]:
    """Look at every scene after each of its steps, whatever command runs it."""
    found, update = Excursions(), BrazeModel.update

    def watched(braze_model: BrazeModel, step: Step, readings: Readings, ahead: float) -> None:
        update(braze_model, step, readings, ahead)
        found.take(braze_model, step.t1, readings)

    BrazeModel.update = watched  # type: ignore[method-assign, assignment]
    try:
        yield found
    finally:
        BrazeModel.update = update  # type: ignore[method-assign]


def span_of(setup: Setup) -> tuple[float, float]:
    """Room, and the hottest gas of the torch [°C]."""
    torch, room = setup.torch, setup.ambient_C
    tip = torch.tip_temperature_C * torch.gas_temperature_factor
    return room, max(room, tip if torch.fuel_power > 0.0 else room)


def probe(path: Path) -> dict[str, str]:
    """Hold a quick braze of a case against others; what fails, by check, and "measured".

    Fine mesh, engine at a fine tolerance, and more fuel from the same burner at the same place, its
    first phase alone: what a phase does after another that ends sooner is another question.
    """
    setup = to_setup(read_case(path))
    quick = braze(setup, "quick")
    fine, exact = braze(setup, "fine"), braze(setup, "quick", FINE_TOLERANCE_K)
    found = {
        "quick against fine": _apart(quick, fine, *QUICK),
        "engine tolerance": _apart(quick, exact, *ENGINE),
        "more fuel": _later(setup),
    }
    off = abs(quick.filler.hottest_C - exact.filler.hottest_C)
    if off > ENGINE_K:
        found["filler by tolerance"] = (
            f"{quick.filler.hottest_C:.1f} °C, with a fine tolerance {exact.filler.hottest_C:.1f}"
        )
    found = {name: text for name, text in found.items() if text}
    return found | {"measured": f"{worst(quick, fine):.4f} {worst(quick, exact):.4f} {off:.2f}"}


def worst(one: Braze, other: Braze) -> float:
    """Largest share by which a stage that both reach differs, of 10 s at least."""
    times = _times(one), _times(other)
    both = [(times[0][name], times[1][name]) for name in times[0].keys() & times[1].keys()]
    return max((abs(a - b) / max(b, 10.0) for a, b in both), default=0.0)


def _times(run: Braze) -> dict[str, float]:
    found = {name: run.stage(name).time_s for name in STAGES}
    return {name: time for name, time in found.items() if time is not None}


def _apart(one: Braze, other: Braze, share: float, seconds: float) -> str:
    """Stages whose times differ by more than allowed, or that one alone reaches."""
    first, second, lines = _times(one), _times(other), []
    for name in STAGES:
        a, b = first.get(name, math.inf), second.get(name, math.inf)
        if a != b and not abs(a - b) <= max(share * min(a, b), seconds):
            lines.append(f"{name} {a:.2f} s, else {b:.2f} s")
    return "; ".join(lines)


def _later(setup: Setup) -> str:
    """Stages that come later with more fuel."""
    phase = setup.strategy.phases[0]
    gap = setup.torch.cone_length + CONE_GAP if phase.distance is None else phase.distance
    until = "filled" if phase.until in OBSERVABLES else phase.until
    held = replace(setup, strategy=Strategy("held", [replace(phase, distance=gap, until=until)]))
    more = replace(setup.torch, fuel_rate=FUEL * setup.torch.fuel_rate)
    before, after = _times(braze(held, "quick")), _times(braze(replace(held, torch=more), "quick"))
    late = [
        f"{name} {time:.2f} s, with {FUEL} times the fuel {after.get(name, math.inf):.2f} s"
        for name, time in before.items()
        if name != "filled" and after.get(name, math.inf) > time + LATER_S
    ]
    return "; ".join(late)
