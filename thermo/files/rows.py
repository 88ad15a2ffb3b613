"""Rows of a CSV text with a header, as a model's tables."""

from __future__ import annotations

import csv
import io
from typing import Any

from thermo.files.errors import CaseError, Problem
from thermo.files.tables import Table
from thermo.files.units import spellings

MOST_ROWS = 500


def csv_rows(text: str, source: str, model: type[Table], example: str) -> list[dict[str, Any]]:
    """Rows: numbers as numbers, empty cells left out; `MOST_ROWS` + 1 of them at most.

    Semicolons part cells where the header has more of them than commas; decimals may then be
    written with commas.

    Parameters
    ----------
    text, source : str
    model : type of Table
        Knows the keys; what it calls text stays text.
    example : str
        A header, for messages.

    Raises
    ------
    CaseError
        It is no CSV with a header, or has no rows.
    """
    first = text.partition("\n")[0]
    split = ";" if first.count(";") > first.count(",") else ","
    try:
        reader = csv.reader(io.StringIO(text), delimiter=split, strict=True)
        lines = [line for line in reader if any(cell.strip() for cell in line)]
    except csv.Error as fault:
        raise CaseError(source, [Problem("", f"is no CSV with a header: {fault}")]) from None
    if len(lines) < 2:
        raise CaseError(source, [Problem("", f"has no rows; give a header such as {example}")])
    head, known = [cell.strip() for cell in lines[0]], spellings(model)
    if not set(head) & set(known):
        told = f"its first line is no header of ours; give one such as {example}"
        raise CaseError(source, [Problem("", told, ",".join(head))])
    words = {key for key, field in model.model_fields.items() if field.annotation is str}
    rows = []
    for number, line in enumerate(lines[1 : MOST_ROWS + 2], start=1):
        if len(line) > len(head):
            told = f"row {number} has {len(line)} cells, the header {len(head)}"
            raise CaseError(source, [Problem("", f"{told}; put text with commas in quotes")])
        cells = {key: cell.strip() for key, cell in zip(head, line, strict=False) if cell.strip()}
        rows.append(
            {
                key: cell if known.get(key, key) in words else _value(cell, split)
                for key, cell in cells.items()
            }
        )
    return rows


def _value(cell: str, split: str) -> float | str:
    return number_or_text(cell if split == "," else cell.replace(",", ".")) if cell else cell


def number_or_text(text: str) -> float | str:
    """A number where one is written, else the text."""
    try:
        return float(text)
    except ValueError:
        return text
