"""A second ball's joint, as JSON values."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from thermo.show.documents.base import Number, Part

if TYPE_CHECKING:  # most rods carry one ball: the study of a second brings a pool of processes
    from thermo.study.neighbour import JointMargin, Neighbour


class HeldPart(Part):
    """The second joint with one clamp, or none: its hottest, its margin, what it costs this one."""

    at_mm: Number
    conductance_W_K: Number
    hottest_C: Number
    hottest_s: Number
    margin_K: Number
    time_s: Number
    holds: bool
    filled_s: Number


class ClampPart(HeldPart):
    """A clamp that was tried, and how much later this gap is full with it [s]."""

    later_s: Number


class NeighbourPart(HeldPart):
    """What becomes of a second ball's joint: lengths [mm], temperatures [°C], times [s]."""

    spacing_mm: Number
    diameter_mm: Number
    filler: str
    solidus_C: Number
    coldest_C: Number
    without_clamp: HeldPart
    clamps: list[ClampPart]
    best_clamp: int | None
    other_way_round: HeldPart | None


def neighbour_part(beside: Neighbour) -> NeighbourPart:
    """What becomes of a second ball's joint.

    Parameters
    ----------
    beside : Neighbour
    """
    setup, given, swapped = beside.given.run.setup, beside.given, beside.swapped
    joint, filler, best = setup.joint, setup.second_filler, beside.best
    assert filler is not None
    return NeighbourPart(
        **_held(given),
        spacing_mm=round(1e3 * joint.spacing, 3),
        diameter_mm=round(1e3 * joint.second_ball_diameter, 6),
        filler=filler.name,
        solidus_C=filler.solidus_C,
        coldest_C=float(given.run.stations["second_joint_min_C"].max()),
        without_clamp=HeldPart(**_held(beside.bare)),
        clamps=[ClampPart(**_held(x), later_s=beside.later_s(x)) for x in beside.clamped],
        best_clamp=None if best is None else beside.clamped.index(best),
        other_way_round=None if swapped is None else HeldPart(**_held(swapped)),
    )


def _held(held: JointMargin) -> dict[str, Any]:
    """Values of `HeldPart`."""
    clamp = held.clamp
    return {
        "at_mm": None if clamp is None else round(1e3 * clamp.at, 3),
        "conductance_W_K": None if clamp is None else clamp.conductance,
        "hottest_C": held.limit.value,
        "hottest_s": held.hottest_s,
        "margin_K": held.margin_K,
        "time_s": held.limit.time_s,
        "holds": held.holds,
        "filled_s": held.filled_s,
    }
