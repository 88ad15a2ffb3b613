import math

import pytest

from thermo.files import read_case, to_setup
from thermo.matter import get_torch_kind


def test_every_value_left_open_is_told(read):
    case = read()
    told = {item.key for item in case.assumed}
    written = {"ball.diameter_mm", "rod.diameter_mm", "torch.kind"}
    kept = case.model_dump(exclude={"title", "note", "strategy"}, exclude_none=True)
    keys = {f"{table}.{key}" for table, values in kept.items() for key in values}
    assert told == keys - written | {"strategy"}


def test_most_influential_comes_first_and_everything_has_a_reason(read):
    assumed = read().assumed
    assert assumed[0].key == "torch.fuel_rate_g_per_h"
    weights = [item.weight for item in assumed]
    assert weights == sorted(weights, reverse=True)
    assert all(item.why and item.value for item in assumed)


def test_what_is_given_is_not_assumed(read):
    case = read(torch=['kind = "hand"', "fuel_rate_g_per_h = 150"], flux='type = "FH20"')
    assert not {"torch.fuel_rate_g_per_h", "flux.type"} & {item.key for item in case.assumed}


@pytest.mark.parametrize("kind", ["pocket", "pencil", "hand"])
def test_torch_values_come_from_the_kind(read, kind):
    torch = read(torch=f'kind = "{kind}"').torch
    usual = get_torch_kind(kind)
    assert torch.fuel == usual.fuel
    assert torch.fuel_rate_g_per_h == pytest.approx(usual.fuel_rate.value * 3.6e6, abs=0.005)
    assert torch.nozzle_mm == pytest.approx(usual.bore.value * 1e3)


def test_hole_follows_rod_and_ball(read):
    ball = read().ball
    assert ball.hole_diameter_mm == 2.5
    assert ball.hole_depth_mm == 3.6
    flat = read(ball=["diameter_mm = 6", "flat_diameter_mm = 4"]).ball
    assert flat.hole_depth_mm == pytest.approx(math.sqrt(9 - 4) + 0.6, abs=1e-3)


def test_thread_leaves_the_usual_gap_at_its_inner_diameter(read):
    ball = read(ball=["diameter_mm = 6", 'hole = "threaded"', "thread_pitch_mm = 0.5"]).ball
    inner = ball.hole_diameter_mm - 1.0825 * 0.5
    assert inner == pytest.approx(2.5, abs=1e-3)


def test_a_clamp_needs_only_to_be_named(read):
    by_end = read(rod=["diameter_mm = 2.4", 'far_end = "clamp"'])
    by_table = read(clamp="at_mm = 25")
    assert by_end.clamp.at_mm == by_end.rod.length_mm
    assert (by_table.rod.far_end, by_table.clamp.at_mm) == ("clamp", 25)
    assert by_table.clamp.conductance_W_K == pytest.approx(0.03)


def test_a_clamp_on_a_free_rod_is_refused(refused):
    told = refused(rod=["diameter_mm = 2.4", 'far_end = "free"'], clamp="at_mm = 25")
    assert 'rod.far_end = "free"' in told[0]


def test_values_of_no_effect_are_told_where_they_are_given(read):
    case = read(uncertainty="torch = 0.3")
    told = {item.key: item.why for item in case.assumed}
    assert "no effect yet" in told["uncertainty"]
    assert "no effect yet" not in "".join(item.why for item in read().assumed)


def test_open_values_of_a_phase_are_told(write):
    strategy = '[[strategy]]\nname = "own"\n[[strategy.phase]]\nuntil = 12\nmotion = "round"'
    path = write()
    path.write_text(path.read_text() + "\n" + strategy)
    case = read_case(path)
    told = {item.key for item in case.assumed}
    keys = ("aim", "side", "distance_mm", "period_s")
    assert told >= {f"strategy[1].phase[1].{key}" for key in keys}
    assert "strategy" not in told
    assert case.strategy[0].phase[0].max_s == 12


def test_the_strategy_told_is_the_one_run(read):
    case = read()
    told = next(item for item in case.assumed if item.key == "strategy")
    (phase,) = to_setup(case).strategy.phases
    assert told.value == to_setup(case).strategy.name
    assert (phase.aim, phase.side, phase.distance, phase.motion) == ("ball", 0, None, "hold")
    assert f"until the gap is {phase.until}, at most {phase.longest:g} s" in told.why
