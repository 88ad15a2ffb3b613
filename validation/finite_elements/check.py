"""Our own run of the braze against the stored numbers."""

from __future__ import annotations

import numpy as np

from validation.checks import Computed, Row
from validation.finite_elements.case import load_case
from validation.finite_elements.ours import Braze


def temperatures(row: Row) -> Computed:
    """B01."""
    braze = Braze(load_case(), "normal")
    _, history = braze.run(row.along, braze.coldest)
    found = {name: braze.read(history, name) for name in row.expected if name != "stored_J"}
    return found | {"stored_J": history.stored_J}


def stage_times(row: Row) -> Computed:
    """B02."""
    braze = Braze(load_case(), "normal")
    return {"from_0_mm_s": braze.run(np.array([0.0]), braze.at_the_edge)[0]}


ROWS = {"B01": temperatures, "B02": stage_times}
