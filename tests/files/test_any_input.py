"""Plain joints are always read, bytes that are no case always refused.

Cases drawn over every key, legal and spoilt, are read in tests/validation/test_fuzz.py.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermo.files import CaseError, findings, read_case
from thermo.files.case import case_from_options


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
    case = case_from_options(ball, rod, "hand")
    assert case.ball.diameter_mm == pytest.approx(ball)
    assert findings(case)
