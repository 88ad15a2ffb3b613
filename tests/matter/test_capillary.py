"""Limits and balances; the published values are rows of validation/capillarity."""

import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp, trapezoid

from thermo.matter.capillary import (
    annulus_permeability,
    flat_permeability,
    rise,
    slot_fill_time,
    slot_fill_time_with_inertia,
    slot_permeability,
    slot_pressure,
    tube_fill_time,
    tube_permeability,
    tube_pressure,
)

GAP, TENSION, ANGLE, VISCOSITY, DENSITY = 5e-5, 0.95, 30.0, 4e-3, 9200.0
LIQUID = (GAP, TENSION, ANGLE, VISCOSITY)


def test_annulus_draws_as_plates_do():
    inner, outer = 1.2e-3, 1.25e-3
    pull = TENSION * math.cos(math.radians(ANGLE)) * 2 * math.pi * (inner + outer)
    area = math.pi * (outer**2 - inner**2)
    assert float(slot_pressure(TENSION, ANGLE, outer - inner)) == pytest.approx(pull / area)


def test_column_hangs_in_balance():
    radius = 0.5e-3
    height = float(rise(tube_pressure(0.0728, 0.0, radius), 998.0))
    weight = 998.0 * 9.80665 * math.pi * radius**2 * height
    assert weight == pytest.approx(0.0728 * 2 * math.pi * radius)


@pytest.mark.parametrize("angle", [90.001, 120.0])
def test_what_does_not_wet_is_pushed_out_and_never_fills(angle):
    assert float(slot_pressure(TENSION, angle, GAP)) < 0
    assert float(rise(tube_pressure(TENSION, angle, GAP), DENSITY)) < 0
    assert math.isinf(float(slot_fill_time(1e-3, GAP, TENSION, angle, VISCOSITY)))
    assert math.isinf(float(tube_fill_time(1e-3, GAP, TENSION, angle, VISCOSITY)))
    late = slot_fill_time_with_inertia(1e-3, GAP, TENSION, angle, VISCOSITY, DENSITY)
    assert math.isinf(float(late))


def test_fill_times_balance_draw_and_drag():
    """dL/dt = Δp κ / (µ L A) at the end of the fill is half of L/t, for slot and tube."""
    length = 4e-3
    for time, pressure, flow, area in (
        (
            slot_fill_time(length, *LIQUID),
            slot_pressure(TENSION, ANGLE, GAP),
            slot_permeability(1.0, GAP),
            GAP,
        ),
        (
            tube_fill_time(length, *LIQUID),
            tube_pressure(TENSION, ANGLE, GAP),
            tube_permeability(GAP),
            math.pi * GAP**2,
        ),
    ):
        pace = float(pressure * flow) / (VISCOSITY * length * area)
        assert pace == pytest.approx(length / (2 * float(time)), rel=1e-12)


def test_inertia_by_integrating_the_balance():
    """With M = L L', M' = B - A M: begins at rest with an empty slot."""
    damping = 12 * VISCOSITY / (DENSITY * GAP**2)
    drive = 2 * TENSION * math.cos(math.radians(ANGLE)) / (DENSITY * GAP)

    def pace(_, state):
        return [drive - damping * state[0], 2 * state[0]]  # of L L' and of L²

    times = np.array([1e-4, 5e-4, 2e-3, 1e-2])
    run = solve_ivp(pace, (0, 1e-2), [0.0, 0.0], t_eval=times, rtol=1e-10, atol=1e-16)
    lengths = np.sqrt(run.y[1])
    found = slot_fill_time_with_inertia(lengths, *LIQUID, DENSITY)
    assert found == pytest.approx(times, rel=1e-6, abs=0)


def test_inertia_counts_at_first_and_is_lost_at_last():
    drive = 2 * TENSION * math.cos(math.radians(ANGLE)) / (DENSITY * GAP)
    short = np.array([1e-9, 1e-7, 1e-6])
    at_first = slot_fill_time_with_inertia(short, *LIQUID, DENSITY)
    assert at_first == pytest.approx(short / math.sqrt(drive), rel=1e-3, abs=0)
    washburn = slot_fill_time(0.1, *LIQUID)
    late = slot_fill_time_with_inertia(0.1, *LIQUID, DENSITY) - washburn
    assert float(late) == pytest.approx(DENSITY * GAP**2 / (12 * VISCOSITY), rel=1e-6)
    assert float(slot_fill_time_with_inertia(0.0, *LIQUID, DENSITY)) == 0.0


def test_narrow_annulus_is_a_slot_and_a_hair_inside_a_tube_hardly_counts():
    for gap in (2e-5, 1e-4):
        exact = float(annulus_permeability(1e-3, 1e-3 + gap))
        slot = float(slot_permeability(math.pi * (2e-3 + gap), gap))
        more = (gap / (1e-3 + gap / 2)) ** 2 / 60  # first term of the series
        assert exact / slot - 1 == pytest.approx(more, rel=0.02, abs=0)
    hair = float(annulus_permeability(1e-30, 1e-3))
    assert hair == pytest.approx(float(tube_permeability(1e-3)), rel=0.02, abs=0)


def test_annulus_by_integrating_its_velocity():
    inner, outer = 0.6e-3, 1.0e-3
    r = np.linspace(inner, outer, 20001)
    lag = (outer**2 - inner**2) / math.log(outer / inner)
    velocity = (outer**2 - r**2 + lag * np.log(r / outer)) / 4
    flow = trapezoid(velocity * 2 * np.pi * r, r)
    assert velocity[0] == pytest.approx(0.0, abs=1e-12 * velocity.max())
    assert float(annulus_permeability(inner, outer)) == pytest.approx(flow, rel=1e-7, abs=0)


def test_shapes_follow_the_arguments():
    lengths = np.array([[1e-3], [2e-3]])
    times = slot_fill_time_with_inertia(lengths, [4e-5, 5e-5, 6e-5], *LIQUID[1:], DENSITY)
    assert times.shape == (2, 3)
    assert np.all(times[1] > times[0])


@pytest.mark.parametrize("share", [1.0, 0.5])
def test_flat_on_a_rod_conducts_strip_by_strip(share):
    r, b, d = 1.2e-3, 0.05e-3, 0.2e-3
    half = math.sqrt(d * (2 * r - d))

    def strip(x):
        h = share * (b + math.sqrt(r**2 - x**2) - (r - d))
        return (h**3 - (share * b) ** 3) / 12

    assert flat_permeability(r, b, d, share) == pytest.approx(
        quad(strip, -half, half)[0], rel=1e-9, abs=0
    )


def test_a_shallow_flat_is_a_parabola_and_none_adds_nothing():
    """With no gap: h = d (1 - x²/w²), ∫ h³ dx = 32/35 d³ w, w = √(2 r d)."""
    r, d = 1.0, 1e-6
    closed = 32 / 35 * d**3 * math.sqrt(2 * r * d) / 12
    assert flat_permeability(r, 0.0, d) == pytest.approx(closed, rel=1e-5, abs=0)
    assert flat_permeability(r, 0.1, 0.0) == 0.0


@pytest.mark.parametrize("depth", [-0.1, 1.1])
def test_a_flat_is_no_deeper_than_the_rods_axis(depth):
    with pytest.raises(ValueError, match="between 0 and the rod's radius"):
        flat_permeability(1.0, 0.1, depth)
