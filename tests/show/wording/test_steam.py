"""Trapped steam as JSON and in words."""

import re
from dataclasses import fields, replace

import pytest
from asking import values

from thermo.braze import braze
from thermo.braze.steam.pressure import steam
from thermo.files import read_case, to_setup
from thermo.matter import get_flux
from thermo.show.documents.steam import steam_part
from thermo.show.wording.steam import steam_lines, warm_words
from thermo.show.wording.words import two_digits
from thermo.study.warming import WarmUp, warm_up

CASE = """
[ball]
diameter_mm = 6
[rod]
diameter_mm = 2.4
[torch]
kind = "pocket"
"""


@pytest.fixture(scope="module")
def setup(tmp_path_factory):
    path = tmp_path_factory.mktemp("steam") / "case.toml"
    path.write_text(CASE, encoding="utf-8")
    return to_setup(read_case(path))


def coated(setup, **changes):
    return replace(setup, coat=replace(setup.coat, **changes))


def jointed(setup, **changes):
    return replace(setup, joint=replace(setup.joint, **changes))


def told(setup, rate=10.0, share=None):
    return list(steam_lines(steam(setup, rate, share)))


VARIANTS = {
    "as it is": lambda s: s,
    "dried": lambda s: coated(s, dried=True),
    "no flux": lambda s: coated(s, thickness=0.0),
    "no boron": lambda s: replace(s, flux=get_flux("FH40")),
    "nothing left": lambda s: replace(coated(s, dried=True), flux=get_flux("FH40")),
    "vent": lambda s: jointed(s, vent_diameter=0.5e-3),
    "through": lambda s: jointed(s, hole="through"),
    "level": lambda s: replace(s, attitude="level"),
    "tweezers": lambda s: replace(s, support="tweezers"),
}


@pytest.mark.parametrize("name", VARIANTS)
def test_lines_are_few_and_call_nothing_safe(setup, name):
    lines = told(VARIANTS[name](setup))
    assert 1 <= len(lines) <= 6
    text = " ".join(lines)
    assert not re.search(r"\bsafe|harmless|no danger|\binf\b|nan|None|e[+-]\d", text)
    assert all(len(line) < 280 and line.endswith(".") for line in lines)
    if name != "no flux":
        assert "takes the danger away" in lines[-1]


@pytest.mark.parametrize("name", VARIANTS)
@pytest.mark.parametrize("share", [None, 1.0])
def test_document_is_json_of_one_shape(setup, name, share):
    document = values(steam_part(steam(VARIANTS[name](setup), 10.0, share)))
    assert set(document) == {
        *("closed", "dried", "hole_share", "heating_rate_K_s", "paste_mm3", "room_mm3"),
        *("free_water_mg", "bound_water_mg", "free_heat_J", "bound_heat_J", "holding", "open"),
        *("plugged", "sealed", "brimful_C", "drying", "notes", "crust_mm", "rod_passes", "warm_up"),
    }
    assert all(state["T_C"] >= 100 for state in document["sealed"])


def test_document_in_its_units(setup):
    found = steam(setup, 10.0)
    document = values(steam_part(found))
    state = next(s for s in found.sealed if s.T_C == 300.0)
    shown = next(s for s in document["sealed"] if s["T_C"] == 300.0)
    assert shown == {
        "T_C": 300.0,
        "water_mg": pytest.approx(1e6 * state.water),
        "pressure_bar": pytest.approx(85.877, rel=1e-4),
        "force_N": pytest.approx(state.force),
        "energy_J": pytest.approx(state.energy),
        "rod_m_s": pytest.approx(state.speed),
    }
    assert document["paste_mm3"] == pytest.approx(1e9 * found.damp.paste)
    assert document["room_mm3"] == pytest.approx(1e9 * found.damp.room)
    assert document["free_water_mg"] == pytest.approx(1e6 * found.damp.free)
    assert document["bound_water_mg"] == pytest.approx(1e6 * found.damp.bound)
    assert document["open"]["excess_bar"] == pytest.approx(found.open.excess / 1e5)
    assert document["open"]["steam_mg_s"] == pytest.approx(1e6 * found.open.rate)
    assert document["plugged"]["excess_bar"] == pytest.approx(found.plugged.excess / 1e5)
    assert [set(step) for step in document["drying"]] == 2 * [
        {f.name for f in fields(found.plan[0])}
    ]


def test_beyond_the_formulation_is_null(setup):
    document = values(steam_part(steam(setup, 10.0)))
    assert document["sealed"][-1]["pressure_bar"] is None
    assert document["sealed"][-1]["rod_m_s"] is None
    assert values(steam_part(steam(setup, 0.0)))["open"]["boils_s"] is None


