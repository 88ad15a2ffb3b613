"""Water and steam on the saturation line, and the water bound in boric acid."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from thermo.matter.curve import Floats

# IAPWS R7-97(2012), Table 34, coefficients n1 to n10 of region 4.
N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)


def saturation_pressure(T: ArrayLike) -> Floats:
    """Pressure of steam over boiling water [Pa].

    p = [2C / (−B + √(B² − 4AC))]⁴ MPa, with A, B, C quadratic in ϑ = T + n9 / (T − n10).

    Parameters
    ----------
    T : array
        Temperature [°C], any shape.

    Returns
    -------
    array
        Absolute pressure [Pa].

    Raises
    ------
    ValueError
        Below 0 °C or above the critical point, 373.946 °C.

    Validity: 0 to 373.946 °C. Source: IAPWS R7-97(2012), equation 30.
    """
    celsius = np.asarray(T, dtype=float)
    if np.any(celsius < 0.0) or np.any(celsius > 373.946):
        raise ValueError("saturated steam exists from 0 to 373.946 °C only")
    kelvin = celsius + 273.15
    theta = kelvin + N[8] / (kelvin - N[9])
    a = theta**2 + N[0] * theta + N[1]
    b = N[2] * theta**2 + N[3] * theta + N[4]
    c = N[5] * theta**2 + N[6] * theta + N[7]
    root: Floats = (2.0 * c / (-b + np.sqrt(b * b - 4.0 * a * c))) ** 4
    return 1e6 * root
