"""Cooling: the chain against the whole march, its paces, and where a hand may hold the rod."""

import math
from dataclasses import replace

import numpy as np
import pytest

from thermo.braze import Clamp, braze, brazes
from thermo.braze.cooling import Chain, Cooling, cooling
from thermo.braze.model import BrazeModel
from thermo.braze.monitors import NAMES, Trace
from thermo.heat import March
from thermo.matter import constant, get_solid

HOLD_C = constant("hand", "hold").value
TOUCH_C = constant("hand", "touch").value


def bare(setup, **changes):
    """No flux, and wire that is never brought: ball, gap and rod alone."""
    coat = replace(setup.coat, thickness=0.0)
    snip = replace(setup.snip, place="fed")
    return replace(setup, coat=coat, snip=snip, **changes)


def at_rest(setup):
    """A scene without a flame, its walls and skin remembered at 650 °C."""
    braze_model = BrazeModel(setup, [setup.strategy], "quick")
    braze_model.hold(0, None, 0.0)
    braze_model.history.gap[:] = braze_model.history.patches[:] = braze_model.history.outside[:] = (
        650.0
    )
    braze_model.recall(braze_model.keep(0), 0.0)
    braze_model.heat.refresh(0.0, braze_model.heat.start(480.0))
    return braze_model


def marched_to(setup, start_C, level_C):
    """Time at which the whole part is below a level by the march of all cells."""
    braze_model = at_rest(setup)
    run = March(braze_model.heat, braze_model.heat.start(start_C), tolerance_K=0.1)
    while True:
        step = run.step(2000.0, 4.0)
        readings = braze_model.readings(step.t1, step.y1)
        braze_model.age(step, readings)
        if readings.cells.max() <= level_C:
            return step.crossing(
                lambda t, s=step: -braze_model.heat.temperatures(s.at(t)).max(), -level_C
            )
        braze_model.update(step, readings, 4.0)


def chained_to(setup, start_C, level_C):
    """The same by the chain; straight between its last two steps."""
    braze_model = at_rest(setup)
    chain = Chain(braze_model, 0, 0.0)
    t, T = 0.0, chain.mean(np.full(braze_model.mesh.cells, start_C))
    while True:
        h, after = chain.step(T)
        if after.max() <= level_C:
            return t + h * (T.max() - level_C) / (T.max() - after.max())
        t, T = t + h, after


KINDS = {
    "6 mm": lambda earth: bare(earth),
    "bearing steel on brass": lambda earth: bare(earth, rod=get_solid("brass")),
    "clamped": lambda earth: bare(earth, clamp=Clamp(at=10e-3, conductance=0.05)),
    "short rod": lambda earth: bare(earth, joint=replace(earth.joint, rod_length=8e-3)),
    "second ball": lambda earth: bare(
        earth,
        joint=replace(earth.joint, rod_length=20e-3, second_ball_diameter=5e-3),
        second_filler=earth.filler,
    ),
}


@pytest.mark.parametrize("name", list(KINDS))
def test_the_chain_cools_as_the_whole_march_does(earth, name):
    """From 480 °C all over down to 300 and to what a hand bears: within 3 % of the time."""
    setup = KINDS[name](earth)
    for level_C in (300.0, TOUCH_C):
        whole = marched_to(setup, 480.0, level_C)
        assert chained_to(setup, 480.0, level_C) == pytest.approx(whole, rel=0.03)


def test_nodes_of_the_chain_keep_volume_and_heat(earth):
    """The ball, the rod in it, then the rod's discs: their mean is that of all cells."""
    braze_model = at_rest(bare(earth))
    chain, mesh = Chain(braze_model, 0, 0.0), braze_model.mesh
    T = np.random.default_rng(3).uniform(20.0, 500.0, mesh.cells)
    own = chain._share.sum(axis=0)
    assert own.sum() == pytest.approx(mesh.volume.sum(), rel=1e-12)
    assert chain.mean(T) @ own == pytest.approx(mesh.volume @ T, rel=1e-12)
    assert own[0] == pytest.approx(mesh.volume[mesh.body == 0].sum(), rel=1e-12)
    rod = math.pi * earth.joint.rod_radius**2
    assert own[1] == pytest.approx(rod * earth.joint.insertion, rel=0.1)  # to a cell's edge
    assert own[1:].sum() == pytest.approx(earth.joint.rod_volume, rel=1e-9)


def test_a_part_at_room_temperature_stays_there(earth):
    chain = Chain(at_rest(bare(earth)), 0, 0.0)
    _, T = chain.step(np.full(len(chain.rod) + 2, 20.0))
    np.testing.assert_allclose(T, 20.0, atol=0.05)


@pytest.mark.parametrize("place", ["mouth", "bottom"])
def test_a_braze_is_cool_enough_to_touch_long_after_it_can_be_washed(run_of, place):
    run = run_of(place).braze
    assert run.cooling.touch_s > run.stage("wash").time_s + 120.0
    assert run.cooling.time_s[-1] == run.cooling.touch_s
    assert np.all(np.diff(run.cooling.time_s) > 0)
    assert run.cooling.axis_C.shape == (len(run.cooling.time_s), len(run.cooling.from_mouth))
    assert run.cooling.axis_C[-1].max() <= TOUCH_C + 1e-9
    assert np.all(run.cooling.axis_C[0] == pytest.approx(20.0, abs=0.1))


