"""Text for the screen and for files: 100 columns, in colour on a terminal only."""

from __future__ import annotations

import io
from collections.abc import Collection, Iterable, Iterator

from rich.console import Console, RenderableType
from rich.table import Table
from rich.text import Text

WIDTH = 100
STRONG, GRAVE = "bold", "bold red"


def as_text(content: RenderableType) -> str:
    """Plain text, as wide as `WIDTH`."""
    console = Console(file=io.StringIO(), width=WIDTH, color_system=None, force_terminal=False)
    with console.capture() as captured:
        console.print(content)
    return "".join(f"{line.rstrip()}\n" for line in captured.get().splitlines())


def put(content: RenderableType) -> None:
    """Print to stdout: in colour on a terminal, plain elsewhere."""
    console = Console(highlight=False)
    if console.is_terminal:
        console.print(content, width=min(WIDTH, console.width))
    else:
        console.file.write(as_text(content))


def section(heading: str, items: Iterable[str], style: str = STRONG) -> Iterator[RenderableType]:
    """A heading and its items, nothing at all where there are none."""
    found = list(items)
    if not found:
        return
    yield Text()
    yield Text(f"{heading}:", style)
    table = Table.grid(padding=(0, 1, 0, 0))
    for item in found:
        table.add_row("-", Text(item))
    yield table


def columns(*heads: str, words: Collection[str] = ()) -> Table:
    """An empty table: words on the left of their column, all else on the right."""
    table = Table(box=None, padding=(0, 2, 0, 0), header_style=STRONG)
    for head in heads:
        table.add_column(head, justify="left" if head in words else "right")
    return table
