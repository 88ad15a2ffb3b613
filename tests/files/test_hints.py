"""What a maker most likely meant by a number or a line that cannot be read."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermo.files.hints import as_thread, in_line, instead, meant


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("6,5", "6.5"),
        ("6mm", "6"),
        ("6.5 mm", "6.5"),
        ("0.25in", "6.35"),
        ('1/4"', "6.35"),
        ("1/4", "6.35"),
        ("650 °C", "650"),
        ("20 g/h", "20"),
        ("-3 mm", "-3"),
        ("six", None),
        ("6 furlongs", None),
        ("1/0", None),
        ("", None),
        ("1,2,3", None),
    ],
)
def test_number_that_is_meant(text, number):
    assert meant(text) == number


@given(st.floats(0.01, 999.0).map(lambda x: round(x, 3)))
def test_a_decimal_comma_is_read_as_a_point(value):
    assert float(meant(f"{value}".replace(".", ",") + " mm")) == pytest.approx(value, rel=1e-5)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("diameter_mm = 6,5", "write diameter_mm = 6.5, a plain number"),
        ("diameter_mm = 6mm  # of the ball", "write diameter_mm = 6, a plain number"),
        ("diameter_mm = 0.25in", "write diameter_mm = 6.35"),
        ("kind = pocket", 'put quotes round a word: kind = "pocket"'),
        ("alloy = Ag 156", 'put quotes round a word: alloy = "Ag 156"'),
        ("dried = true", ""),
        ("[ball", ""),
        ("a = b = c", ""),
    ],
)
def test_line_that_is_no_toml(line, words):
    told = in_line(line)
    assert words in told and bool(words) == bool(told)


def test_text_in_place_of_a_number():
    assert instead("6mm") == "; write 6, a plain number: the unit is in the key"
    assert instead("six") == ""


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("M3", "hole_diameter_mm = 3 and thread_pitch_mm = 0.5"),
        ("m2.5 x 0.35", "hole_diameter_mm = 2.5 and thread_pitch_mm = 0.35"),
        ("M77", 'hole = "threaded", hole_diameter_mm = 77'),
        ("tapped", ""),
        (3, ""),
    ],
)
def test_threads_name(value, words):
    assert as_thread(value).endswith(words)
