"""Constants of physics, once."""

ZERO_C_K = 273.15
"""0 °C in kelvin, by definition (BIPM, SI Brochure, 9th edition, 2.3.1) [K]."""
SIGMA = 5.670374419e-8
"""Stefan-Boltzmann constant, CODATA 2018, exact by the 2019 SI [W/m²K⁴]."""
G = 9.80665
"""Standard acceleration of free fall (3rd CGPM, 1901) [m/s²]."""

MM_PER_INCH = 25.4
MM = 1e-3
"""A millimetre [m]."""
IN_MM, IN_MM2, IN_MM3 = 1e3, 1e6, 1e9
"""Metres, their squares and cubes in millimetres."""