def test_traces_are_joined_at_the_end_of_the_flame(run_of):
    """What was marched for the leeway after the flame was taken away is no part of it."""
    run = run_of("mouth").braze
    off = run.stage("flame-off").time_s
    assert np.count_nonzero(np.abs(run.cooling.time_s - off) < 1e-9) == 1
    heating = run.cooling.time_s <= off + 1e-9
    near = run.cooling.axis_C[:, 0]
    assert near[heating].argmax() == np.count_nonzero(heating) - 1
    rod_10mm = np.interp(10e-3, run.cooling.from_mouth, run.cooling.axis_C[heating][-1])
    stations = run.stations
    at_off = np.interp(off, stations["time_s"], stations["rod_10mm_C"])
    assert rod_10mm == pytest.approx(at_off, abs=5.0)


def test_nothing_was_cooled_in_a_batch(earth):
    run = brazes(earth, [earth.strategy], "quick")[0]
    assert run.cooling.touch_s is None and run.cooling.rate_K_s is None
    assert run.cooling.time_s[-1] == pytest.approx(run.stage("flame-off").time_s)


# -- pace through the range that hardens


def traced(times, ball_max, axis=None):
    """A trace of one column: the ball's hottest place, and the rod's axis."""
    found = Trace()
    axis = np.zeros((len(times), 1)) if axis is None else np.asarray(axis)
    for t, T, row in zip(times, ball_max, axis, strict=True):
        values = np.full((len(NAMES), 1), 20.0)
        values[NAMES.index("ball_max_C")] = T
        found.add(float(t), values, np.asarray(row, dtype=float)[:, None])
    return found


def test_pace_is_told_from_700_to_500(earth, monkeypatch):
    """720 °C falling by 10 K/s: 20 s from 700 to 500; not told where it was never so hot."""
    monkeypatch.setattr(
        "thermo.braze.cooling._to_touch", lambda *_: (np.zeros(1), np.zeros((1, 1)))
    )
    t = np.arange(0.0, 31.0)
    braze_model, heat, y = None, traced([0.0], [20.0]), np.zeros((1, 1))
    places = np.array([1e-3])
    for start, rate in ((720.0, 10.0), (690.0, None), (700.0, 10.0)):
        fall = traced(t, start - 10.0 * t)
        found = cooling(braze_model, places, [heat, fall], 0, 0.0, y)
        assert found.rate_K_s == (None if rate is None else pytest.approx(rate, rel=1e-9))
    slow = traced(t, 720.0 - 7.0 * t)  # 510 °C at the end
    assert cooling(braze_model, places, [heat, slow], 0, 0.0, y).rate_K_s is None


def test_pace_of_a_braze_is_that_of_its_ball(earth):
    """A braze at 700 °C and above, and the time its stations take from 700 to 500 °C."""
    hot = replace(
        earth,
        strategy=replace(
            earth.strategy, phases=(replace(earth.strategy.phases[0], until=70.0, longest=70.0),)
        ),
    )
    run = braze(hot, "quick")
    t, T = run.stations["time_s"], run.stations["ball_max_C"]
    after = t >= run.stage("flame-off").time_s
    passed = np.interp([-700.0, -500.0], -T[after], t[after])
    assert T.max() > 700.0
    assert run.cooling.rate_K_s == pytest.approx(200.0 / np.diff(passed)[0], rel=1e-6)
    assert 2.0 < run.cooling.rate_K_s < 40.0


# -- the rod in a hand


def on_the_rod(times, rows):
    return Cooling(None, None, np.array([5e-3, 10e-3, 20e-3]), np.asarray(times), np.asarray(rows))


def test_too_hot_to_hold_on_a_synthetic_trace():
    """5 mm from the mouth 80 °C come after 10 s, 10 mm half as fast, 20 mm never above 50 °C."""
    t = np.linspace(0.0, 20.0, 41)
    rows = np.stack([20.0 + 6.0 * t, 20.0 + 3.0 * t, np.minimum(20.0 + 3.0 * t, 50.0)], axis=1)
    found = on_the_rod(t, rows)
    assert found.too_hot_s(5e-3) == pytest.approx((HOLD_C - 20.0) / 6.0, abs=1e-9)
    assert found.too_hot_s(10e-3) == pytest.approx((HOLD_C - 20.0) / 3.0, abs=1e-9)
    assert found.too_hot_s(20e-3) is None
    assert found.too_hot_s(7.5e-3) == pytest.approx((HOLD_C - 20.0) / 4.5, abs=1e-9)
    assert found.too_hot_s(1e-3) == found.too_hot_s(5e-3)  # nearer than the nearest place
    assert found.held_from is None  # 50 °C there is more than a hand bears
    assert on_the_rod(t, rows - 5.0).held_from == 20e-3
    assert on_the_rod(t, rows - 200.0).held_from == 5e-3
    assert on_the_rod(t, rows + 100.0).held_from is None
    assert on_the_rod(t, rows + 100.0).too_hot_s(20e-3) == 0.0


def test_held_from_is_where_too_hot_ends(run_of, earth):
    long = replace(earth, joint=replace(earth.joint, rod_length=150e-3))
    found = braze(long, "quick").cooling
    assert 20e-3 < found.held_from < 150e-3
    assert found.too_hot_s(found.held_from) is None
    before = found.from_mouth[found.from_mouth < found.held_from]
    hottest = found.axis_C.max(axis=0)
    assert hottest[len(before)] < TOUCH_C <= hottest[len(before) - 1]
    assert run_of("mouth").braze.cooling.held_from is None  # 40 mm are too short


def test_in_a_room_hotter_than_a_hand_bears_no_time_to_touch_is_told(earth):
    """The march ends within a kelvin of the room all the same."""
    hot = replace(earth, ambient_C=TOUCH_C + 7.0)
    run = braze(hot, "quick")
    assert run.cooling.touch_s is None
    last = run.cooling.axis_C[-1]
    assert hot.ambient_C <= last.min() + 0.1 and last.max() <= hot.ambient_C + 1.0 + 1e-9
