"""A second ball in a case: what is given, what follows from it, what contradicts it."""

import pytest

from thermo.files import findings, to_setup
from thermo.matter import get_filler

ROD = "diameter_mm = 2.4"
TWO = "spacing_mm = 20"


def test_the_rods_length_follows_from_the_spacing(read):
    """Two 6 mm balls: mouths of 1.25 and 1.2 mm radius lie 2.7272 and 2.7495 mm from centres."""
    case = read(second_ball=TWO)
    assert case.rod.length_mm == pytest.approx(20 - 2.7272 - 2.7495, abs=1e-3)
    assert to_setup(case).joint.spacing == pytest.approx(20e-3, abs=1e-6)
    told = {item.key: item.why for item in case.assumed}
    assert "spacing_mm" in told["rod.length_mm"]


@pytest.mark.parametrize(
    "ball",
    [
        ["flat_diameter_mm = 3.5"],
        ['hole = "threaded"', "thread_pitch_mm = 0.5"],
        ['hole = "through"'],
    ],
)
def test_spacing_holds_whatever_the_hole(read, ball):
    case = read(ball=["diameter_mm = 6", *ball], second_ball=["spacing_in = 1", "diameter_mm = 4"])
    assert to_setup(case).joint.spacing == pytest.approx(25.4e-3, abs=1e-6)


def test_what_is_left_open_is_the_cases_own(read):
    case = read(filler='alloy = "Ag 145"', second_ball=TWO)
    assert case.rod.far_end == "ball"
    assert (case.second_ball.diameter_mm, case.second_ball.filler) == (6, "Ag 145")
    assert to_setup(case).second_filler == get_filler("Ag 145")
    assert case.clamp is None
    own = to_setup(read(filler=["solidus_C = 500", "liquidus_C = 700"], second_ball=TWO))
    assert own.second_filler.solidus_C == 500


def test_a_filler_of_its_own_goes_to_the_second_joint_only(read):
    setup = to_setup(read(second_ball=[TWO, 'filler = "Ag 145"']))
    assert (setup.filler.name, setup.second_filler.name) == ("Ag 156", "Ag 145")


def test_a_case_without_one_has_none(read):
    setup = to_setup(read())
    assert setup.second_filler is None
    assert setup.joint.second_ball_diameter == 0


def test_a_clamp_goes_between_the_balls(read, refused):
    midway = read(second_ball=TWO, clamp="conductance_W_K = 0.05")
    assert midway.clamp.at_mm == pytest.approx(midway.rod.length_mm / 2, abs=1e-3)
    assert read(second_ball=TWO, clamp="at_mm = 14.5").rod.far_end == "ball"
    told = refused(second_ball=TWO, clamp="at_mm = 14.6")
    assert len(told) == 1
    assert "clamp.at_mm = 14.6: lies inside the second ball" in told[0]


def test_length_and_spacing_must_agree(read, refused):
    assert read(rod=[ROD, "length_mm = 14.5"], second_ball=TWO).rod.length_mm == 14.5
    told = refused(rod=[ROD, "length_mm = 16"], second_ball=TWO)
    assert len(told) == 1
    assert "rod.length_mm = 16: does not fit second_ball.spacing_mm = 20" in told[0]
    assert "14.52 mm" in told[0]
    assert "leave length_mm out" in told[0]


@pytest.mark.parametrize("end", ["free", "clamp"])
def test_another_far_end_contradicts_a_second_ball(refused, end):
    told = refused(rod=[ROD, f'far_end = "{end}"'], second_ball=TWO)
    assert any(f'rod.far_end = "{end}": a [second_ball] is given' in line for line in told)


def test_least_spacing_told_is_accepted(read, refused):
    told = refused(second_ball=["spacing_mm = 5", "diameter_mm = 4"])
    least = told[0].rpartition("at least ")[2].removesuffix(" mm")
    assert read(second_ball=[f"spacing_mm = {least}", "diameter_mm = 4"]).rod.length_mm >= 2


def test_findings_name_the_larger_ball_and_the_higher_solidus(read):
    texts = [f.text for f in findings(read(second_ball=[TWO, "diameter_mm = 4"]))]
    assert any("larger ball first" in text for text in texts)
    assert any("higher solidus" in text for text in texts)
    step = findings(read(second_ball=[TWO, 'filler = "Ag 244"']))
    assert get_filler("Ag 244").solidus_C > get_filler("Ag 156").liquidus_C
    assert not any("higher solidus" in finding.text for finding in step)
    assert not any("larger ball" in finding.text for finding in step)
