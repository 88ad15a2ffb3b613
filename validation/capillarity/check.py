"""Our capillary formulas."""

from __future__ import annotations

import math

from thermo.matter.capillary import (
    annulus_permeability,
    rise,
    slot_fill_time,
    slot_permeability,
    slot_pressure,
    tube_fill_time,
    tube_pressure,
)
from validation.checks import Computed, Row

MM = 1e-3


def annulus_height(row: Row) -> Computed:
    """K01."""
    given = row.inputs
    wetting = given["tension"], given["angle_deg"]
    pressure = slot_pressure(*wetting, MM * (given["outer_mm"] - given["inner_mm"]))
    in_tube = tube_pressure(*wetting, MM * given["tube_mm"])
    return {
        "height": rise(pressure, given["density"]) / MM,
        "pressure": pressure,
        "height in the tube": rise(in_tube, given["density"]) / MM,
    }


def glass_tube(row: Row) -> Computed:
    """K02."""
    given = row.inputs
    pressure = tube_pressure(given["tension"], given["angle_deg"], MM * given["radius_mm"])
    return {"height": rise(pressure, given["density"]) / MM}


def fill_times(row: Row) -> Computed:
    """K03."""
    given = row.inputs
    liquid = given["tension"], given["angle_deg"], given["viscosity"]
    slot = slot_fill_time(MM * row.along, MM * given["gap_mm"], *liquid)
    tube = tube_fill_time(MM * given["tube_length_mm"], MM * given["tube_mm"], *liquid)
    return {"slot": 1e6 * slot, "tube": 1e6 * tube}


def permeabilities(row: Row) -> Computed:
    """K04."""
    inner, outer = MM * row.inputs["inner_mm"], MM * row.inputs["outer_mm"]
    annulus = annulus_permeability(inner, outer)
    slot = slot_permeability(math.pi * (inner + outer), outer - inner)
    return {"annulus": 1e17 * annulus, "slot": 1e17 * slot, "ratio": annulus / slot}


ROWS = {"K01": annulus_height, "K02": glass_tube, "K03": fill_times, "K04": permeabilities}
