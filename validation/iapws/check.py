"""Our saturation line."""

from __future__ import annotations

from scipy.optimize import brentq

from thermo.matter import constant, saturation_pressure
from validation.checks import Computed, Row

ZERO_C = 273.15


def pressure(row: Row) -> Computed:
    """W01."""
    return {"pressure": saturation_pressure(row.along - ZERO_C) / 1e6}


def boiling_point(row: Row) -> Computed:
    """W02."""

    def kelvin(MPa: float) -> float:
        low, high = 1.0, 370.0
        T = brentq(lambda T: float(saturation_pressure(T)) - 1e6 * MPa, low, high, xtol=1e-10)
        return float(T) + ZERO_C

    return {"temperature": [kelvin(p) for p in row.along]}


def anchors(row: Row) -> Computed:
    """W05."""
    found = {f"pressure at {T} °C": float(saturation_pressure(T)) / 1e5 for T in (100, 200, 300)}
    return found | {"latent heat at 100 °C": constant("water", "latent-heat").value / 1e3}


def pressure_by_library(row: Row) -> Computed:
    """W01 by the library."""
    from iapws.iapws97 import _PSat_T

    return {"pressure": [_PSat_T(T) for T in row.along]}


def anchors_by_library(row: Row) -> Computed:
    """W05 by the library."""
    from iapws import IAPWS97

    liquid, steam = (IAPWS97(T=100 + ZERO_C, x=x) for x in (0, 1))
    found = {f"pressure at {T} °C": 10 * IAPWS97(T=T + ZERO_C, x=0).P for T in (100, 200, 300)}
    return found | {"latent heat at 100 °C": steam.h - liquid.h}


ROWS = {"W01": pressure, "W02": boiling_point, "W05": anchors}
LIBRARIES = {"W01": ("iapws", pressure_by_library), "W05": ("iapws", anchors_by_library)}
