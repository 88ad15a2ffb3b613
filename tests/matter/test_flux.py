"""Fluxes: ranges, stages, cautions."""

import pytest

from thermo.matter import Flux, UnknownName, flux_names, get_flux


@pytest.mark.parametrize("name", flux_names())
def test_stages_follow_each_other(name):
    flux = get_flux(name)
    stages = [flux.stages[stage].value for stage in ("dry", "milky", "clear")]
    assert stages == sorted(stages)
    assert stages[-1] < flux.high_C
    low, high = flux.stages["clear"].range
    assert low < stages[-1] < high


def test_white_paste_goes_clear_where_the_manual_says():
    """US Navy training manual NAVEDTRA 14250: 212, 600 and 1100 °F."""
    fahrenheit = {"dry": 212, "milky": 600, "clear": 1100}
    for name, F in fahrenheit.items():
        assert get_flux("FB3-A").stages[name].value == pytest.approx((F - 32) / 1.8, abs=1.0)
    assert get_flux("fh 10").stages == get_flux("FB3A").stages


@pytest.mark.parametrize(("name", "clear"), [("FH20", 700), ("FH21", 750), ("FB3-D", 760)])
def test_high_fluxes_go_clear_at_the_end_of_their_range_and_say_so(name, clear):
    record = get_flux(name).stages["clear"]
    assert record.value == clear
    assert record.source == "assumed"
    assert record.high - record.low == 618 - 565


def test_range_and_residue():
    flux = get_flux("FH10")
    assert (flux.low_C, flux.high_C, flux.corrosive) == (550, 800, True)
    assert not get_flux("FH21").corrosive
    assert any("wash it off" in caution for caution in flux.cautions)
    assert any("300 °C" in caution for caution in get_flux("FH21").cautions)


def test_a_flux_of_ones_own():
    flux = Flux.custom(650, 900)
    assert flux.stages["clear"].value == 650
    assert flux.corrosive
    with pytest.raises(ValueError, match="upper end"):
        Flux.custom(900, 650)


def test_unknown_flux_names_the_nearest():
    with pytest.raises(UnknownName) as caught:
        get_flux("FB3-B")
    assert caught.value.nearest.startswith("FB3-")
