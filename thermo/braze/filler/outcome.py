"""What became of the filler of one braze: what filled, what stayed dry, what ran out."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thermo.braze.filler.amount import Poured, poured
from thermo.braze.filler.flow import FULL, FillPaths
from thermo.braze.filler.preforms import inside
from thermo.braze.model import BrazeModel
from thermo.braze.remembered import StateHistory

Floats = NDArray[np.float64]

DRY_BELOW = 0.5  # a place less filled than this counts as dry
ONE_SIDE = 0.3  # length of the mean direction from which dry places lie to one side
LIQUATION_RANGE_K = 50.0
"""Melting range from which an alloy may part into liquid and skull (assumed, no source)."""
LIQUATION_S = 10.0
"""Time in the melting range from which it does (assumed, no source)."""


@dataclass(frozen=True)
class Dry:
    """Places of the gap that stayed without filler.

    Attributes
    ----------
    share : float
        Of the gap's room [-].
    height : float
        Middle of them, 0 at the mouth to 1 at the rod's tip [-].
    azimuth_deg : float or None
        Side of the case on which they lie; None where all round [degrees].
    """

    share: float
    height: float
    azimuth_deg: float | None


@dataclass(frozen=True)
class Flowed:
    """What became of the filler.

    Attributes
    ----------
    supply : float
        All of it [m³].
    softens_s, molten_s : float or None
        When it reached solidus and liquidus [s].
    first_s : float or None
        When it first entered the gap [s].
    waits_s : float
        How long it lay molten before it entered the gap, or in vain [s].
    hottest_C : float
        Its hottest before it entered the gap [°C].
    overheats_s : float or None
        When it first passed the top of its brazing range [s].
    poured : Poured
        Where it went [m³].
    waiting : float
        What has found no place: not molten, a bead, or shut in [m³].
    filled_share : float
        Of the gap's room [-].
    dry : Dry or None
    since_s : (G,) array
        When each gap link was full, NaN where never [s].
    stand_off : float
        How far pieces under the rod held it off its place [m].
    longest_flow_s : float
        Time of capillary flow to the farthest place, were all open [s].
    liquates : bool
        True where an alloy of wide range stayed long between solidus and liquidus.
    """

    supply: float
    softens_s: float | None
    molten_s: float | None
    first_s: float | None
    waits_s: float
    hottest_C: float
    overheats_s: float | None
    poured: Poured
    waiting: float
    filled_share: float
    dry: Dry | None
    since_s: Floats
    stand_off: float
    longest_flow_s: float
    liquates: bool


def flowed(braze_model: BrazeModel, history: StateHistory, i: int, end_s: float) -> Flowed:
    """What became of one column's filler.

    Parameters
    ----------
    braze_model : BrazeModel
    history : StateHistory
        What the parts remember at the end.
    i : int
        Column.
    end_s : float
        When the flame was taken away [s].
    """
    fill_paths, since = braze_model.fill_paths, history.filling.since[:, i]
    filler_state = history.filler_states[i]
    softens, molten = _known(filler_state.softens), _known(filler_state.molten)
    first = _known(np.nanmin(since)) if np.isfinite(since).any() else None
    share = history.filling.share[fill_paths.links, i]
    room = fill_paths.room[fill_paths.links]
    held = math.fsum((share * room).ravel())
    went = _poured(fill_paths, held, share, inside(braze_model.setup.snip), molten is not None)
    parts = (went.annulus, went.bottom, went.fillet, went.over)
    waits = 0.0 if molten is None else max((end_s if first is None else first) - molten, 0.0)
    return Flowed(
        supply=fill_paths.supply,
        softens_s=softens,
        molten_s=molten,
        first_s=first,
        waits_s=waits,
        hottest_C=filler_state.hottest,
        overheats_s=_known(filler_state.overheats),
        poured=went,
        waiting=max(fill_paths.supply - math.fsum(parts), 0.0),
        filled_share=held / float(room.sum()) if room.any() else 0.0,
        dry=_dry(braze_model, share, room),
        since_s=since,
        stand_off=fill_paths.stand_off,
        longest_flow_s=fill_paths.longest_flow_s,
        liquates=_liquates(braze_model, softens, molten, end_s),
    )


def _poured(fill_paths: FillPaths, held: float, share: Floats, below: bool, molten: bool) -> Poured:
    """What the gap has not taken: into the bottom, into the fillet, then over.

    From under the rod filler comes out only through a gap that is full up to the mouth somewhere;
    from the mouth it gets to the bottom only through a gap that is full.
    """
    if not molten or held <= 0.0:  # what wets nothing makes no fillet
        return Poured(held, 0.0, 0.0, 0.0)
    volume = max(fill_paths.supply, held)
    if below:
        return poured(fill_paths.amount, volume, held, mouth=bool((share[0] >= FULL).any()))
    bottom = None if bool((share >= FULL).all()) else False
    return poured(fill_paths.amount, volume, held, bottom=bottom)


def _dry(braze_model: BrazeModel, share: Floats, room: Floats) -> Dry | None:
    """Where filler is missing, as far as half a place."""
    gap, joint, links = braze_model.mesh.gap, braze_model.setup.joint, braze_model.fill_paths.links
    if room.sum() <= 0.0:
        return Dry(1.0, 0.5, None)
    lacking = np.where(share < DRY_BELOW, (1.0 - share) * room, 0.0)
    if not lacking.any():
        return None
    weight = lacking / lacking.sum()
    height = float((weight * (gap.z[links] - joint.mouth_z)).sum()) / joint.insertion
    angle = gap.azimuth[links]
    x, y = float((weight * np.cos(angle)).sum()), float((weight * np.sin(angle)).sum())
    if braze_model.mesh.mirrored:
        y = 0.0
    azimuth = None
    if math.hypot(x, y) > ONE_SIDE:
        azimuth = (math.degrees(math.atan2(y, x)) + braze_model.turned_deg) % 360.0
    return Dry(float(lacking.sum() / room.sum()), height, azimuth)


def _liquates(
    braze_model: BrazeModel, softens: float | None, molten: float | None, end_s: float
) -> bool:
    filler = braze_model.setup.filler
    if softens is None or filler.liquidus_C - filler.solidus_C < LIQUATION_RANGE_K:
        return False
    return (end_s if molten is None else molten) - softens > LIQUATION_S


def _known(t: float) -> float | None:
    return float(t) if math.isfinite(t) else None
