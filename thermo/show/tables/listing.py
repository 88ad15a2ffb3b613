"""The tables behind the model, as text."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.text import Text

from thermo.matter import (
    sources,
)
from thermo.show.documents.listing import FOR_MAKERS, LISTS, Cited, Entry, Line
from thermo.show.printing import GRAVE, STRONG, Folding, grid, section


def list_text(what: str) -> Group:
    """One of the lists as text, 80 columns wide.

    Parameters
    ----------
    what : str
        A key of `LISTS`.
    """
    build, notes = LISTS[what]
    cited: Cited = {}
    shown = [part for entry in build() for part in _entry(entry, cited)]
    return Group(*shown[1:], *_footnotes(cited), *section("Good to know", notes))


def _footnotes(cited: Cited) -> Iterator[RenderableType]:
    """Each source once, under its number."""
    if not cited:
        return
    yield Text()
    yield Text("Sources:", STRONG)
    table = grid()
    for key, number in cited.items():
        table.add_row(Text(f"[{number}]"), Text(sources()[key].title))
    yield table


def _entry(entry: Entry, cited: Cited) -> Iterator[RenderableType]:
    yield Text()
    title = f": {entry.title}" if entry.title else ""
    yield Text(f"{entry.name}{title}", GRAVE if entry.flag else STRONG)
    if entry.flag:
        yield Text(entry.flag, GRAVE)
    if entry.source:
        yield Text(_origin(entry, cited))
    table = Folding(box=None, padding=(0, 2, 0, 0), show_header=False)
    table.add_column(ratio=3)
    table.add_column(ratio=4)
    table.add_column(ratio=6)
    for line in entry.lines:
        table.add_row(Text(line.name), Text(_value(line)), Text(_origin(line, cited)))
    yield table


def _value(line: Line) -> str:
    """Value, unit and range as a maker reads them."""
    if isinstance(line.value, str):
        return line.value
    unit, scale = FOR_MAKERS.get(line.unit, (line.unit, 1.0))
    digits = 4 if scale == 1.0 else 3
    value, low, high = (
        "" if number is None else f"{number * scale:.{digits}g}"
        for number in (line.value, line.low, line.high)
    )
    span = f"{low} to {high}" if low and high else f"from {low}" if low else f"up to {high}"
    return f"{value} {unit}".rstrip() + (f" ({span})" if low or high else "")


def _origin(told: Line | Entry, cited: Cited) -> str:
    """Number of the source, and how the value was reached; where there is no source, the words."""
    if not told.source:
        return told.provenance
    source = sources()[told.source]
    same = told.provenance.casefold().startswith(source.title.casefold())
    if source.read == "none":
        return told.provenance if same else f"{source.title}: {told.provenance}"
    number = cited.setdefault(told.source, len(cited) + 1)
    rest = told.provenance[len(source.title) :].lstrip(" :,;") if same else told.provenance
    return f"[{number}] {rest}"
