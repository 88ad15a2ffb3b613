"""Emissivity and colours."""

import numpy as np
import pytest

from thermo.matter import colour_at, heat_colours, oxidised_emissivity, temper_colours


def test_emissivity_follows_the_hottest_temperature():
    np.testing.assert_allclose(
        oxidised_emissivity([20, 300, 450, 600, 900]), [0.25, 0.25, 0.525, 0.8, 0.8]
    )


@pytest.mark.parametrize(
    ("T", "light", "name"),
    [
        (700, "dim", "very dark red"),
        (700, "bright", "dark cherry"),
        (865, "bright", "orange yellow reddish"),
        (1400, "dim", "white"),
    ],
)
def test_colour_of_hot_steel(T, light, name):
    """Chapman for dim light, the 500 lux chart for bright."""
    assert colour_at(T, light).name == name


def test_no_colour_while_it_does_not_glow():
    assert colour_at(425, "dim") is None
    assert colour_at(500, "dim").table == "chapman"
    assert colour_at(500, "bright") is None


def test_light_is_dim_or_bright():
    with pytest.raises(ValueError, match="dim"):
        colour_at(700, "dark")


def test_tables_of_colours():
    """Dooley: straw yellow at 460 °F."""
    assert {c.table for c in heat_colours()} == {"chapman", "shop-chart", "steam-book-1905"}
    straw = next(c for c in temper_colours() if c.name == "straw yellow")
    assert straw.from_C == pytest.approx((460 - 32) / 1.8, abs=0.5)
    starts = [c.from_C for c in temper_colours()]
    assert starts == sorted(starts)
