"""Torch files: a maker's own torch, written once and named by many cases.

A torch file is TOML: `title` and `note` at the top, then a [torch] table with `kind`, or `fuel`,
`fuel_rate_g_per_h` and `nozzle_mm`; `cone_mm`, `tip_temperature_C` and `primary_air`, which have no
default with acetylene or hydrogen; and the two factors fitted to the torch.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from pydantic import Field

from thermo.files.reading import load, validated
from thermo.files.tables import Table, TorchValues
from thermo.files.units import WrittenTables


class TorchFile(Table):
    """One torch as a maker writes it."""

    title: Annotated[str, Field(max_length=200)] = ""
    note: Annotated[str, Field(max_length=5000)] = ""
    torch: TorchValues


def read_torch_file(path: str | Path) -> dict[str, Any]:
    """Values of the [torch] table that the file gives, checked, in a case's units.

    Raises
    ------
    CaseError
        With every fault found in the file.
    """
    written = WrittenTables(load(path), TorchFile)
    found = validated(TorchFile, written, str(path))
    return found.torch.model_dump(exclude_none=True)
