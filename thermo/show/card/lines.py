"""Lines of the card: a label, its text folded to the screen, and what is left out first."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from dataclasses import dataclass, replace

from thermo.files.errors import screened
from thermo.show.wording.words import printable

WIDTH, MOST, LABEL = 80, 34, 7
"""Columns and lines of one screen, and columns of the label."""
STOP = "STOP"


@dataclass(frozen=True)
class Entry:
    """One thing that the card says.

    Attributes
    ----------
    label : str
        In front of its first line; empty where it goes on with the one before.
    text : str
    most : int
        Lines it may take; what is longer is cut, the report has it whole.
    spare : int
        0 where it must stay; of the others the highest goes first where the card is too long.
    """

    label: str
    text: str
    most: int = 2
    spare: int = 0

    def lines(self) -> list[str]:
        """Folded to the screen."""
        return textwrap.wrap(
            screened(self.text),
            WIDTH,
            initial_indent=f"{self.label:<{LABEL}}",
            subsequent_indent=" " * LABEL,
            max_lines=self.most,
            placeholder=" …",
            break_on_hyphens=False,
        )


def one_screen(head: str, entries: Iterable[Entry]) -> list[str]:
    """The card's lines, `MOST` at most.

    Where there are more, what can be spared goes; then the longest are cut, what stops the work
    last.

    Parameters
    ----------
    head : str
        The card's first line.
    entries : iterable of Entry
        In the order in which they are read.
    """
    kept = [entry for entry in entries if entry.text]
    first = textwrap.shorten(printable(head), WIDTH, placeholder=" …") or "A joint"
    while sum(len(entry.lines()) for entry in kept) >= MOST:
        least = max(range(len(kept)), key=lambda k: kept[k].spare)
        if kept[least].spare:
            del kept[least]
            continue
        sizes = [len(entry.lines()) - (entry.label == STOP) for entry in kept]
        longest = int(max(range(len(kept)), key=lambda k: sizes[k]))
        kept[longest] = replace(kept[longest], most=len(kept[longest].lines()) - 1)
    return [first, *(line for entry in kept for line in entry.lines())]
