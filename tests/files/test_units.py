import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from thermo.files.tables import Ball, Case, FluxTable
from thermo.files.units import WrittenTables, in_base_unit, spellings


def test_inches_and_fahrenheit(read):
    case = read(
        ball=["diameter_in = 0.25", "hole_depth_in = 0.15"],
        rod=["diameter_in = 0.09375", "length_in = 2"],
        filler=["solidus_F = 1145", "liquidus_F = 1207"],
        flux="range_F = [1049, 1598]",
        setting="ambient_F = 68",
    )
    assert case.ball.diameter_mm == pytest.approx(6.35)
    assert case.rod.length_mm == pytest.approx(50.8)
    assert (case.filler.solidus_C, case.filler.liquidus_C) == pytest.approx(
        (618.33, 652.78), abs=0.01
    )
    assert case.flux.range_C == pytest.approx((565, 870))
    assert case.setting.ambient_C == pytest.approx(20)


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        (
            ["diameter_mm = 6", "diameter_in = 0.2"],
            "ball.diameter_in = 0.2: is given as diameter_mm",
        ),
        (["diameter_in = 0.2", "diameter_mm = 6"], "ball.diameter_mm = 6: is given as diameter_in"),
    ],
)
def test_both_units_are_refused(refused, lines, told):
    lines_told = refused(ball=lines)
    assert len(lines_told) == 1
    assert told in lines_told[0]


def test_fault_is_told_in_the_unit_written(refused):
    told = refused(ball="diameter_in = 2")
    assert told[0].endswith(
        "ball.diameter_in = 2: is 50.8 mm: must be between 1 and 30 mm; "
        "give the ball's diameter in millimetres"
    )


def test_a_lone_cue_is_a_difference_a_pair_is_not(read):
    assert read(uncertainty="cue_F = 36").uncertainty.cue_C == pytest.approx(20)
    pair = read(uncertainty="cue_F = [1049, 1140]").uncertainty.cue_C
    assert pair == pytest.approx((565, 615.56), abs=0.01)


def test_words_need_no_unit(read):
    assert read(filler='length = "auto"').filler.length_mm == "auto"


@given(st.floats(1e-3, 1e3))
def test_round_trip_of_lengths(length):
    assert in_base_unit("x_in", length / 25.4) == pytest.approx(length, rel=1e-12)


@given(st.floats(-200, 2000))
def test_round_trip_of_temperatures(T):
    assert in_base_unit("x_F", T * 1.8 + 32) == pytest.approx(T, abs=1e-9)


@given(st.one_of(st.booleans(), st.text(), st.just(float("nan")), st.just(10**400)))
def test_what_is_no_sane_number_is_left_alone(value):
    assert in_base_unit("x_in", value) is value


def test_every_length_and_temperature_has_both_units():
    assert spellings(Ball)["hole_depth_in"] == "hole_depth_mm"
    assert spellings(FluxTable)["range_F"] == "range_C"


scalars = st.one_of(st.booleans(), st.integers(), st.floats(), st.text(max_size=5))
tables = st.dictionaries(
    st.sampled_from(["diameter_mm", "diameter_in", "hole", "distance", "phase", "x"]),
    st.one_of(scalars, st.lists(st.one_of(scalars, st.dictionaries(st.text(max_size=3), scalars)))),
)


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(
    st.dictionaries(
        st.sampled_from(["ball", "rod", "strategy", "torch", "nonsense"]),
        st.one_of(scalars, tables, st.lists(tables)),
    )
)
def test_any_tables_are_taken_apart(raw):
    assert set(WrittenTables(raw, Case).tables) == set(raw)
