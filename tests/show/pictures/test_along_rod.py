"""The rod along its length."""

from dataclasses import replace

import numpy as np
import pytest

from thermo.braze import Clamp
from thermo.braze.cooling import Cooling
from thermo.show.pictures import heat as plots
from thermo.show.pictures.along_rod import course_at, spots, too_hot

TIMES = np.array([0.0, 10.0, 20.0, 30.0, 40.0])


@pytest.fixture
def made(ready):
    """A rod that is hot near the mouth, warm at its end, and cold again at last."""
    near = np.array([20.0, 120.0, 220.0, 120.0, 20.0])
    axis = np.column_stack([near, 20.0 + (near - 20.0) / 8.0])
    cooling = Cooling(None, 40.0, np.array([0.0, 40e-3]), TIMES, axis)
    joint = replace(ready.setup.joint, rod_length=40e-3)
    return replace(ready, cooling=cooling, setup=replace(ready.setup, joint=joint))


def with_setup(braze, **changes):
    return replace(braze, setup=replace(braze.setup, **changes))


def test_round_distances_and_the_end_are_shown(made):
    assert [spot.at for spot in spots(made)] == [2.5e-3, 5e-3, 10e-3, 20e-3, 40e-3]
    assert [spot.words for spot in spots(made)][-2:] == ["20 mm", "40 mm, rod's end"]


def test_what_grips_the_rod_is_named_and_takes_the_place_of_round_distances(made):
    held = with_setup(made, clamp=Clamp(10.5e-3, 0.1), support="tweezers")
    assert [spot.words for spot in spots(held)] == [
        "2.5 mm",
        "5 mm",
        "10.5 mm, clamp",
        "20 mm, tweezers",
        "40 mm, rod's end",
    ]


def test_a_second_ball_is_the_end(made):
    joint = replace(made.setup.joint, second_ball_diameter=3e-3)
    assert spots(with_setup(made, joint=joint))[-1].words == "40 mm, second ball"


@pytest.mark.parametrize(
    ("length", "shown"), [(2e-3, [2e-3]), (300e-3, [20e-3, 40e-3, 80e-3, 160e-3, 300e-3])]
)
def test_short_and_long_rods(made, length, shown):
    joint = replace(made.setup.joint, rod_length=length)
    assert [spot.at for spot in spots(with_setup(made, joint=joint))] == shown


def test_temperatures_lie_straight_between_places(made):
    middle = course_at(made, 20e-3)
    assert middle == pytest.approx(made.cooling.axis_C.mean(axis=1))


def test_too_hot_from_and_to(made):
    assert too_hot(made, 0.0) == pytest.approx((4.0, 36.0))
    assert too_hot(made, 40e-3) is None  # 45 °C at most
    hot_end = replace(made.cooling, axis_C=made.cooling.axis_C[:3], time_s=TIMES[:3])
    assert too_hot(replace(made, cooling=hot_end), 0.0) == (4.0, None)


def test_words_of_the_rod(made, ready, drawn_words):
    words = [" ".join(text.split()) for text, _ in drawn_words(plots.picture("rod", made))]
    assert "2.5 mm: too hot from 4 s to 36 s" in words
    assert "40 mm, rod's end: never too hot to hold" in words
    assert any("From 40 mm on it stays below 60 °C." in word for word in words)
    hot = replace(made.cooling, axis_C=made.cooling.axis_C + 30.0)
    all_hot = replace(made, cooling=hot)
    words = " ".join(text for text, _ in drawn_words(plots.picture("rod", all_hot)))
    assert "40 mm from the ball it reaches 60 °C at 8 s, as it does all along" in " ".join(
        words.split()
    )
    assert "use pliers or a clamp" in " ".join(words.split())


def test_the_moment_it_gets_too_hot_is_marked_on_each_line(made):
    heating = plots.picture("rod", made).axes[0]
    marks = [tuple(line.get_xydata()[0]) for line in heating.lines if line.get_marker() == "o"]
    expected = [too_hot(made, spot.at) for spot in spots(made)]
    assert marks == [(hot[0], 60.0) for hot in expected if hot is not None]


def test_heating_and_cooling_share_temperatures_and_meet_in_time(ready):
    heating, cooling = plots.picture("rod", ready).axes
    assert heating.get_ylim() == cooling.get_ylim()
    assert 60.0 * cooling.get_xlim()[0] == pytest.approx(heating.get_xlim()[1])
    assert 60.0 * cooling.get_xlim()[1] >= ready.cooling.touch_s - 1e-6
