"""A snip at the mouth over the range of its contact and exposure, against a fine solver."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import NamedTuple

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from thermo.braze.filler.mouth_gas import jet_at_mouth
from thermo.braze.filler.snip import STEP_S, snip_melting
from thermo.flame import Exposure, Jet, Phase
from thermo.matter import constant
from thermo.shape import build_mesh

STEFAN_BOLTZMANN, KELVIN = 5.670374419e-8, 273.15


class Walls(NamedTuple):
    time_s: np.ndarray
    seat_near_C: np.ndarray
    seat_far_C: np.ndarray


def run_of(setup, phases, near, far, end):
    """A braze as the snip sees it: seats that warm evenly from the room, a plan of phases."""
    t = np.linspace(0.0, end, 50)
    warm = setup.ambient_C + t / end * (np.array([[near], [far]]) - setup.ambient_C)
    stations = Walls(t, warm[0], warm[1])
    mesh = build_mesh(setup.joint, "quick")
    return SimpleNamespace(
        setup=setup, timeline=phases, stations=stations, off_s=0.9 * end, mesh=mesh
    )


def flames(run):
    """Start of each phase, and what it does to the part."""
    setup, patches = run.setup, run.mesh.patches
    known = (setup.joint, patches, patches.mirrored, setup.ambient_C)
    return [(began, Exposure(setup.torch, phase, *known)) for began, phase in run.timeline]


def melts(run, exposures, seat, azimuth, shares, contacts):
    """Times of liquidus by a fine solver, inf where never."""
    setup, jet = run.setup, Jet(run.setup.torch, run.setup.ambient_C)
    filler, wire = setup.filler, setup.snip.wire_diameter
    c, latent = (constant("filler", name).value for name in ("heat-capacity", "latent-heat"))
    levels = [0.0, filler.solidus_C, filler.liquidus_C]
    heats = [0.0, c * filler.solidus_C, c * filler.liquidus_C + latent]
    grey = constant("emissivity", "flux").value * STEFAN_BOLTZMANN

    def rate(t, h):
        T = np.interp(h, heats, levels)
        began, flame = [entry for entry in exposures if entry[0] <= t][-1]
        film, gas = jet_at_mouth(setup, jet, flame, t - began, azimuth)
        part = np.interp(t, run.stations.time_s, getattr(run.stations, seat))
        lost = grey * ((T + KELVIN) ** 4 - (setup.ambient_C + KELVIN) ** 4)
        gained = shares * (film * (gas - T) - lost) + (1 - shares) * contacts * (part - T)
        return gained / (filler.density * wire / 4)

    start = np.full(len(shares), c * setup.ambient_C)
    times = np.arange(0.0, run.off_s, 0.01)
    h = solve_ivp(rate, (0.0, run.off_s), start, t_eval=times, max_step=0.1).y
    molten = h >= heats[-1]
    return np.where(molten.any(axis=1), times[molten.argmax(axis=1)], np.inf)


PLANS = {
    "held": ([(0.0, Phase("mouth", side=40.0))], 750.0, 600.0),
    "round": ([(0.0, Phase("mouth", side=40.0, motion="round", period=4.0))], 620.0, 900.0),
    "two phases": (
        [(0.0, Phase("ball", side=40.0)), (5.0, Phase("mouth", side=200.0))],
        500.0,
        20.0,
    ),
}


@pytest.mark.parametrize(
    ("name", "wire"), [*((name, 0.5e-3) for name in PLANS), ("two phases", 0.1e-3)]
)
def test_span_is_that_of_a_fine_solver(earth, name, wire):
    phases, near, far = PLANS[name]
    thin = replace(earth, snip=replace(earth.snip, wire_diameter=wire))
    run = run_of(thin, phases, near, far, 12.0)
    exposures = flames(run)
    contact, share = (
        constant("contact", "filler-piece").range,
        constant("filler", "exposed-share").range,
    )
    shares, contacts = np.meshgrid(np.linspace(*share, 3), np.geomspace(*contact, 5))
    for melting, seat, turn in zip(snip_melting(run), ("near", "far"), (0.0, 180.0), strict=True):
        given = f"seat_{seat}_C", math.radians(40.0 + turn), shares.ravel(), contacts.ravel()
        times = np.sort(melts(run, exposures, *given))
        wanted = [times[0], times[7], times[14]]
        found = [melting.earliest_s, melting.middle_s, melting.latest_s]
        assert [t is None for t in found] == [math.isinf(t) for t in wanted]
        for ours, exact in zip(found, wanted, strict=True):
            if ours is not None:
                assert ours == pytest.approx(exact, abs=2 * STEP_S)
