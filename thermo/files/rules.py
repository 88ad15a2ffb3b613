"""The form of a default: where it goes, how it follows from what is known, and why."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

Tables = dict[str, Any]


@dataclass(frozen=True)
class Rule:
    """The default of one key.

    Parameters
    ----------
    table, key : str
        Where it goes.
    value : callable
        Value from the tables as far as they are known, or None where none applies.
    why : str
        Reason, as printed.
    weight : int
        See `Assumed`; 0 where the value changes nothing worth a line.
    """

    table: str
    key: str
    value: Callable[[Tables], Any]
    why: str = ""
    weight: int = 0


def number(tables: Tables, table: str, key: str) -> float:
    """A number that is already there; ValueError when it is missing or no plain number."""
    value = tables[table][key]
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e6:
        raise ValueError(key)
    return float(value)


def always(value: Any) -> Callable[[Tables], Any]:
    """A value that rests on nothing else."""
    return lambda tables: value
