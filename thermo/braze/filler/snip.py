"""A snip of filler wire laid at the mouth: when it melts, against when the gap can take it.

The snip is a lumped body between the part it touches and the flame, too small to change either:

    m dh/dt = A [ exposed · h_flame (T_gas - T) + touching · h_contact (T_part - T)
                  - exposed · e σ (T⁴ - T_a⁴) ]

with the latent heat spread evenly between solidus and liquidus.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thermo.braze.filler.heat import enthalpy_table, mass_per_area
from thermo.braze.filler.mouth_gas import POSES, jet_at_mouth
from thermo.braze.result import Braze
from thermo.constants import SIGMA, ZERO_C_K
from thermo.flame import Exposure, Jet
from thermo.matter import constant

Floats = NDArray[np.float64]

STEP_S = 0.05


@dataclass(frozen=True)
class Melting:
    """When a snip at the mouth melts, over the range of its contact and exposure.

    Attributes
    ----------
    side : str
        "flame" (the side of the first phase) or "opposite".
    earliest_s, middle_s, latest_s : float or None
        Liquidus reached; None where not before the flame is taken away [s].
    """

    side: str
    earliest_s: float | None
    middle_s: float | None
    latest_s: float | None


def snip_melting(run: Braze) -> tuple[Melting, Melting]:
    """Melting of the case's wire at the mouth, on the first phase's side and opposite.

    Parameters
    ----------
    run : Braze
        Stations "seat_near_C" and "seat_far_C" are the ball at the mouth on the torch's side and
        opposite.

    Returns
    -------
    tuple of Melting
        On the side of the first phase, and opposite.
    """
    found = []
    flame = math.radians(run.timeline[0][1].side)
    for side, seat, azimuth in (
        ("flame", run.stations.seat_near_C, flame),
        ("opposite", run.stations.seat_far_C, flame + math.pi),
    ):
        times = np.sort(_melt_times(run, seat, azimuth))
        first, middle, last = (_known(times[k]) for k in (0, len(times) // 2, -1))
        found.append(Melting(side, first, middle, last))
    return found[0], found[1]


def _known(t: float) -> float | None:
    return float(t) if math.isfinite(t) else None


def _melt_times(run: Braze, seat_C: Floats, azimuth: float) -> Floats:
    """Times of liquidus over a grid of contact and exposure, inf where never [s]."""
    filler = run.setup.filler
    contact = constant("contact", "filler-piece")
    share = constant("filler", "exposed-share")
    contacts = np.geomspace(*contact.range, 5)[:, None]
    shares = np.linspace(*share.range, 3)[None, :]
    end = run.off_s
    times = np.arange(0.0, end + STEP_S, STEP_S)
    seats = np.interp(times, run.stations.time_s, seat_C)
    h_flame, gas_C = _gas_at_snip(run, times, azimuth)
    enthalpy, temperature = enthalpy_table(filler)
    slopes = np.diff(enthalpy) / np.diff(temperature)
    per_area = mass_per_area(run.setup)
    touch = (1 - shares) * contacts
    ambient = run.setup.ambient_C
    emissivity = constant("emissivity", "flux").value
    h = np.full((5, 3), float(np.interp(ambient, temperature, enthalpy)))
    melted = np.full((5, 3), np.inf)
    ends = float(np.interp(filler.liquidus_C, temperature, enthalpy))
    for i, t in enumerate(times):
        T = np.interp(h, enthalpy, temperature)
        radiated = emissivity * SIGMA * ((T + ZERO_C_K) ** 4 - (ambient + ZERO_C_K) ** 4)
        # fine wire is stiff: it nears its balance between part and flame exactly within the step
        capacity = per_area * slopes[np.searchsorted(temperature[1:-1], T, side="right")]
        pull = touch + shares * h_flame[i]
        balance = (touch * seats[i] + shares * (h_flame[i] * gas_C[i] - radiated)) / pull
        h = h - np.expm1(-pull * STEP_S / capacity) * capacity * (balance - T) / per_area
        melted = np.where((h >= ends) & ~np.isfinite(melted), t, melted)
    return melted.ravel()


def _gas_at_snip(run: Braze, times: Floats, azimuth: float) -> tuple[Floats, Floats]:
    """Coefficient on the wire and gas temperature at the mouth's edge through time.

    In the lee of the ball the gas is slower: the wire's coefficient is lowered as the ball's own
    local one falls below that of its front (assumed).
    """
    setup, patches, jet = run.setup, run.mesh.patches, Jet(run.setup.torch, run.setup.ambient_C)
    h, gas = np.zeros(len(times)), np.full(len(times), setup.ambient_C)
    begins = [t for t, _ in run.timeline] + [math.inf]
    for (began, phase), stop in zip(run.timeline, begins[1:], strict=True):
        within = (times >= began) & (times < stop)
        turns = np.linspace(0.0, 1.0, 2 if phase.motion == "hold" else POSES)
        flame = Exposure(
            setup.torch, phase, setup.joint, patches, patches.mirrored, setup.ambient_C
        )
        table = [jet_at_mouth(setup, jet, flame, float(t) * phase.period, azimuth) for t in turns]
        place = (times[within] - began) / phase.period % 1.0
        h[within], gas[within] = (np.interp(place, turns, column) for column in np.array(table).T)
    return h, gas
