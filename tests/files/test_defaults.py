import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermo.files import CaseError, findings, new_case_text, read_case, to_setup
from thermo.files.threads import COARSE, FINE, SAME_MM, THREAD_DEPTH, roomier, thread_for
from thermo.flame import default_strategies
from thermo.matter import get_torch_kind
from thermo.shape import thread_radius


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


@pytest.mark.parametrize(
    ("keys", "factor"),
    [
        ((), None),
        (("fuel_rate_g_per_h = 20",), None),
        (("fuel_rate_g_per_h = 30",), 1.5),
        (("fuel_rate_g_per_h = 0",), None),
        (("nozzle_mm = 2.2", "fuel_rate_g_per_h = 25"), 1.25),
        (("primary_air = 1",), (1 + 15.46) / (1 + 0.7 * 15.46)),
    ],
)
def test_cone_goes_with_the_flow_unless_all_is_as_of_the_kind(read, keys, factor):
    case = read(torch=['kind = "pocket"', *keys])
    why = next(item.why for item in case.assumed if item.key == "torch.cone_mm")
    if factor is None:
        assert case.torch.cone_mm == 6.5
        assert why.startswith("taken for the kind")
        return
    r, usual = case.torch.nozzle_mm / 2, 1.4 * math.hypot(1.4, 6.5)
    cone = case.torch.cone_mm
    assert r * math.hypot(r, cone) == pytest.approx(factor * usual, rel=2e-3)
    assert why.startswith("by the flow")


def test_a_cone_that_is_given_stays(read):
    case = read(torch=['kind = "pocket"', "fuel_rate_g_per_h = 30", "cone_mm = 7"])
    assert case.torch.cone_mm == 7
    assert "torch.cone_mm" not in {item.key for item in case.assumed}


@pytest.mark.parametrize(("rate", "cone"), [(1e-9, 1.0), (2000, 100.0)])
def test_a_cone_by_the_flow_is_one_that_a_case_may_give(read, rate, cone):
    assert read(torch=['kind = "pocket"', f"fuel_rate_g_per_h = {rate}"]).torch.cone_mm == cone


def test_hole_follows_rod_and_ball(read):
    ball = read().ball
    assert ball.hole_diameter_mm == 2.5
    assert ball.hole_depth_mm == 3.6
    flat = read(ball=["diameter_mm = 6", "flat_diameter_mm = 4"]).ball
    assert flat.hole_depth_mm == pytest.approx(math.sqrt(9 - 4) + 0.6, abs=1e-3)


def threaded(read, rod, *keys):
    """Nominal diameter and pitch of a threaded hole for a rod [mm], and the case."""
    case = read(ball=["diameter_mm = 14", 'hole = "threaded"', *keys], rod=f"diameter_mm = {rod}")
    return (case.ball.hole_diameter_mm, case.ball.thread_pitch_mm), case


@pytest.mark.parametrize(
    ("rod", "thread"),
    [
        (1.0, (1.4, 0.3)),
        (1.2, (1.6, 0.35)),
        (1.5, (1.8, 0.2)),
        (1.6, (2.0, 0.25)),
        (2.0, (2.5, 0.45)),
        (2.6, (3.0, 0.35)),
    ],
)
def test_thread_and_rod_go_together_and_pass_the_check(read, rod, thread):
    """Coarse where one leaves the usual gap, 0.05 to 0.127 mm; worked from the profile by hand."""
    found, case = threaded(read, rod)
    assert found == thread
    assert not [f for f in findings(case) if f.level == "unusual" and "gap" in f.text]
    assert not [f for f in findings(case) if "joints wider than" in f.text]
    assert any("ISO 261" in item.why for item in case.assumed)


def test_a_thread_given_in_part_is_completed_by_the_standard(read):
    assert threaded(read, 2.4, "thread_pitch_mm = 0.5")[0] == (3.0, 0.5)
    assert threaded(read, 2.4, "hole_diameter_mm = 3")[0] == (3.0, 0.5)
    assert threaded(read, 2.0, "hole_diameter_mm = 2.5")[0] == (2.5, 0.45)
    assert threaded(read, 3.0, "thread_pitch_mm = 0.7")[0] == (4.0, 0.7)


@given(st.floats(0.3, 12.0))
def test_no_thread_that_the_rod_does_not_enter(rod):
    for nominal, pitch in ((None, None), (None, 0.5), (3.0, None)):
        found = thread_for(rod, (0.05, 0.127), nominal, pitch)
        if found is None:
            continue
        assert found[1] == COARSE.get(found[0]) or found[1] in FINE[found[0]]
        assert found[0] - THREAD_DEPTH * found[1] > rod
        if nominal is pitch is None:
            assert 0.05 <= thread_radius(*found) - rod / 2 <= 0.127


@given(st.floats(0.3, 13.0), st.floats(0.5, 13.0))
def test_a_roomier_thread_is_the_next_that_the_rod_enters(rod, nominal):
    sizes = set(COARSE.items()) | {(d, p) for d, pitches in FINE.items() for p in pitches}
    entered = {(d, p) for d, p in sizes if d - THREAD_DEPTH * p > rod}
    found = roomier(rod, nominal)
    if found is None:
        assert all(d <= nominal - SAME_MM for d, _ in entered)
        return
    assert found in entered and found[0] > nominal - SAME_MM
    for d, p in entered:
        assert d <= nominal - SAME_MM or d > found[0] or (d == found[0] and p <= found[1])


