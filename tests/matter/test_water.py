"""Saturated steam against the published verification values."""

import numpy as np
import pytest

from thermo.matter import saturation_pressure


def test_saturation_pressure():
    """IAPWS R7-97(2012), Table 35."""
    got = saturation_pressure(np.array([300.0, 500.0, 600.0]) - 273.15)
    expected = [0.353658941e4, 0.263889776e7, 0.123443146e8]
    np.testing.assert_allclose(got, expected, rtol=1e-8)


@pytest.mark.parametrize(("p", "kelvin"), [(1e5, 372.755919), (1e6, 453.035632), (1e7, 584.149488)])
def test_boiling_point(p, kelvin):
    """IAPWS R7-97(2012), Table 36."""
    assert saturation_pressure(kelvin - 273.15) == pytest.approx(p, rel=1e-7)


@pytest.mark.parametrize("T", [-1.0, 374.0])
def test_outside_the_saturation_line(T):
    with pytest.raises(ValueError, match="saturated steam"):
        saturation_pressure(T)
