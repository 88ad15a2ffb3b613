"""What rows say: set-ups as the row has them, heat by hand, errors that add up."""

import math
from pathlib import Path

import pytest

from thermo.braze.stages import StageName
from thermo.constants import SIGMA
from thermo.files import CaseError, to_setup
from thermo.files.log import LogRow
from thermo.matter import constant
from thermo.matter.if97 import gibbs
from thermo.study.marks import MODEL, REACTION_S
from thermo.study.witness import (
    CARRIED_S,
    CUP,
    DEGREE_K,
    FILM_W_m2K,
    WATER_J_kgK,
    ball_heat,
    balls_needed,
    case_of,
    gained_J,
    lost_J,
    witnesses,
)

BALL = {"ball_diameter_mm": 6.0, "rod_diameter_mm": 1.0}


def row(**values):
    return LogRow.model_validate(BALL | values)


def held(one):
    case, strategy = case_of(one, 1, "pocket", Path())
    return to_setup(case, strategy)


def test_a_joint_is_held_as_the_row_says():
    setup = held(row(way="Mouth, far side", filled_s=50.0, coat_mm=0.5))
    assert setup.strategy.name == "mouth, far side"
    assert setup.coat.thickness == pytest.approx(0.5e-3)
    (phase,) = held(row(aim="mouth", distance_mm=40.0, filled_s=50.0)).strategy.phases
    assert (phase.aim, phase.distance, phase.until) == ("mouth", 0.04, "filled")
    with pytest.raises(CaseError, match="way"):
        held(row(way="sideways", filled_s=50.0))


def test_a_plain_ball_has_no_flux_and_no_filler_on_it():
    setup = held(row(at_s=20.0, thermocouple_C=400.0))
    assert setup.coat.thickness == 0.0 and setup.snip.place == "fed"
    assert setup.strategy.phases[0].until == 20.0


def test_a_case_file_gives_what_the_row_does_not(tmp_path):
    text = '[ball]\ndiameter_mm = 6\n[rod]\ndiameter_mm = 2.4\n[torch]\nkind = "hand"\n'
    (tmp_path / "own.toml").write_text(text + "[setting]\nambient_C = 5\n", encoding="utf-8")
    one = LogRow.model_validate({"case": "own.toml", "rod_diameter_mm": 2.0, "filled_s": 50.0})
    case, _ = case_of(one, 1, "pocket", tmp_path)
    assert (case.setting.ambient_C, case.rod.diameter_mm) == (5.0, 2.0)
    assert case.torch.kind == "pocket"


def test_errors_of_a_joint_are_reaction_and_model():
    found = witnesses(row(flux_clear_s=20.0, filled_s=30.0), 3, held(row(filled_s=30.0)))
    assert [(w.row, w.reading.stage) for w in found] == [
        (3, StageName.FLUX_CLEAR),
        (3, StageName.FILLED),
    ]
    assert found[0].value == pytest.approx(math.log(20.0))
    assert found[0].error == pytest.approx(math.hypot(REACTION_S / 20.0, MODEL))


def test_water_gains_what_a_ball_holds_and_lost_on_its_way():
    one = row(heated_s=30.0, water_ml=10.0, water_before_C=20.0, water_after_C=28.0, balls=1.0)
    setup = held(one)
    (found,) = witnesses(one, 1, setup)
    gained = (1.0 + CUP) * WATER_J_kgK * 0.01 * 8.0
    assert gained_J(10.0, 8.0) == pytest.approx(gained)
    heat = math.exp(found.value)
    assert heat == pytest.approx(gained + lost_J(setup, 28.0, gained))
    assert found.error == pytest.approx(
        math.sqrt((DEGREE_K * math.sqrt(2) / 8.0) ** 2 + MODEL**2 + (REACTION_S / 30.0) ** 2)
    )
    two = one.model_copy(update={"balls": 2.0, "water_after_C": 36.0})
    (other,) = witnesses(two, 1, setup)
    assert math.exp(other.value) == pytest.approx(heat, rel=0.01)


def test_a_6_mm_ball_at_650_C_holds_about_340_J_and_loses_little_in_a_second():
    setup = held(row(at_s=20.0, thermocouple_C=400.0))
    heat = ball_heat(setup, 650.0, 20.0)
    assert heat == pytest.approx(340.0, rel=0.06)  # some of it is drilled away
    dark = constant("emissivity", "oxidised").value
    hot, room = 650.0 + 273.15, 20.0 + 273.15
    flux = dark * SIGMA * (hot**4 - room**4) + FILM_W_m2K * (hot - room)
    assert lost_J(setup, 20.0, heat) == pytest.approx(
        CARRIED_S * flux * math.pi * 6e-3**2, rel=1e-3
    )


def test_balls_needed_for_a_share():
    setup = held(row(at_s=20.0, thermocouple_C=400.0))
    count = balls_needed(setup, 650.0, 10.0)
    enough = DEGREE_K * math.sqrt(2.0) / 0.05
    assert count * ball_heat(setup, 650.0, 20.0) >= gained_J(10.0, enough)
    assert (count - 1) * ball_heat(setup, 650.0, 20.0) < gained_J(10.0, enough)


def test_water_holds_what_the_formulation_says():
    at = [gibbs(1, T + 273.15, 101325.0).enthalpy for T in (20.0, 60.0)]
    assert (at[1] - at[0]) / 40.0 == pytest.approx(WATER_J_kgK, rel=2e-3)
