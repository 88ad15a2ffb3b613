"""Steps, events and columns of the march; what it refuses."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from thermo.braze import braze
from thermo.files import read_case, to_setup
from thermo.heat import (
    ConstantSolid,
    CosineLobeFlux,
    GreyLoss,
    HeatModel,
    LinearLoss,
    March,
    MarchError,
    Step,
    march,
)
from thermo.heat.march import MOST_STAGES
from thermo.heat.rkc import stages_for, take_step
from thermo.shape import build_mesh
from validation.manufactured.metal import Linear

CASES = Path(__file__).parents[2] / "cases"


@pytest.fixture(scope="module")
def mesh(drilled):
    return build_mesh(drilled, "quick", mirrored=True)


def lit(flux, coefficient=60.0):
    """One-sided flux and a linear loss, columns allowed."""
    return [CosineLobeFlux(flux, (1, 0, 0)), LinearLoss(coefficient, 20.0)]


def cubic_step() -> Step:
    """The cubic t³ - 2 t + 1 and its negative from t = 2 to 4."""
    t = np.array([2.0, 4.0])
    y, f = t**3 - 2 * t + 1, 3 * t**2 - 2
    column = np.array([[1.0], [-1.0]])
    return Step(2.0, 4.0, y[0] * column, y[1] * column, f[0] * column, f[1] * column)


def test_dense_output_holds_a_cubic_exactly():
    step = cubic_step()
    for t in (2.0, 2.3, 3.1, 4.0):
        wanted = t**3 - 2 * t + 1
        np.testing.assert_allclose(step.at(t), [[wanted], [-wanted]], rtol=1e-13)


def test_crossing_is_found_on_the_cubic():
    step = cubic_step()
    passed = step.crossing(lambda t: float(step.at(t)[0, 0]), 3.0**3 - 6.0 + 1.0)
    assert passed == pytest.approx(3.0, abs=1e-4)
    assert step.crossing(lambda t: float(step.at(t)[0, 0]), 1.0) == 2.0  # passed before the step


def test_a_straight_course_is_met_at_once():
    """False position: one look finds it, one beside it closes the bracket; two at the ends."""
    looks = []

    def value(t):
        looks.append(t)
        return 5.0 * (t - 2.7)

    step = Step(2.0, 4.0, *[np.zeros((1, 1))] * 4)
    assert step.crossing(value, 0.0) == pytest.approx(2.7, abs=1e-4)
    assert len(looks) <= 5


def test_the_longest_stable_step_takes_as_many_stages_as_may_be(mesh, steel):
    model = HeatModel(mesh, {"ball": steel, "rod": steel}, 1e3, [LinearLoss(60.0, 20.0)])
    y = model.start(20.0)
    model.refresh(0.0, y)
    run = March(model, y)
    longest = run._longest_stable()
    assert stages_for(0.999 * longest, model.rate) <= MOST_STAGES + 1
    assert stages_for(1.01 * longest, model.rate) > MOST_STAGES + 1


def test_crossing_of_a_model_does_not_depend_on_where_steps_end(mesh, steel):
    """The mean passes 60 °C in a long step and in short ones at the same time, to 1 ms."""
    times = []
    for longest in (math.inf, 0.05):
        model = HeatModel(mesh, {"ball": steel, "rod": steel}, 1e4, lit(2.5e5))
        run = March(model, model.start(20.0), tolerance_K=0.01)
        ball = np.where(mesh.body == 0, mesh.volume, 0.0) / mesh.volume[mesh.body == 0].sum()

        def mean(y, model=model, ball=ball):
            return float(ball @ model.temperatures(y)[:, 0])

        step = run.step(until=40.0, longest=longest)
        while mean(step.y1) < 60.0:
            step = run.step(until=40.0, longest=longest)
        times.append(step.crossing(lambda t, step=step, mean=mean: mean(step.at(t)), 60.0))
    assert times[0] == pytest.approx(times[1], abs=1e-3)


def test_step_ends_where_it_is_told(mesh, steel):
    model = HeatModel(mesh, {"ball": steel, "rod": steel}, 1e4, lit(2.5e5))
    run = March(model, model.start(20.0))
    step = run.step(until=0.01)
    assert (step.t0, step.t1, run.t) == (0.0, 0.01, 0.01)
    while run.t < 1.0:
        step = run.step(until=1.0, longest=0.2)
        assert step.t1 - step.t0 <= 0.2 * 1.01
    assert run.t == 1.0


def test_going_back_gives_the_same_again(mesh, steel):
    """A march rewound and one that never went on end at the same state."""
    model = HeatModel(mesh, {"ball": steel, "rod": steel}, 1e4, lit(2.5e5))
    run = March(model, model.start(20.0), tolerance_K=0.01)
    run.step(until=1.0)
    t, y = run.t, run.y.copy()
    ends = []
    for _ in range(2):
        run.rewind(t, y)
        while run.t < 5.0:
            run.step(until=5.0)
        ends.append(model.temperatures(run.y))
    np.testing.assert_allclose(ends[0], ends[1], atol=0.02)


FLUXES, COEFFICIENTS, GAPS = [1e5, 2.5e5, 3e5], [20.0, 60.0, 100.0], [1e3, 1e4, 1e5]


def batch_loads():
    return lit(FLUXES, COEFFICIENTS)


def test_columns_take_the_same_step_as_single_runs(mesh, steel):
    """One step of a batch of three is three single steps of the same length, to 1e-9."""
    solids, links = {"ball": steel, "rod": steel}, len(mesh.gap.area)
    gaps = np.broadcast_to(np.array(GAPS), (links, 3))
    batch = HeatModel(mesh, solids, gaps, batch_loads(), columns=3)
    singles = [
        HeatModel(mesh, solids, gap, lit(flux, h))
        for flux, h, gap in zip(FLUXES, COEFFICIENTS, GAPS, strict=True)
    ]
    h, ends = 0.7, []
    for model in (batch, *singles):
        y = model.start(20.0)
        model.refresh(0.0, y)
        f = model.rates(0.0, y, np.empty_like(y))
        ends.append(take_step(model.rates, 0.0, y, f, h, stages_for(h, batch.rate)))
    np.testing.assert_allclose(ends[0], np.hstack(ends[1:]), rtol=1e-9)


def test_equal_columns_march_as_one(mesh, heated):
    """Three equal columns and a single run: same steps, same history to 1e-9."""
    one = heated(mesh, lit(2.5e5), [1.0, 5.0], gap_conductance=1e4)
    three = heated(mesh, lit([2.5e5] * 3, [60.0] * 3), [1.0, 5.0], gap_conductance=1e4)
    for column in range(3):
        found = three.columns(column)
        np.testing.assert_allclose(found.temperature_C, one.temperature_C, rtol=1e-9)
        np.testing.assert_allclose(found.stored_J, one.stored_J, rtol=1e-9)
    assert three.gap(body="ball", side=1).shape == (2, 3)


def test_batch_of_three_equals_three_runs(mesh, heated):
    """Different columns share a step that suits the most demanding: 0.02 K at a step's local
    error of 0.01 K (columns and single runs step differently)."""
    times = [1.0, 5.0, 20.0]
    gaps = np.broadcast_to(np.array(GAPS), (len(mesh.gap.area), 3))
    batch = heated(mesh, batch_loads(), times, gap_conductance=gaps, tolerance_K=0.01)
    for i, (flux, h, gap) in enumerate(zip(FLUXES, COEFFICIENTS, GAPS, strict=True)):
        single = heated(mesh, lit(flux, h), times, gap_conductance=gap, tolerance_K=0.01)
        found = batch.columns(i)
        np.testing.assert_allclose(found.temperature_C, single.temperature_C, atol=0.02)
        np.testing.assert_allclose(found.stored_J, single.stored_J, rtol=1e-4)
        np.testing.assert_allclose(found.loss_W, single.loss_W, rtol=1e-3, atol=1e-5)


def test_times_may_begin_at_zero_and_repeat(mesh, heated):
    history = heated(mesh, lit(2.5e5), [0.0, 1.0, 1.0])
    np.testing.assert_allclose(history.temperature_C[0], 20.0, atol=1e-9)
    np.testing.assert_array_equal(history.temperature_C[1], history.temperature_C[2])


def test_smaller_tolerance_comes_nearer(mesh, heated):
    """A tenth of the tolerance at least halves what is missing to a very fine march; at the 0.02 K
    a march has by default it is below 0.1 K after a rise of 500 K in the hottest place."""
    fine = heated(mesh, lit(1e6), [10.0], tolerance_K=1e-4).temperature_C
    found = [
        np.abs(heated(mesh, lit(1e6), [10.0], tolerance_K=tol).temperature_C - fine).max()
        for tol in (1.0, 0.1, 0.02, 0.01)
    ]
    assert found[0] > 2 * found[1] > 4 * found[3]
    assert found[2] < 0.1


def test_second_order_on_a_nonlinear_problem(mesh):
    """k, ρc and radiation that change with T, a lit side and a gap: equal steps from a settled
    state, against steps of 1/80 s."""
    metal = Linear(c1=1 / 2000)
    loads = [CosineLobeFlux(6e5, (1, 0, 0)), GreyLoss(0.8, 20.0), LinearLoss(30.0, 20.0)]

    def model():
        return HeatModel(mesh, {"ball": metal, "rod": metal}, 3e3, loads)

    settled = March(model(), model().start(20.0), tolerance_K=1e-4)
    while settled.t < 4.0:
        settled.step(until=4.0)

    def found(h):
        run = March(model(), settled.y, t=4.0, tolerance_K=math.inf)
        run.h = h
        while run.t < 10.4:
            run.step(until=10.4, longest=h)
        return run.model.temperatures(run.y)

    exact, steps = found(0.0125), (1.6, 0.8, 0.4, 0.2)
    errors = [float(np.sqrt(np.mean((found(h) - exact) ** 2))) for h in steps]
    order = np.polyfit(np.log(steps), np.log(errors), 1)[0]
    assert order >= 1.9, errors
    assert errors[-1] < 2e-3


def test_stages_of_a_real_braze_do_not_hang_on_the_tolerance():
    """Earth, 6 mm, quick mesh: every stage within 0.1 s at local errors of 0.5 and 0.02 K."""
    setup = to_setup(read_case(CASES / "earth-6mm.toml"))
    coarse, fine = (braze(setup, "quick", tolerance_K=tol) for tol in (0.5, 0.02))
    reached = 0
    for one, other in zip(coarse.stages, fine.stages, strict=True):
        assert one.name == other.name
        assert (one.time_s is None) == (other.time_s is None)
        if one.time_s is not None:
            reached += 1
            assert one.time_s == pytest.approx(other.time_s, abs=0.1), one.name
            if one.seen_s is not None:
                assert one.seen_s == pytest.approx(other.seen_s, abs=0.1), one.name
    assert reached >= 8


BEYOND = (
    r"the ball comes to 17\d\d °C 2\.\d mm above the mouth at t = 2\.\d\d s; metal is known from "
    r"-60 to 1700 °C\. Heat more gently: a smaller or cooler flame, or more distance"
)


def test_metal_beyond_its_tables_is_refused(mesh, heated):
    with pytest.raises(MarchError, match=BEYOND):
        heated(mesh, lit(1e7, 1.0), [60.0])


@pytest.mark.parametrize("times", [[], [2.0, 1.0], [-1.0, 1.0], [[1.0, 2.0]]])
def test_times_that_do_not_increase_are_refused(mesh, heated, times):
    with pytest.raises(ValueError, match="times must be a list of increasing times"):
        heated(mesh, lit(2.5e5), times)


def test_loads_of_different_columns_are_refused(mesh, heated):
    with pytest.raises(ValueError, match=r"carry different columns: \[2, 3\]"):
        heated(mesh, lit([1e5, 2e5], [1.0, 2.0, 3.0]), [1.0])


def test_column_that_is_not_there_is_refused(mesh, heated):
    history = heated(mesh, lit([1e5, 2e5]), [0.1])
    with pytest.raises(ValueError, match="column = 2: must lie between 0 and 1"):
        history.columns(2)


def test_shorter_rod_draws_less_heat_from_the_ball(drilled, heated):
    """36 mm and 10 mm of rod: the ball is more than 10 K hotter after 40 s on the short one."""
    hot = []
    for length in (36.27e-3, 10e-3):
        mesh = build_mesh(replace(drilled, rod_length=length), "quick", mirrored=True)
        ball = heated(mesh, lit(2.5e5), [40.0], gap_conductance=1e4).temperature_C[0]
        hot.append(float(ball[mesh.body == 0].mean()))
    assert hot[1] > hot[0] + 10.0


def test_good_conductor_is_level(mesh):
    """k of a thousand steels: no place of the ball differs by more than 0.1 K from another."""
    metal = ConstantSolid(3e4, 5e6)
    history = march(
        mesh,
        solids={"ball": metal, "rod": metal},
        gap_conductance=1e4,
        loads=lit(2.5e5),
        start_C=20.0,
        times=[2.0],
    )
    ball = history.temperature_C[0, mesh.body == 0]
    assert np.ptp(ball) < 0.1
    assert ball.mean() > 25.0


@pytest.mark.parametrize("fluxes", [(0.0, 0.0, 4e5), (4e5, 0.0, 0.0)])
def test_steps_go_by_the_worst_column(mesh, steel, fluxes):
    """Columns at rest beside one in heat do not lengthen its steps."""
    ends = []
    for each in (fluxes, (4e5,)):
        loads = [CosineLobeFlux(each, (1, 0, 0))]
        solids = {"ball": steel, "rod": steel}
        model = HeatModel(mesh, solids, 1e4, loads, columns=len(each))
        run = March(model, model.start(20.0))
        ends.append([run.step(until=math.inf).t1 for _ in range(8)])
    assert ends[0] == pytest.approx(ends[1], rel=1e-9)


def test_a_march_rewound_carries_no_pace_on(mesh, steel):
    """At one state, the slope then stands still through the next step; else it goes on."""
    model = HeatModel(mesh, {"ball": steel, "rod": steel}, 1e4, [*lit(1e6), GreyLoss(0.8, 20.0)])
    run, slopes = March(model, model.start(20.0)), []
    while run.t < 2.0:
        run.step(until=2.0)
    for rewind in (False, True):
        if rewind:
            run.rewind(run.t, run.y)
        model.refresh(run.t, run.y, 1.0)
        ends = [model.rates(run.t + x, run.y, np.empty_like(run.y)) for x in (0.0, 1.0)]
        slopes.append(float(np.abs(ends[1] - ends[0]).max()))
    assert slopes[0] > 0.0 == slopes[1]


def test_what_conductances_are_refused(mesh, steel):
    links = len(mesh.gap.area)
    metals = {"ball": steel, "rod": steel}
    some = np.full((links, 1), 500.0)
    some[0] = 0.0
    for wrong in (some, np.full((2, 1), 500.0), np.full(links, 500.0)):
        with pytest.raises(ValueError, match="gap_conductance"):
            march(mesh, solids=metals, gap_conductance=wrong, loads=[], start_C=20.0, times=[0.1])
    for right in (np.full((1, 1), 500.0), np.full((links, 1), 500.0)):
        march(mesh, solids=metals, gap_conductance=right, loads=[], start_C=20.0, times=[0.1])
