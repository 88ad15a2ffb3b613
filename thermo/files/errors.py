"""What a maker is told when a file cannot be used: file, key, value, rule and remedy."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

MOST_LINES = 8
LONGEST_VALUE = 40
LONGEST_LINE = 600
NO_VALUE = object()
UNITS = {
    "_mm": " mm",
    "_C": " °C",
    "_deg": "°",
    "_g_per_h": " g/h",
    "_W_K": " W/K",
    "_s": " s",
}


@dataclass(frozen=True)
class Problem:
    """One thing wrong in a file.

    Parameters
    ----------
    key : str
        Dotted key, empty when the file as a whole is meant.
    text : str
        The rule that is broken, and what to do.
    value : object
        The value as written; `NO_VALUE` when there is none to show.
    """

    key: str
    text: str
    value: object = NO_VALUE

    def line(self, source: str) -> str:
        """One line, beginning with the file."""
        place = f"{self.key} = {shown(self.value)}" if self.value is not NO_VALUE else self.key
        return ": ".join(part for part in (source, place, self.text) if part)


class CaseError(Exception):
    """A case, or a file it names, cannot be used.

    Parameters
    ----------
    source : str
        The file (or "options") as the user named it.
    problems : iterable of Problem
        Everything found wrong, in the order to mend it.
    """

    def __init__(self, source: str, problems: Iterable[Problem]) -> None:
        self.source = source
        self.problems = tuple(problems)
        lines = [problem.line(source) for problem in self.problems[:MOST_LINES]]
        left = len(self.problems) - MOST_LINES
        if left > 0:
            lines.append(f"{source}: and {left} more of the kind; mend these first")
        self.lines = tuple(shortened(screened(line.replace("\n", " "))) for line in lines)
        super().__init__("\n".join(self.lines))


def screened(text: str) -> str:
    """The text with a space for every character that could steer a screen; line ends stay.

    Those are control characters (ESC and C1 among them), marks that turn the direction of writing,
    and halves of characters: all that Unicode holds for not printable.
    """
    return "".join(c if c.isprintable() or c == "\n" else " " for c in text)


def shortened(line: str) -> str:
    """A line of a message without its middle where it is too long to read."""
    half = LONGEST_LINE // 2
    return line if len(line) <= LONGEST_LINE else f"{line[:half]} ... {line[-half:]}"


def shown(value: object) -> str:
    """The value as it looks in a file, cut short when it is long."""
    if isinstance(value, dict):
        return "{...}"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int) and value.bit_length() > 400:
        return "(a huge whole number)"
    if isinstance(value, float):
        return f"{value:.12g}"
    if isinstance(value, list):
        items = ("[...]" if isinstance(item, list) else shown(item) for item in value[:4])
        text = "[" + ", ".join(items) + "]"
    else:
        text = json.dumps(value, ensure_ascii=False) if isinstance(value, str) else str(value)
    return text if len(text) <= LONGEST_VALUE else text[: LONGEST_VALUE - 3] + "..."


def with_unit(key: str, value: Any) -> str:
    """A value with the unit its key ends in, as printed: numbers to four digits."""
    if isinstance(value, str):
        return value
    if isinstance(value, float):
        value = float(f"{value:.4g}")
    ending = next((unit for suffix, unit in UNITS.items() if key.endswith(suffix)), "")
    return f"{shown(value)}{ending}"
