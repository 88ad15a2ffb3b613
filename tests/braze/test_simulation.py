"""When a watched value reaches its level inside a step, and the leap when the flame goes."""

from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermo.braze.model import BrazeModel
from thermo.braze.monitors import NAMES
from thermo.braze.simulation import FED, NODES, Simulation, _reaches
from thermo.braze.stages import CUES
from thermo.flame import Phase, Strategy
from thermo.heat import March, Step

STEP = Step(2.0, 5.0, *[np.zeros((1, 1))] * 4)
TIMES = [2.0, 3.0, 4.0, 5.0]


def reaches(values, level):
    return _reaches(STEP, TIMES, np.asarray(values, dtype=float), level)


def test_a_cubic_course_reaches_its_level_exactly():
    def simulation(t):
        return t**3 - 2.0 * t + 1.0

    for wanted in (2.4, 3.0, 3.7, 4.99):
        found = reaches([simulation(t) for t in TIMES], simulation(wanted))
        assert found == pytest.approx(wanted, abs=2e-4)


@given(kink=st.floats(2.05, 4.95), slope=st.floats(1.0, 1e3), share=st.floats(0.01, 0.99))
def test_flux_that_leaves_a_plateau_is_found_between_the_readings_beside_it(kink, slope, share):
    values = [100.0 + slope * max(t - kink, 0.0) for t in TIMES]
    level = 100.0 + share * (values[-1] - 100.0)
    true = kink + (level - 100.0) / slope
    found = reaches(values, level)
    low = max(t for t in TIMES if t <= true)
    assert low - 1e-6 <= found <= low + 1.0 + 1e-6


def test_what_was_reached_before_the_step_counts_from_its_beginning():
    assert reaches([7.0, 8.0, 9.0, 10.0], 5.0) == 2.0


def slopes(simulation):
    """Slope of the state at the march's time, and with the same state a second later."""
    model, t, y = simulation.braze_model.heat, simulation.march.t, simulation.march.y
    model.refresh(t, y, 1.0)
    return [model.rates(t + x, y, np.empty_like(y)) for x in (0.0, 1.0)]


@pytest.mark.parametrize("motion", ["round", "sweep"])
def test_a_moving_torch_begins_with_what_a_still_one_gives(earth, motion):
    still = Phase("rod", distance=20e-3)
    moving = replace(still, motion=motion, period=3.0)
    strategies = [Strategy("still", (still,)), Strategy("moving", (moving,))]
    braze_model = BrazeModel(earth, strategies, "quick")
    assert braze_model.caught(1) == pytest.approx(braze_model.caught(0), rel=1e-12)


def test_when_the_flame_goes_nothing_of_it_stays(earth):
    """After the leeway: back at flame-off in all that is remembered, no gain, and no pace."""
    braze_model = BrazeModel(replace(earth, support="brick-behind"), [earth.strategy], "quick")
    simulation = Simulation(braze_model, partial(March, tolerance_K=0.8))
    simulation.heat()
    (y, (history, brick)), off = simulation.columns[0].off, simulation.columns[0].off_s
    now, later = slopes(simulation)
    assert np.abs(later - now).max() > 0.0
    assert simulation.march.t > off + 1.0 and simulation.march.y[-2, 0] > y[-2, 0]

    simulation.cool([], 0.0)
    assert simulation.march.t == off == simulation.trace.times[0]
    np.testing.assert_array_equal(simulation.march.y, y)
    for name in ("gap", "patches", "coat", "ready", "spent_gap", "spent_coat"):
        np.testing.assert_array_equal(getattr(braze_model.history, name), getattr(history, name))
    assert braze_model.brick.keep()[1] == brick[1]
    for spent, kept in zip(
        braze_model.spent(off), (history.spent_coat, history.spent_gap), strict=True
    ):
        assert np.any(kept > 0.0)
        np.testing.assert_array_equal(spent, kept)
    now, later = slopes(simulation)
    np.testing.assert_array_equal(later, now)
    filler_state, face = braze_model.history.filler_states[0], braze_model.brick.face_C[0]
    assert braze_model.filler_heat._gas == [braze_model.filler_heat._no_gas]
    assert not np.any(braze_model.flames.coefficients(off, moving=False))
    gained = filler_state.gained
    step = simulation.march.step(off + 0.2)
    simulation._carry(
        step,
        simulation._take(step),
        simulation.monitors.read(braze_model.readings(off, y), braze_model.spent(off)),
    )
    glow = step.y1[-2, 0] - y[-2, 0]  # of the brick alone
    assert filler_state.gained == gained
    assert 0.0 < glow < 0.01 * y[-2, 0] and braze_model.brick.face_C[0] < face


