"""Filler led by compiled code: as the same code leads it that Python runs."""

from __future__ import annotations

import math

import numpy as np
import pytest

from thermo.braze.filler.body import SUBSTEP_S, Body, Gas, Led, Part
from thermo.braze.filler.lead import compiled_leads, lead, stacked
from thermo.braze.filler.lump import Line

LINE = Line([-2e4, 2.4e5, 3.6e5, 6e5], [-50.0, 620.0, 655.0, 1600.0])
LEVELS = 2.4e5, 3.6e5, 4.5e5
PART = Part(30.0, 6e-6, 4.5e-6, 0.5, 20.0)
STILL = Gas(0.0, math.inf, SUBSTEP_S, [(300.0, 1400.0)])
TURNING = Gas(0.3, 3.0, 0.0625, [(200.0 + 150.0 * math.cos(x), 900.0 + 9.0 * x) for x in range(49)])


def bodies(exposed):
    """Cold, melting and molten filler, on walls that warm or cool, in a flame or not."""
    rng, count = np.random.default_rng(3), 60
    return [
        Body(
            mass=1e-5 * 10.0 ** rng.uniform(-1.0, 1.0),
            enthalpy=LINE.enthalpy(T),
            contact=10.0 ** rng.uniform(-3.0, -1.0),
            drawn=rng.uniform(-0.3, 0.3),
            area=3e-6 * rng.uniform(0.5, 2.0),
            wall=T + rng.uniform(-100.0, 150.0),
            walls=T + rng.uniform(-100.0, 250.0),
            exposed=exposed,
            radiates=exposed * 0.8 * 5.67e-8,
        )
        for T in np.linspace(30.0, 1000.0, count)
    ]


@pytest.mark.parametrize("exposed", [0.0, 4e-6])
@pytest.mark.parametrize("gases", [(STILL,), (TURNING,), (STILL, TURNING)])
def test_compiled_it_comes_to_the_same(exposed, gases):
    given = bodies(exposed)
    around = [gases[k % len(gases)] for k in range(len(given))]
    span = 1.0, 2.3, 1.0
    wanted = np.array(
        [
            lead(LINE.points, LEVELS, PART, body, gas, *span)
            for body, gas in zip(given, around, strict=True)
        ]
    )
    way = compiled_leads()
    assert way is not None
    found = way(LINE.points, LEVELS, PART, np.array(given), *stacked(around), span)
    passed = np.isfinite(wanted[:, -3:])
    assert passed.any(axis=0).all() and not passed.all(axis=0).any()
    most = np.nanmax(np.abs(wanted), axis=0)
    for name, column, expected, largest in zip(Led._fields, found.T, wanted.T, most, strict=True):
        assert (largest > 0.0) == (exposed > 0.0 or name not in ("gained", "lost"))
        np.testing.assert_allclose(column, expected, rtol=0.0, atol=1e-12 * largest, err_msg=name)
