"""Our water and steam."""

from __future__ import annotations

from thermo.matter import (
    constant,
    isochoric_pressure,
    latent_heat,
    saturation_pressure,
    saturation_temperature,
    steam_volume,
)
from validation.checks import Computed, Row

ZERO_C = 273.15


def pressure(row: Row) -> Computed:
    """W01."""
    return {"pressure": saturation_pressure(row.along - ZERO_C) / 1e6}


def boiling_point(row: Row) -> Computed:
    """W02."""
    return {"temperature": saturation_temperature(1e6 * row.along) + ZERO_C}


def shut_in(row: Row) -> Computed:
    """W03."""
    density = 1e3 * row.inputs["water_mg"] / row.inputs["room_mm3"]
    return {"pressure": isochoric_pressure(row.along, density) / 1e5}


def anchors(row: Row) -> Computed:
    """W05."""
    found = {f"pressure at {T} °C": float(saturation_pressure(T)) / 1e5 for T in (100, 200, 300)}
    return found | {
        "latent heat at 100 °C": latent_heat(100.0) / 1e3,
        "latent heat of the constants": constant("water", "latent-heat").value / 1e3,
        "volume of steam at 100 °C": steam_volume(100.0),
    }


def pressure_by_library(row: Row) -> Computed:
    """W01 by the library."""
    from iapws.iapws97 import _PSat_T

    return {"pressure": [_PSat_T(T) for T in row.along]}


def boiling_point_by_library(row: Row) -> Computed:
    """W02 by the library."""
    from iapws.iapws97 import _TSat_P

    return {"temperature": [_TSat_P(MPa) for MPa in row.along]}


def anchors_by_library(row: Row) -> Computed:
    """W05 by the library."""
    from iapws import IAPWS97

    liquid, steam = (IAPWS97(T=100 + ZERO_C, x=x) for x in (0, 1))
    found = {f"pressure at {T} °C": 10 * IAPWS97(T=T + ZERO_C, x=0).P for T in (100, 200, 300)}
    return found | {
        "latent heat at 100 °C": steam.h - liquid.h,
        "volume of steam at 100 °C": steam.v,
    }


ROWS = {"W01": pressure, "W02": boiling_point, "W03": shut_in, "W05": anchors}
LIBRARIES = {
    "W01": ("iapws", pressure_by_library),
    "W02": ("iapws", boiling_point_by_library),
    "W05": ("iapws", anchors_by_library),
}
