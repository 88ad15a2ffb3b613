"""Whatever is written, a case is read or refused: no other exception, and what is read is sound."""

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermo.files import CaseError, findings, read_case, to_setup
from thermo.files.case import case_from_tables
from thermo.files.tables import Case
from thermo.files.units import nested, spellings

numbers = st.one_of(
    st.floats(allow_nan=True, allow_infinity=True),
    st.floats(0, 60),
    st.floats(0, 3),
    st.integers(),
    st.sampled_from([0, 1, 118, 180, 10**400, -(10**400)]),
)
words = st.sampled_from(
    ["blind", "through", "threaded", "clamp", "ball", "filled", "auto", "Ag 156", "FH10", "x", ""]
)
anything = st.one_of(numbers, words, st.booleans(), st.lists(numbers, max_size=3), st.none())


def any_table(name):
    model = nested(Case, name)
    return st.dictionaries(st.sampled_from(sorted(spellings(model))), anything, max_size=6)


phases = st.dictionaries(
    st.sampled_from(["aim", "side", "distance_mm", "motion", "until", "max_s", "period_s"]),
    anything,
)
strategies = st.lists(
    st.fixed_dictionaries({"name": words, "phase": st.lists(phases, max_size=2)}), max_size=2
)
NAMES = ("ball", "rod", "clamp", "filler", "flux", "torch", "setting", "uncertainty")
wild = st.fixed_dictionaries(
    {},
    optional={name: st.one_of(any_table(name), anything) for name in NAMES}
    | {"strategy": strategies, "title": anything},
)


def read_or_refuse(raw):
    """Read tables; None when they are refused. A case that is read gives a sound setup."""
    try:
        case = case_from_tables(raw, "options", "any", Path())
    except CaseError as refusal:
        lines = refusal.lines
        assert 1 <= len(lines) <= 9
        assert all(line.startswith("options: ") for line in lines)
        return None
    setup = to_setup(case)
    assert setup.joint.clearance > 0
    assert setup.joint.insertion > 0
    assert math.isfinite(setup.torch.fuel_power)
    assert findings(case)
    return case


@settings(max_examples=200, deadline=None)
@given(raw=wild)
def test_wild_tables(raw):
    read_or_refuse(raw)


fits = st.fixed_dictionaries(
    {"diameter_mm": st.floats(1, 30)},
    optional={
        "hole": st.sampled_from(["blind", "through", "threaded"]),
        "hole_diameter_mm": st.floats(0.3, 20),
        "hole_depth_mm": st.floats(0.2, 60),
        "flat_diameter_mm": st.floats(0, 30),
        "point_angle_deg": st.floats(60, 180),
        "thread_pitch_mm": st.floats(0, 5),
        "vent_diameter_mm": st.floats(0, 10),
    },
)
rods = st.fixed_dictionaries(
    {"diameter_mm": st.floats(0.3, 12)},
    optional={
        "length_mm": st.floats(2, 300),
        "stand_off_mm": st.floats(0, 30),
        "eccentricity": st.floats(0, 1),
    },
)


@settings(max_examples=400, deadline=None)
@given(ball=fits, rod=rods)
def test_legal_numbers_that_may_not_fit(ball, rod):
    raw = {"ball": ball, "rod": rod, "torch": {"kind": "hand"}}
    read_or_refuse(raw)


@settings(max_examples=100, deadline=None)
@given(content=st.one_of(st.binary(), st.text().map(str.encode)))
def test_any_bytes(content, tmp_path_factory):
    path = tmp_path_factory.getbasetemp() / "bytes.toml"
    path.write_bytes(content)
    with pytest.raises(CaseError):
        read_case(path)


@settings(max_examples=100, deadline=None)
@given(ball=st.floats(3, 30), share=st.floats(0.2, 0.6))
def test_plain_joints_are_always_read(ball, share):
    rod = ball * share
    if not 0.3 <= rod <= 12:
        return
    raw = {"ball": {"diameter_mm": ball}, "rod": {"diameter_mm": rod}, "torch": {"kind": "hand"}}
    case = read_or_refuse(raw)
    assert case is not None
    assert case.ball.diameter_mm == pytest.approx(ball)
