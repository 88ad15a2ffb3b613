"""Kinds of value a key may hold: a number in a range, a pair of them, a known name.

Each is metadata inside `typing.Annotated`; it checks the value and says what to do.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

from thermo.files.hints import instead
from thermo.matter import UnknownName


class _Checked:
    """Lets pydantic call `check` for a value."""

    def check(self, value: Any) -> Any:
        raise NotImplementedError

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.check)


@dataclass(frozen=True)
class Range(_Checked):
    """A number from `low` to `high`, or one of a few words instead.

    Parameters
    ----------
    low, high : float
        Ends of the range, in `unit`.
    unit : str
        Unit as printed; empty for a bare number.
    remedy : str
        What to give.
    words : tuple of str
        Words legal in place of a number.
    below : bool
        True when `high` itself is not allowed.
    """

    low: float
    high: float
    unit: str
    remedy: str
    words: tuple[str, ...] = ()
    below: bool = False

    def check(self, value: Any) -> float | str:
        """Return the number as a float, or the word; ValueError with the remedy otherwise."""
        if isinstance(value, str) and value in self.words:
            return value
        if isinstance(value, bool) or not isinstance(value, int | float):
            others = "".join(f', or "{word}"' for word in self.words)
            hint = instead(value) if isinstance(value, str) else ""
            raise ValueError(f"must be a number{others}{hint or f'; {self.remedy}'}")
        inside = self.low <= value < self.high if self.below else self.low <= value <= self.high
        if not inside:
            raise ValueError(f"must be {self.limits()}; {self.remedy}")
        return float(value)

    def limits(self) -> str:
        """The range in words, such as "between 1 and 30 mm"."""
        unit = f" {self.unit}" if self.unit else ""
        if self.below:
            return f"at least {self.low:g} and below {self.high:g}{unit}"
        return f"between {self.low:g} and {self.high:g}{unit}"


@dataclass(frozen=True)
class Pair(_Checked):
    """Two numbers [low, high], rising, each in the range."""

    range: Range

    def check(self, value: Any) -> tuple[float, float]:
        """Return the pair; ValueError with the remedy otherwise."""
        if not isinstance(value, list | tuple) or len(value) != 2:
            raise ValueError(f"must be a pair [low, high]; {self.range.remedy}")
        low, high = (float(self.range.check(end)) for end in value)
        if low >= high:
            raise ValueError(f"low must be below high; {self.range.remedy}")
        return low, high


@dataclass(frozen=True)
class PlusMinus(_Checked):
    """A half-width as one number, or a pair [low, high]."""

    half_width: Range
    pair: Range

    def check(self, value: Any) -> float | tuple[float, float]:
        """Return the half-width or the pair; ValueError with the remedy otherwise."""
        if isinstance(value, list | tuple):
            return Pair(self.pair).check(value)
        return float(self.half_width.check(value))


@dataclass(frozen=True)
class Known(_Checked):
    """A name that one of our tables knows; kept in the table's own spelling.

    Parameters
    ----------
    lookup : callable
        Returns a record, or raises UnknownName.
    listing : str
        What to ask `brazeclock list` for.
    attribute : str
        Where the record keeps the name.
    """

    lookup: Callable[[str], Any]
    listing: str
    attribute: str = "name"

    def check(self, value: Any) -> str:
        """Return the name as the table spells it; ValueError with the nearest ones otherwise."""
        if not isinstance(value, str):
            raise ValueError(f"must be a name in quotes; see `brazeclock list {self.listing}`")
        try:
            return str(getattr(self.lookup(value), self.attribute))
        except UnknownName as unknown:
            if unknown.asks:
                text = f"{unknown.asks} (`brazeclock list {self.listing}`)"
                raise ValueError(text) from None
            near = (unknown.nearest,) if unknown.nearest else unknown.known[:4]
            hint = f"unknown {unknown.kind}; the nearest known: {', '.join(near)}"
            raise ValueError(f"{hint}; see `brazeclock list {self.listing}`") from None
