"""A lump that melts as it nears a temperature: closed forms, an ODE solver, bounds."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from thermo.braze.filler.lump import Line, Lump

C, LATENT = 350.0, 250e3
LINE = Line(
    [C * T + L for T, L in ((-50, 0.0), (620, 0.0), (655, LATENT), (1600, LATENT))],
    [-50.0, 620.0, 655.0, 1600.0],
)
temperatures = st.floats(-40.0, 2500.0)


def near(T, pull, begin, end, time, mass=1e-5):
    lump = Lump(LINE, mass)
    h, passed = lump.near(LINE.enthalpy(T), pull, begin, end, time)
    return LINE.temperature(h), h, passed


@given(T=st.floats(-40.0, 1600.0))
def test_line_goes_through_its_points_and_back(T):
    h = LINE.enthalpy(T)
    assert h == pytest.approx(np.interp(T, LINE.T, LINE.h), rel=1e-12, abs=1e-6)
    assert LINE.temperature(h) == pytest.approx(T, abs=1e-9)


@pytest.mark.parametrize(("T", "piece"), [(-60.0, 0), (1700.0, 2)])
def test_lines_first_and_last_piece_go_on_beyond_its_ends(T, piece):
    h = LINE.enthalpy(T)
    assert h - LINE.h[piece] == pytest.approx(C * (T - LINE.T[piece]))
    assert LINE.temperature(h) == pytest.approx(T)


@pytest.mark.parametrize("time", [1e-3, 0.5, 30.0, 1e4])
def test_between_constant_surroundings_it_is_an_exponential(time):
    """G₁ (T₁ - T) + G₂ (T₂ - T) = G (T_e - T): T = T_e + (T₀ - T_e) exp(-t G / m c)."""
    wall, film = (3e-3, 500.0), (1e-3, 900.0)
    pull = wall[0] + film[0]
    end = (wall[0] * wall[1] + film[0] * film[1]) / pull
    found, _, passed = near(20.0, pull, end, end, time)
    assert found == pytest.approx(end + (20.0 - end) * math.exp(-time * pull / (1e-5 * C)))
    assert not passed


def test_it_trails_what_warms_evenly_by_its_lag():
    found, _, _ = near(20.0, 1e-3, 20.0, 520.0, 100.0)
    assert found == pytest.approx(520.0 - 5.0 * 1e-5 * C / 1e-3)


@pytest.mark.parametrize("time", [0.3, 5.0, 40.0])
def test_50_mg_under_5_w_melt_when_their_heat_is_in(time):
    """Something so far off that it gives 5 W whatever the lump's temperature."""
    _, h, passed = near(20.0, 1e-9, 5e9, 5e9, time, mass=50e-6)
    heat = LINE.enthalpy(20.0)
    assert h - heat == pytest.approx(5.0 * time / 50e-6, rel=1e-5)
    expected = [(at - heat) * 50e-6 / 5.0 for at in LINE.h[1:3]]
    expected = [at for at in expected if at < time]
    assert [at for at, _ in passed] == pytest.approx(expected, rel=1e-6)
    assert [at for _, at in passed] == LINE.h[1 : 1 + len(expected)]


@pytest.mark.parametrize(("begin", "end"), [(800.0, 800.0), (20.0, 1500.0), (1200.0, 100.0)])
def test_through_melting_it_goes_as_an_ode_solver_says(begin, end):
    def rise(t, h):
        return [2e-3 * (begin + (end - begin) * t / 12.0 - np.interp(h[0], LINE.h, LINE.T)) / 1e-5]

    def passes(t, h):
        return h[0] - LINE.h[2]

    exact = solve_ivp(
        rise, (0.0, 12.0), [LINE.enthalpy(20.0)], events=passes, rtol=1e-9, atol=1e-3, max_step=0.05
    )
    _, h, passed = near(20.0, 2e-3, begin, end, 12.0)
    assert h == pytest.approx(exact.y[0, -1], rel=1e-5)
    found = [at for at, level in passed if level == LINE.h[2]]
    assert found == pytest.approx(exact.t_events[0], rel=1e-4)


@given(
    T=temperatures,
    begin=temperatures,
    end=temperatures,
    pull=st.floats(1e-9, 10.0),
    mass=st.floats(1e-9, 1e-3),
    time=st.floats(1e-6, 1e3),
)
def test_it_never_leaves_what_surrounds_it(T, begin, end, pull, mass, time):
    found, _, passed = near(T, pull, begin, end, time, mass)
    low, high = min(T, begin, end), max(T, begin, end)
    assert low - 1e-6 <= found <= high + 1e-6
    times = [at for at, _ in passed]
    assert times == sorted(times) and all(0.0 <= at <= time * (1 + 1e-12) for at in times)


@given(begin=temperatures, end=temperatures, share=st.floats(0.01, 0.99))
def test_two_parts_of_a_step_are_the_whole(begin, end, share):
    middle = begin + share * (end - begin)
    lump = Lump(LINE, 1e-5)
    first, _ = lump.near(LINE.enthalpy(600.0), 2e-3, begin, middle, 8.0 * share)
    second, _ = lump.near(first, 2e-3, middle, end, 8.0 * (1.0 - share))
    whole, _ = lump.near(LINE.enthalpy(600.0), 2e-3, begin, end, 8.0)
    assert LINE.temperature(second) == pytest.approx(LINE.temperature(whole), abs=1e-5)


@pytest.mark.parametrize("at", [1, 2])
def test_cooling_from_a_point_of_the_line_it_takes_the_piece_below(at):
    """At the very solidus or liquidus, drawn down evenly: dh/dt = G (T_e - T) / m."""
    h, _ = Lump(LINE, 1e-5).near(LINE.h[at], 1e-9, -5e6, -5e6, 0.01)
    assert h < LINE.h[at]
    assert LINE.h[at] - h == pytest.approx(1e-9 * (5e6 + LINE.T[at]) * 0.01 / 1e-5, rel=1e-5)
