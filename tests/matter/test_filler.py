"""Fillers: names, melting ranges, density, cadmium."""

import pytest

from thermo.matter import Filler, UnknownName, filler_names, get_filler, suggested_filler_names
from thermo.matter.filler import mixture_density


@pytest.mark.parametrize("name", ["Ag 156", "ag156", "AG-156", "BAg-7", "bag7", "b ag 7"])
def test_both_standards_and_any_spelling(name):
    assert get_filler(name).iso == "Ag 156"


def test_every_filler_resolves_by_both_names():
    assert len(filler_names()) == 24
    for name in filler_names():
        filler = get_filler(name)
        assert filler.name == name
        if filler.aws:
            assert get_filler(filler.aws) is filler


@pytest.mark.parametrize("name", filler_names())
def test_every_filler_adds_up(name):
    """Composition adds up to 100 %, and temperatures are in order."""
    filler = get_filler(name)
    assert sum(filler.composition.values()) == pytest.approx(100.0, abs=0.01)
    assert filler.solidus_C <= filler.liquidus_C < filler.brazing_top_C
    assert 8000 < filler.density < 10500


def test_temperatures_of_one_filler():
    """Machinery's Handbook, 31st edition, Table 1a: BAg-7 melts 618 to 652, brazed up to 760 °C."""
    filler = get_filler("BAg-7")
    assert filler.melting_aws == (618, 652)
    assert (filler.solidus_C, filler.liquidus_C) == (620, 655)
    assert filler.brazing_top_C == 760
    assert filler.zinc_percent == 17
    assert filler.note == ""


def test_a_filler_without_published_range_gets_the_usual_one():
    filler = get_filler("Ag 155")
    assert filler.brazing_top_C == 660 + 110
    assert filler.brazing_top.source == "practice"


@pytest.mark.parametrize("name", ["BAg-3", "BAg-18", "BAg-5", "BAg-37"])
def test_disagreement_of_the_standards_is_told(name):
    assert "The standards differ" in get_filler(name).note


def test_a_near_name_is_told():
    assert "near" in get_filler("BAg-2a").note


@pytest.mark.parametrize("name", ["BAg-1", "BAg-1a", "BAg-2", "BAg-2a", "BAg-3", "Ag 340"])
def test_cadmium_is_flagged_and_never_suggested(name):
    filler = get_filler(name)
    assert filler.cadmium
    assert "Do not use it" in filler.cautions[0]
    assert filler.iso in filler_names()
    assert filler.iso not in suggested_filler_names()


def test_only_cadmium_fillers_are_flagged():
    flagged = {name for name in filler_names() if get_filler(name).cadmium}
    assert flagged == {"Ag 345", "Ag 350", "Ag 340", "Ag 330", "Ag 335", "Ag 351"}
    assert not get_filler("Ag 156").cadmium
    assert "white fume" in get_filler("Ag 156").cautions[0]
    assert get_filler("Ag 272").cautions == ()


def test_a_misspelt_cadmium_filler_leads_to_none_with_cadmium():
    with pytest.raises(UnknownName) as caught:
        get_filler("Ag 346")
    known = caught.value.known
    assert not any(get_filler(name).cadmium for name in known)
    assert caught.value.nearest is None or not get_filler(caught.value.nearest).cadmium


def test_unknown_filler_names_the_nearest():
    with pytest.raises(UnknownName) as caught:
        get_filler("Ag 15 7")
    assert caught.value.nearest in {"Ag 155", "Ag 156", "Ag 145", "Ag 125"}


def test_mixture_density_of_the_eutectic():
    """72 % silver at 10490 and 28 % copper at 8960 kg/m³."""
    expected = 100 / (72 / 10490 + 28 / 8960)
    assert mixture_density({"Ag": 72, "Cu": 28}) == pytest.approx(expected)


def test_mixture_density_against_measured_ones():
    """The range told for calculated densities holds for the measured ones."""
    measured = [get_filler(n) for n in filler_names() if get_filler(n).density_record.low is None]
    calculated = get_filler("Ag 156").density_record
    low, high = (bound / calculated.value for bound in calculated.range)
    assert len(measured) == 4
    for filler in measured:
        assert low < filler.density / mixture_density(filler.composition) < high


def test_a_filler_of_ones_own():
    filler = Filler.custom(640, 700)
    assert (filler.solidus_C, filler.liquidus_C, filler.brazing_top_C) == (640, 700, 810)
    assert filler.zinc_percent is None
    assert "cadmium" in filler.cautions[0]
    with pytest.raises(ValueError, match="below solidus"):
        Filler.custom(700, 640)
