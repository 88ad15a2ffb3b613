"""Text for the screen and for files: 100 columns, in colour on a terminal only."""

from __future__ import annotations

import io
import shutil
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from typing import cast

from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
from rich.segment import Segment
from rich.table import Table
from rich.text import Text

from thermo.files.errors import screened

WIDTH = 100
NARROWEST = 20
"""Columns written to at least: fewer are a slip, and the terminal breaks lines itself."""
STRONG, GRAVE = "bold", "bold red"


@dataclass(frozen=True)
class Screened:
    """Content without characters that could steer a screen, whatever it was made of."""

    content: RenderableType

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Pass on every part, its text screened; colours are no part of the text."""
        for segment in console.render(self.content, options):
            yield Segment(screened(segment.text), segment.style)


class Folding(Table):
    """A table that loses no word: where some word does not fit its column, it tells row by row."""

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """As a table where that leaves every word whole, else each cell under its column's head."""
        segments = list(super().__rich_console__(console, options))
        shown = set("".join(part.text for part in segments if isinstance(part, Segment)).split())
        rows = list(
            zip(*([_text(console, c) for c in one.cells] for one in self.columns), strict=True)
        )
        heads = [_text(console, column.header) for column in self.columns]
        if all(set(cell.plain.split()) <= shown for row in (heads, *rows) for cell in row):
            yield from segments
            return
        for row in rows:
            for head, cell in zip(heads, row, strict=True):
                if self.show_header and head.plain:
                    yield Text(f"{head.plain}:", STRONG)
                yield cell
            yield Text()


def _text(console: Console, cell: RenderableType) -> Text:
    return console.render_str(cell) if isinstance(cell, str) else cast(Text, cell)


def as_text(content: RenderableType) -> str:
    """Plain text, as wide as `WIDTH`."""
    console = Console(file=io.StringIO(), width=WIDTH, color_system=None, force_terminal=False)
    with console.capture() as captured:
        console.print(Screened(content))
    return "".join(f"{line.rstrip()}\n" for line in captured.get().splitlines())


def put(content: RenderableType) -> None:
    """Print to stdout: in colour on a terminal, plain elsewhere."""
    console = terminal()
    if console.is_terminal:
        console.print(Screened(content))
    else:
        console.file.write(as_text(content))


def terminal(*, stderr: bool = False) -> Console:
    """The terminal, `WIDTH` columns of it at most; what COLUMNS says counts where it is a width."""
    size = shutil.get_terminal_size((WIDTH, 24))
    width = max(min(size.columns, WIDTH), NARROWEST)
    return Console(stderr=stderr, highlight=False, width=width, height=max(size.lines, 1))


def section(heading: str, items: Iterable[str], style: str = STRONG) -> Iterator[RenderableType]:
    """A heading and its items, nothing at all where there are none."""
    found = list(items)
    if not found:
        return
    yield Text()
    yield Text(f"{heading}:", style)
    table = grid()
    for item in found:
        table.add_row("-", Text(item))
    yield table


def grid() -> Table:
    """An empty table without heads, a blank between its columns."""
    return Folding.grid(padding=(0, 1, 0, 0))


def columns(*heads: str, words: Collection[str] = ()) -> Table:
    """An empty table: words on the left of their column, all else on the right."""
    table = Folding(box=None, padding=(0, 2, 0, 0), header_style=STRONG)
    for head in heads:
        table.add_column(head, justify="left" if head in words else "right")
    return table
