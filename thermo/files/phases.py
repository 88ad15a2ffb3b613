"""What a case's own ways of holding the torch leave open."""

from __future__ import annotations

from typing import Any

from thermo.files.errors import with_unit
from thermo.files.tables import COMMON, CONE_TIP, Assumed

PHASE_DEFAULTS: dict[str, tuple[Any, str]] = {
    "aim": ("ball", "the ball's centre"),
    "side": ("filler", "the filler's side"),
    "distance_mm": (CONE_TIP, "the cone's tip just short of the work"),
    "motion": ("hold", "the torch is held still"),
    "period_s": (2.0, f"one round or sweep ({COMMON})"),
}

STRATEGY = Assumed(
    "strategy",
    "best of all tried",
    "other commands take the ball's centre from the filler's side; cone tip just short of the "
    "work, until the gap is filled, at most 300 s, held exactly",
    95,
)


def phases(filled: dict[str, Any]) -> list[Assumed]:
    """Fill in the phases of the case's own strategies."""
    strategies = filled["strategy"]
    if not isinstance(strategies, list):
        return []
    if not strategies:
        return [STRATEGY]
    assumed: list[Assumed] = []
    for index, strategy in enumerate(strategies):
        found = strategy.get("phase") if isinstance(strategy, dict) else None
        for number, phase in enumerate(found if isinstance(found, list) else []):
            if isinstance(phase, dict):
                assumed += _phase(phase, f"strategy[{index + 1}].phase[{number + 1}]")
    return assumed


def _phase(phase: dict[str, Any], place: str) -> list[Assumed]:
    """Fill in one phase. A phase that ends on a time needs no longest time besides."""
    assumed = []
    for key, (value, why) in PHASE_DEFAULTS.items():
        if key in phase or (key == "period_s" and phase.get("motion", "hold") == "hold"):
            phase.setdefault(key, value)
            continue
        phase[key] = value
        weight = 94 if key in ("aim", "distance_mm") else 46
        assumed.append(Assumed(f"{place}.{key}", with_unit(key, value), why, weight))
    until = phase.get("until")
    if isinstance(until, int | float) and not isinstance(until, bool):
        phase.setdefault("max_s", until)
    return assumed