def test_parting_is_told_where_it_is_known(setup):
    assert values(steam_part(steam(setup, 10.0)))["open"]["parts"] is True
    assert values(steam_part(steam(coated(setup, dried=True), 10.0)))["open"]["parts"] is False
    held = replace(setup, support="tweezers")
    assert values(steam_part(steam(held, 10.0)))["open"]["parts"] is None
    assert "the tweezers' grip, of unknown strength" in told(held)[1]


def test_lines_say_what_the_numbers_say(setup):
    water, pushes, sealed, crust, drying = told(setup)
    assert crust.startswith("Dried so, the rod does not go in")
    leaving, plugged = pushes.split(" Plugged, ")
    found = steam(setup, 10.0)
    assert f"{1e6 * found.damp.free:.2f} mg free water" in water
    assert "bound to about 300 °C" in water
    assert f"{found.open.excess / 1e3:.0f} kPa, {1e3 * found.open.force:.0f} mN" in leaving
    assert leaving.endswith("too little.")
    assert f"parts them by {found.plugged.parts_C:.0f} °C" in plugged
    assert "not known" in plugged
    assert "86 bar by 300 °C" in sealed
    assert "1,000 bar by 10" in sealed
    assert "near 130 °C for the free water" in drying
    assert "common practice, no source" in drying
    assert "mouth open" in drying


def test_dried_flux_is_no_all_clear(setup):
    lines = told(coated(setup, dried=True))
    assert "no free water now" in lines[0] and "mg bound" in lines[0]
    assert "enough while the way stays clear" in lines[1]
    assert "86 bar by 300 °C" in lines[2]


def test_ways_out(setup):
    wide = jointed(setup, vent_diameter=0.5e-3)
    assert 0.99 < steam(wide, 10.0).open.vent_share < 1.0
    assert "(99 % by the vent)" in told(wide)[1]
    narrow = jointed(setup, vent_diameter=0.15e-3)
    share = steam(narrow, 10.0).open.vent_share
    assert f"({100 * share:.0f} % by the vent)" in told(narrow)[1]
    assert "as long as a way out stays clear" in told(jointed(setup, hole="through"))[1]
    assert "no way out" in told(setup, share=1.0)[1]
    assert "any pressure parts them" in told(replace(setup, attitude="level"))[1]


def test_full_hole_passes_the_formulation(setup):
    sealed = told(setup, share=1.0)[2]
    assert "pass 1,000 bar by 300 °C." in sealed


def test_without_water_nothing_is_sealed_in(setup):
    text = " ".join(told(VARIANTS["nothing left"](setup)))
    assert "Sealed" not in text
    assert "mouth open" in text


def test_no_flux_is_no_all_clear_either(setup):
    (line,) = told(coated(setup, thickness=0.0))
    assert "bursts out" in line


@pytest.mark.parametrize(
    ("value", "words"),
    [(110.4, "110"), (38.4, "38"), (9.96, "10"), (9.94, "9.9"), (0.0271, "0.027"), (1234, "1,234")],
)
def test_two_digits(value, words):
    assert two_digits(value) == words
    assert two_digits(0.0) == "0"


def test_ways_out_and_the_warm_up_are_told_and_in_the_document(setup):
    run = braze(setup, "quick")
    warm = warm_up(run)
    text = " ".join(steam_lines(run.steam, warm))
    gap, flat = warm.ways[0], warm.way
    assert f"the gap as it is up to {two_digits(gap.fastest)} K/s" in text
    assert (
        f"a flat {1e3 * flat.size:g} mm deep filed along it up to {two_digits(flat.fastest)}"
        in text
    )
    assert "a vent of 1 mm through the bottom any pace" in text
    assert f"cone tip {1e3 * warm.pace.gap:.0f} mm off the ball" in text
    assert not re.search(r"\bsafe|harmless|no danger", text)
    document = values(steam_part(run.steam, warm))["warm_up"]
    assert document["words"] == warm_words(warm)
    assert document["gap_mm"] == pytest.approx(1e3 * warm.pace.gap)
    assert document["needs"] == f"a flat {1e3 * flat.size:g} mm deep filed along it"
    assert [way["kind"] for way in document["ways"]] == [way.kind for way in warm.ways]


def test_where_no_pace_is_known_to_do_nothing_is_promised(setup):
    level = replace(setup, attitude="level")
    warm = warm_up(braze(level, "quick"))
    assert "Nothing says that this is slow enough" in warm_words(warm)
    document = values(steam_part(steam(level, 10.0), warm))["warm_up"]
    assert document["needs"] is None
    none = WarmUp(None, None, warm.ways)
    assert "dry it, rod out" in warm_words(none)
    assert values(steam_part(steam(level, 10.0), none))["warm_up"]["gap_mm"] is None
