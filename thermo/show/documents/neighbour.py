"""A second ball's joint, as JSON values."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from thermo.show.wording.words import number

if TYPE_CHECKING:  # most rods carry one ball: the study of a second brings a pool of processes
    from thermo.study.neighbour import Held, Neighbour


def neighbour_block(beside: Neighbour) -> dict[str, Any]:
    """A second ball's joint as JSON values: lengths [mm], temperatures [°C], times [s]."""
    setup, given, swapped = beside.given.run.setup, beside.given, beside.swapped
    joint, filler, best = setup.joint, setup.second_filler, beside.best
    assert filler is not None
    return {
        "spacing_mm": number(round(1e3 * joint.spacing, 3)),
        "diameter_mm": number(round(1e3 * joint.second_ball_diameter, 6)),
        "filler": filler.name,
        "solidus_C": number(filler.solidus_C),
        **_held(given),
        "coldest_C": number(float(given.run.stations["second_joint_min_C"].max())),
        "without_clamp": _held(beside.bare),
        "clamps": [
            {**_held(held), "later_s": number(beside.later_s(held))} for held in beside.clamped
        ],
        "best_clamp": None if best is None else beside.clamped.index(best),
        "other_way_round": None if swapped is None else _held(swapped),
    }


def _held(held: Held) -> dict[str, Any]:
    clamp = held.clamp
    return {
        "at_mm": None if clamp is None else number(round(1e3 * clamp.at, 3)),
        "conductance_W_K": None if clamp is None else number(clamp.conductance),
        "hottest_C": number(held.limit.value),
        "hottest_s": number(held.hottest_s),
        "margin_K": number(held.margin_K),
        "time_s": number(held.limit.time_s),
        "holds": held.holds,
        "filled_s": number(held.filled_s),
    }
