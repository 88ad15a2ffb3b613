"""Saturated steam; the published values are rows of validation/iapws."""

import pytest

from thermo.matter import saturation_pressure


@pytest.mark.parametrize("T", [-1.0, 374.0])
def test_outside_the_saturation_line(T):
    with pytest.raises(ValueError, match="saturated steam"):
        saturation_pressure(T)
