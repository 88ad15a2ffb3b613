"""Build lists: parts, how many of each, and the case of each; TOML, or CSV with a header."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import Field

from thermo.files.errors import CaseError, Problem
from thermo.files.fields import Range
from thermo.files.reading import faults, load, text_of
from thermo.files.rows import MOST_ROWS, csv_rows
from thermo.files.tables import Table
from thermo.files.units import WrittenTables

HEADER = "part,count,case,rod"


class PartRow(Table):
    """One line: so many joints alike.

    Attributes
    ----------
    part : str
    count : float
        A whole number of joints.
    case : str
        Its case file, beside the list.
    rod : str
        The same word for all joints that share a rod; "" for a rod of its own.
    """

    part: Annotated[str, Field(pattern=r"\S", max_length=80)]
    count: Annotated[float, Range(1, 1000, "", "give how many joints there are of it")]
    case: Annotated[str, Field(pattern=r"\S", max_length=200)]
    rod: Annotated[str, Field(max_length=80)] = ""


class BuildList(Table):
    """A whole build.

    Attributes
    ----------
    loss : float
        Filler lost to cutting and dropping, as a share of what is used.
    sure : float
        How sure it shall be that the spares are enough.
    """

    title: Annotated[str, Field(max_length=200)] = ""
    note: Annotated[str, Field(max_length=5000)] = ""
    loss: Annotated[float, Range(0, 1, "", "give the share of filler lost, as in 0.1")] = 0.1
    sure: Annotated[float, Range(0.5, 0.99, "", "give how sure, as in 0.9")] = 0.9
    part: Annotated[list[PartRow], Field(min_length=1, max_length=MOST_ROWS)]


def read_build_list(path: str | Path) -> BuildList:
    """A build list: TOML where the file's name ends so, else CSV with a header.

    Raises
    ------
    CaseError
        With every fault found, one a line.
    """
    source = str(path)
    raw = (
        load(path)
        if source.endswith(".toml")
        else {"part": csv_rows(text_of(path), source, PartRow, HEADER)}
    )
    written = WrittenTables(raw, BuildList)
    problems = faults(written.tables, written, {})
    if problems:
        raise CaseError(source, problems)
    found = BuildList.model_validate(written.tables)
    problems = [
        Problem(f"part[{k}].count", "must be a whole number", row.count)
        for k, row in enumerate(found.part, start=1)
        if row.count != int(row.count)
    ]
    if problems:
        raise CaseError(source, problems)
    return found
