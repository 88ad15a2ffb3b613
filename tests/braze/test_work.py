import math
from dataclasses import replace

import pytest

from thermo.braze import Work, reckoned
from thermo.braze.model import BrazeModel
from thermo.braze.run import braze
from thermo.braze.simulation import Simulation
from thermo.braze.work import work_of
from thermo.files import case_from_options, to_setup
from thermo.flame import Phase, Strategy
from thermo.heat import March
from thermo.heat.march import MOST_STAGES
from thermo.matter import get_solid

HELD = Phase("ball", longest=150.0)
ROUND = Phase("ball", motion="round", period=0.5, longest=20.0)
SWEPT = Phase("ball", motion="sweep", period=2.0, until=30.0, longest=30.0)


@pytest.mark.parametrize(
    ("phases", "rod_mm", "solid", "accuracy"),
    [
        ([HELD], 2.4, "carbon-steel", "quick"),
        ([HELD], 2.4, "carbon-steel", "normal"),
        ([HELD], 0.8, "copper", "quick"),
        ([ROUND], 2.4, "carbon-steel", "quick"),
        ([SWEPT, ROUND], 2.4, "stainless", "quick"),
    ],
)
def test_evaluations_are_those_counted(earth, phases, rod_mm, solid, accuracy):
    """Within a factor of three where the flame stays as long as it may."""
    wider = 1e-3 * rod_mm - earth.joint.rod_diameter
    hole = earth.joint.hole_diameter + wider
    joint = replace(earth.joint, rod_diameter=1e-3 * rod_mm, hole_diameter=hole)
    weak = replace(earth.torch, fuel_rate=earth.torch.fuel_rate / 10)
    setup = replace(earth, joint=joint, torch=weak, rod=get_solid(solid))
    setup = replace(setup, strategy=Strategy("long", phases))
    simulation = Simulation(BrazeModel(setup, [setup.strategy], accuracy), March)
    work = work_of(simulation)
    simulation.heat()
    assert simulation.march.t == pytest.approx(sum(phase.latest for phase in phases))
    assert 1 / 3 < work.evaluations / simulation.march.evaluations < 3
    assert 1 / 3 < work.steps / simulation.march.steps < 3


def test_work_grows_with_time_turns_cells_and_columns(earth):
    def seconds(*strategies, accuracy="quick"):
        return reckoned(earth, strategies, accuracy).seconds

    held, longer = (Strategy("held", [Phase("ball", longest=t)]) for t in (300.0, 3000.0))
    turned = Strategy("round", [Phase("ball", motion="round", period=0.5)])
    assert seconds(longer) > 4 * seconds(held)
    assert seconds(turned) > 4 * seconds(held)
    assert seconds(held, accuracy="fine") > 10 * seconds(held)
    assert seconds(held, held) > seconds(held)
    assert reckoned(earth, [held, longer], "quick").simulated_s == 3030.0


@pytest.mark.parametrize(
    ("solid", "ball_mm", "waits"), [("copper", 1.5, False), ("carbon-steel", 6.0, True)]
)
def test_steps_are_never_longer_than_is_stable(solid, ball_mm, waits):
    """A small ball on copper levels out so fast that the stages, not the pace, bound the step."""
    setup = to_setup(case_from_options(ball_mm, 0.4 * ball_mm, "pocket"))
    strategy = Strategy("long", [Phase("ball", longest=3000.0)])
    simulation = Simulation(
        BrazeModel(replace(setup, rod=get_solid(solid)), [strategy], "quick"), March
    )
    work, rate = work_of(simulation), simulation.march.model.rate
    stages = math.sqrt(1.54 * rate * work.simulated_s / work.steps)
    assert (stages < 0.9 * MOST_STAGES) if waits else stages == pytest.approx(MOST_STAGES, rel=1e-9)


def test_a_second_opinion_is_reckoned_slower():
    work = Work(10.0, 100.0, 1000.0, 500)
    assert replace(work, slower=50.0).seconds == pytest.approx(50 * work.seconds)


def test_a_run_tells_its_work_first_then_how_far_it_is(earth):
    told = []
    strategy = Strategy("short", [Phase("ball", until=5.0, longest=5.0)])
    short = replace(earth, strategy=strategy)
    braze(short, "quick", begins=told.append, passes=told.append)
    work, *times = told
    assert work == reckoned(short, [strategy], "quick")
    assert times == sorted(times)
    assert times[-1] == pytest.approx(5.0)


def test_what_is_too_much_is_not_begun(earth):
    def refuse(work):
        raise OverflowError(work.seconds)

    with pytest.raises(OverflowError):
        braze(earth, "quick", begins=refuse, passes=pytest.fail)
