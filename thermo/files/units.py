"""Keys as written, `_mm` or `_in`, `_C` or `_F`, brought to millimetres and °C."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping
from typing import Any, get_args

from thermo.constants import MM_PER_INCH
from thermo.files.errors import Problem, shown
from thermo.files.tables import Table

LARGEST = 1e9
LONGEST_KEY = 60
BARE_KEY = re.compile(rf"[A-Za-z0-9_-]{{1,{LONGEST_KEY}}}")
WORD_KEYS = {"distance": "distance_mm", "length": "length_mm"}
"""Keys that carry a word, such as "cone-tip", need no unit."""

Place = tuple[str | int, ...]


class WrittenTables:
    """A file's tables in base units, and how each key was written.

    Parameters
    ----------
    raw : mapping
        Tables as TOML gives them; values may still be of any kind.
    model : type of Table
        The model of the whole file.

    Attributes
    ----------
    tables : dict
        The same tables, lengths in mm and temperatures in °C, under the model's own keys.
    problems : list of Problem
        Keys given twice in different units.
    """

    def __init__(self, raw: Mapping[str, Any], model: type[Table]) -> None:
        self.model = model
        self.problems: list[Problem] = []
        self._written: dict[Place, tuple[str, Any]] = {}
        self.tables = self._table(raw, model, ())

    def _table(self, raw: Mapping[str, Any], model: type[Table], place: Place) -> dict[str, Any]:
        table: dict[str, Any] = {}
        keys = spellings(model)
        for written, value in raw.items():
            key = keys.get(written, written)
            if written in WORD_KEYS and not isinstance(value, str):
                key = written
            if key in table:
                other = self._written[(*place, key)][0]
                text = f"is given as {other} too; keep one of the two"
                self.problems.append(Problem(dotted((*place, written)), text, value))
                continue
            self._written[(*place, key)] = (written, value)
            table[key] = self._value(written, value, nested(model, key), (*place, key))
        return table

    def _value(self, written: str, value: Any, model: type[Table] | None, place: Place) -> Any:
        if model is None:
            return in_base_unit(written, value)
        if isinstance(value, dict):
            return self._table(value, model, place)
        if isinstance(value, list):
            return [
                self._value(written, item, model, (*place, index))
                for index, item in enumerate(value)
            ]
        return value

    def wrote(self, place: Place) -> bool:
        """True when the file itself gives this value, or a table or array that holds it."""
        return place in self._written or isinstance(place[-1], int)

    def as_written(self, place: Place, value: object) -> tuple[str, object, str]:
        """Dotted key and value as the file has them, and the converted value if it differs."""
        written, raw = self._written.get(place, (None, value))
        if written is None:
            return dotted(place), value, ""
        base = in_base_unit(written, raw)
        unit = "mm" if written.endswith("_in") else "°C"
        converted = f"is {_rounded(base)} {unit}: " if base != raw and base == base else ""
        return dotted((*place[:-1], written)), raw, converted


def spellings(model: type[Table]) -> dict[str, str]:
    """Every way to write each key of a table, with the model's own key."""
    found: dict[str, str] = {}
    for key in model.model_fields:
        found[key] = key
        if key.endswith("_mm"):
            found[key[:-3] + "_in"] = key
        elif key.endswith("_C"):
            found[key[:-2] + "_F"] = key
    return found | {word: key for word, key in WORD_KEYS.items() if key in found}


def in_base_unit(written: str, value: Any) -> Any:
    """Millimetres from `_in`, °C from `_F`; anything that is no sane number is left alone.

    A pair is converted end by end. A lone `cue_F` is a half-width, so a difference.
    """
    if not written.endswith(("_in", "_F")):
        return value
    if isinstance(value, list):
        return [_converted(written, item, offset=32.0) for item in value]
    return _converted(written, value, offset=0.0 if written == "cue_F" else 32.0)


def _converted(written: str, value: Any, offset: float) -> Any:
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < LARGEST:
        return value
    return value * MM_PER_INCH if written.endswith("_in") else (value - offset) / 1.8


def _rounded(value: Any) -> str:
    ends = value if isinstance(value, list) else [value]
    return " to ".join(f"{end:.4g}" if isinstance(end, float) else shown(end) for end in ends)


def dotted(place: Iterable[str | int]) -> str:
    """A place such as ("strategy", 0, "phase", 1, "aim") as strategy[1].phase[2].aim."""
    text = ""
    for part in place:
        name = part if isinstance(part, int) or BARE_KEY.fullmatch(part) else shown(part)
        text += f"[{part + 1}]" if isinstance(part, int) else f".{name}" if text else str(name)
    return text


def nested(model: type[Table], key: str) -> type[Table] | None:
    """The model of the table, or array of tables, under a key; None for a plain value."""
    field = model.model_fields.get(key)
    return None if field is None else _table_in(field.annotation)


def _table_in(annotation: Any) -> type[Table] | None:
    if isinstance(annotation, type) and issubclass(annotation, Table):
        return annotation
    return next(filter(None, map(_table_in, get_args(annotation))), None)


def nearest(model: type[Table], place: Place) -> str | None:
    """The known key, or table, most like the last part of a place."""
    for part in place[:-1]:
        inner = model if isinstance(part, int) else nested(model, part)
        if inner is None:
            return None
        model = inner
    written = str(place[-1])[:LONGEST_KEY]
    known = [key for key in spellings(model) if key != written]
    return next(iter(difflib.get_close_matches(written, known, n=1, cutoff=0.0)), None)
