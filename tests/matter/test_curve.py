"""Curves made of pieces."""

import numpy as np
import pytest

from thermo.matter.curve import Curve


def test_integral_of_a_rational_piece():
    """∫ from 20 to 30 of 2 + 3 / (T − 10) = 20 + 3 ln 2."""
    piece = {"from_C": 0, "to_C": 9, "polynomial": [2.0]}
    rational = {"from_C": 9, "to_C": 9.5, "polynomial": [2.0]}
    last = {"from_C": 9.5, "to_C": 100, "polynomial": [2.0], "amplitude": 3.0, "pole_C": 9.25}
    curve = Curve.from_pieces([piece, rational, last])
    assert curve.integral(30.0) == pytest.approx(20 + 3 * np.log(20.75 / 10.75), rel=1e-14)
    assert curve.integral(200.0) - curve.integral(100.0) == pytest.approx(
        100 * (2 + 3 / 90.75), rel=1e-12
    )


def test_cubics_reproduce_a_cubic():
    T = np.array([0.0, 10.0, 30.0, 50.0, 60.0, 100.0])
    curve = Curve.through(T, 1 + T - 0.02 * T**2 + 1e-4 * T**3, degree=3)
    inside = np.linspace(0, 99.9, 37)
    expected = 1 + inside - 0.02 * inside**2 + 1e-4 * inside**3
    np.testing.assert_allclose(curve.value(inside), expected, rtol=1e-9)


def test_pieces_must_join():
    with pytest.raises(ValueError, match="part at 10 °C but go on at 11"):
        Curve.from_pieces(
            [
                {"from_C": 0, "to_C": 10, "polynomial": [1.0]},
                {"from_C": 11, "to_C": 20, "polynomial": [1.0]},
            ]
        )
