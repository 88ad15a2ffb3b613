"""Constants of physics, once."""

ZERO_C_K = 273.15
"""0 °C in kelvin, by definition (BIPM, SI Brochure, 9th edition, 2.3.1) [K]."""
SIGMA = 5.670374419e-8
"""Stefan-Boltzmann constant, CODATA 2018, exact by the 2019 SI [W/m²K⁴]."""
G = 9.80665
"""Standard acceleration of free fall (3rd CGPM, 1901) [m/s²]."""