def test_the_roomier_thread_that_is_told_is_read(refused, read):
    """M3 of the usual pitch is 2.459 mm wide inside, drilled for the tap 2.5 mm: none slides in."""
    ball, rod = (
        ["diameter_mm = 8", 'hole = "threaded"', "hole_diameter_mm = 3"],
        "diameter_mm = 2.5",
    )
    (line,) = refused(ball=[*ball, "thread_pitch_mm = 0.5"], rod=rod)
    assert "rod.diameter_mm = 2.5: must be thinner than the thread M3 x 0.5 inside (2.459" in line
    assert "a plain one slides into M3 x 0.35, or give a thinner one" in line
    assert read(ball=[*ball, "thread_pitch_mm = 0.35"], rod=rod).ball.thread_pitch_mm == 0.35
    assert read(ball=[*ball, "thread_pitch_mm = 0.5"], rod="diameter_mm = 2.45")


def test_of_a_rod_too_thick_for_any_metric_thread_the_way_in_is_told(refused):
    ball = ["diameter_mm = 20", 'hole = "threaded"', "hole_diameter_mm = 12"]
    (line,) = refused(ball=[*ball, "thread_pitch_mm = 1"], rod="diameter_mm = 12")
    assert "must slide in: give a thinner one or a wider thread" in line


def test_template_with_a_threaded_hole_for_its_rod_is_read(tmp_path):
    text = new_case_text().replace('# hole = "blind"  ', 'hole = "threaded"')
    path = tmp_path / "new.toml"
    path.write_text(text.replace("diameter_mm = 2.4 ", "diameter_mm = 2 "), encoding="utf-8")
    ball = read_case(path).ball
    assert (ball.hole, ball.hole_diameter_mm, ball.thread_pitch_mm) == ("threaded", 2.5, 0.45)
    path.write_text(text, encoding="utf-8")
    with pytest.raises(
        CaseError, match=r"M2\.5 x 0\.45 takes one of 2 mm, M3 x 0\.35 one of 2\.6 mm"
    ):
        read_case(path)


def test_a_clamp_needs_only_to_be_named(read):
    by_end = read(rod=["diameter_mm = 2.4", 'far_end = "clamp"'])
    by_table = read(clamp="at_mm = 25")
    assert by_end.clamp.at_mm == by_end.rod.length_mm
    assert (by_table.rod.far_end, by_table.clamp.at_mm) == ("clamp", 25)
    assert by_table.clamp.conductance_W_K == pytest.approx(0.03)


def test_a_clamp_on_a_free_rod_is_refused(refused):
    told = refused(rod=["diameter_mm = 2.4", 'far_end = "free"'], clamp="at_mm = 25")
    assert 'rod.far_end = "free"' in told[0]


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
    """Of commands that try none, the ball's centre; the end of the last phase is that of all."""
    case = read()
    told = next(item for item in case.assumed if item.key == "strategy")
    (phase,) = to_setup(case).strategy.phases
    assert told.value == "best of all tried"
    assert "other commands take the ball's centre from the filler's side" in told.why
    assert (phase.aim, phase.side, phase.distance, phase.motion) == ("ball", 0, None, "hold")
    assert f"until the gap is {phase.until}, at most {phase.longest:g} s" in told.why
    for strategy in default_strategies().values():
        assert (strategy.phases[-1].until, strategy.phases[-1].longest) == ("filled", 300.0)


@pytest.mark.parametrize(
    ("tables", "told"),
    [
        ({}, False),
        ({"filler": ["azimuth_deg = 0"]}, False),
        ({"filler": ["azimuth_deg = 360"]}, False),
        ({"filler": ["azimuth_deg = 90"]}, True),
        ({"filler": ["azimuth_deg = 90", 'place = "fed"']}, True),
        (
            {"filler": ["azimuth_deg = 90"], "rod": ["diameter_mm = 2.4", "eccentricity = 0.5"]},
            False,
        ),
    ],
)
def test_an_azimuth_that_changes_nothing_is_said_not_to(read, tables, told):
    why = [item.why for item in read(**tables).assumed if item.key == "filler.azimuth_deg"]
    assert any(text.startswith("changes nothing here") for text in why) == told


def test_parts_may_harden_again_unless_they_are_to_stay_soft(read):
    assert to_setup(read()).stay_soft == ()
    both = read(
        ball=["diameter_mm = 6", "stay_soft = true"], rod=["diameter_mm = 2.4", "stay_soft = true"]
    )
    assert to_setup(both).stay_soft == ("ball", "rod")
    rod = read(rod=["diameter_mm = 2.4", "stay_soft = true"])
    assert to_setup(rod).stay_soft == ("rod",)
    told = {item.key: item.value for item in read().assumed}
    assert (told["ball.stay_soft"], told["rod.stay_soft"]) == ("false", "false")


def test_a_thread_given_in_inches_is_known_by_its_millimetres():
    for d, p in COARSE.items():
        given = round(d / 25.4, 4) * 25.4
        assert thread_for(d - 1.5 * p, (0.05, 0.13), given, None)[1] == p


@pytest.mark.parametrize(("key", "value"), [("nozzle_mm", "5e-324"), ("nozzle_mm", "1e300")])
def test_a_mouth_out_of_range_is_told_as_that(refused, key, value):
    """And does not break the reckoning of the cone before."""
    (line,) = refused(torch=['kind = "pocket"', f"{key} = {value}"])
    assert f"torch.{key} = " in line and "between 0.5 and 40 mm" in line


def test_next_to_no_fuel_or_too_much_has_a_cone_all_the_same(read, refused):
    assert read(torch=['kind = "pocket"', "fuel_rate_g_per_h = 1e-300"]).torch.cone_mm > 0
    assert refused(torch=['kind = "pocket"', "fuel_rate_g_per_h = 1e300"])