def test_a_phase_that_begins_carries_no_pace_on(earth):
    """The torch leaps to the other side: at one state, the slope stands still through a step."""
    braze_model = BrazeModel(earth, [earth.strategy], "quick")
    simulation = Simulation(braze_model, partial(March, tolerance_K=0.8))
    while simulation.march.t < 1.0:
        simulation.advance()
    was, later = slopes(simulation)
    assert np.abs(later - was).max() > 0.0
    braze_model.hold(0, replace(earth.strategy.phases[0], side=180.0), simulation.march.t)
    now, later = slopes(simulation)
    np.testing.assert_array_equal(later, now)
    assert np.abs(now - was).max() > 0.0


def test_each_stage_has_the_cue_that_belongs_to_it():
    words = {
        "solidus": "nothing to see",
        "liquidus": "touched to the mouth melts",
        "filled": "bright ring",
        "flame-off": "take the flame away",
        "solid": "goes dull",
    }
    assert all(words[name] in CUES[name] for name in words)


def test_a_leap_inside_a_step_is_put_where_it_goes_straight():
    """Their cubic leaves what lies between the last two nodes: half of the way is half the time."""
    step = Step(0.0, 4.0, *(np.zeros((3, 1)) for _ in range(4)))
    times = [step.t0 + share * 4.0 for share in NODES]
    nodes = np.array([100.0, -500.0, 99.0, 103.0])
    found = _reaches(step, times, nodes, 101.0)
    assert found == pytest.approx(times[-2] + (times[-1] - times[-2]) / 2, abs=1e-9)


def test_what_one_column_remembers_is_kept_alone_and_changes_no_more(earth):
    braze_model = BrazeModel(earth, [earth.strategy] * 3, "quick")
    history = braze_model.history
    history.gap[:], history.filling.share[:], history.filling.settled[:] = (
        [100.0, 200.0, 300.0],
        [0.1, 0.2, 0.3],
        [1.0, 2.0, 3.0],
    )
    history.filler_states[1].owed = 5.0
    kept, _ = braze_model.keep(1)
    history.gap[:], history.filling.share[:], history.filling.settled[:] = 0.0, 0.0, 0.0
    history.filler_states[1].owed = 0.0
    np.testing.assert_array_equal(kept.gap, np.full((len(history.gap), 1), 200.0))
    np.testing.assert_array_equal(kept.filling.share, np.full((len(history.gap), 1), 0.2))
    np.testing.assert_array_equal(kept.filling.settled, [2.0])
    (filler_state,) = kept.filler_states
    assert (filler_state.owed, filler_state.column) == (5.0, 0)


def test_a_step_is_aimed_at_the_first_crossing_of_any_column(earth):
    """By the pace of the last step, straight on; what has been passed is aimed at no more."""
    simulation = Simulation(BrazeModel(earth, [earth.strategy] * 2, "quick"), March)
    cue = simulation.thresholds[FED]
    level, row = cue.threshold, NAMES.index(cue.monitored)
    flat = np.full_like(simulation.trace.values[0], 20.0)
    simulation.trace.times, simulation.trace.values = [-1.0, 0.0], [flat, flat.copy()]
    for values, before in zip(simulation.trace.values, (3.0, 2.0), strict=True):
        values[row] = level - before * np.array([5.0, 10.0])
    simulation.trace.values[0][row, 1] -= 10.0  # twice as quick
    assert simulation._aim() == pytest.approx(1.0)
    simulation.columns[1].seen[FED[0]] = 0.0
    assert simulation._aim() == pytest.approx(2.0)
