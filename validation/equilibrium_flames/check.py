"""Our table of flames."""

from __future__ import annotations

from thermo.matter import get_flame
from validation.checks import Computed, Row


def adiabatic(row: Row) -> Computed:
    """H09."""
    return {fuel: get_flame(fuel).adiabatic_C + 273.15 for fuel in row.expected}


ROWS = {"H09": adiabatic}
