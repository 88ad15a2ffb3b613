"""Air's conductivity over the gap, and grey radiation across it."""

from __future__ import annotations

from thermo.flame import radiative_coefficient
from thermo.matter import get_gas
from validation.checks import Computed, Row

GAP, EMISSIVITY = 0.05e-3, 0.8


def air_gap(row: Row) -> Computed:
    """C09."""
    air = get_gas("air").conductivity(row.along) / GAP
    exchange = 1.0 / (2.0 / EMISSIVITY - 1.0)
    radiation = radiative_coefficient(exchange, row.along, row.along)
    return {"air": air, "radiation": radiation, "both": air + radiation}


ROWS = {"C09": air_gap}
