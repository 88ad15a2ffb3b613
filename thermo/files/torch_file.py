"""Torch files: a maker's own torch, written once and named by many cases.

A torch file is TOML: `title` and `note` at the top, then a [torch] table with `kind`, or `fuel`,
`fuel_rate_g_per_h` and `nozzle_mm`; `cone_mm`, `tip_temperature_C` and `primary_air`, which have no
default with acetylene or hydrogen; and the two factors fitted to the torch. A table [uncertainty]
says how sure its strength and what it gives to the steel are; cases that name the file take it.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field

from thermo.files.reading import load, validated
from thermo.files.tables import Relative, Table, TorchValues
from thermo.files.units import WrittenTables


class TorchSpread(Table):
    """How sure a torch is: half-widths as shares, or [low, high] times the value."""

    torch: Relative | None = None
    transfer: Relative | None = None


class TorchFile(Table):
    """One torch as a maker writes it."""

    title: Annotated[str, Field(max_length=200)] = ""
    note: Annotated[str, Field(max_length=5000)] = ""
    torch: TorchValues
    uncertainty: TorchSpread | None = None


def read_torch_file(path: str | Path) -> dict[str, dict[str, Any]]:
    """Values of the tables that the file gives, checked, in a case's units, by table.

    Raises
    ------
    CaseError
        With every fault found in the file.
    """
    written = WrittenTables(load(path), TorchFile)
    found = validated(TorchFile, written, str(path))
    tables = {"torch": found.torch.model_dump(exclude_none=True)}
    if found.uncertainty is not None:
        tables["uncertainty"] = {
            key: list(value) if isinstance(value, tuple) else value
            for key, value in found.uncertainty.model_dump(exclude_none=True).items()
        }
    return tables


def torch_file_text(
    title: str, note: str, torch: dict[str, float | str], spread: dict[str, tuple[float, float]]
) -> str:
    """A torch file.

    Parameters
    ----------
    title, note : str
    torch : dict
        Values of [torch], in a case's units.
    spread : dict
        [low, high] times the value, of [uncertainty].
    """
    lines = [f"title = {json.dumps(title, ensure_ascii=False)}"]
    lines += [f"note = {json.dumps(note, ensure_ascii=False)}", "", "[torch]"]
    lines += [
        f"{key} = {json.dumps(value) if isinstance(value, str) else format(value, '.4g')}"
        for key, value in torch.items()
    ]
    lines += ["", "[uncertainty]                   # [low, high] times the value"]
    lines += [f"{key} = [{low:.3g}, {high:.3g}]" for key, (low, high) in spread.items()]
    return "\n".join([*lines, ""])
