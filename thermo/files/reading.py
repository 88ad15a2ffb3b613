"""From a file on disk to validated tables; from any fault to lines a maker can act on."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from thermo.files.errors import MOST_LINES, NO_VALUE, CaseError, Problem
from thermo.files.hints import as_thread, in_line
from thermo.files.tables import Table
from thermo.files.units import Place, WrittenTables, dotted, nearest

LARGEST_FILE = 200_000
DEEPEST = 8
"""Parts of a dotted key, and brackets in brackets; no key of ours has more than four parts."""
LONGEST = 200
"""A line beyond this is not guessed at."""
QUOTED = re.compile(
    r'"""(?:\\.|[^\\])*?(?:"""|\Z)'
    r"|'''.*?(?:'''|\Z)"
    r'|"(?:\\.|[^"\\\n])*"?'
    r"|'[^'\n]*'?"
    r"|#[^\n]*",
    re.DOTALL,
)
"""Texts in quotes, closed or not, and remarks."""
T = TypeVar("T", bound=Table)


def load(path: str | Path) -> dict[str, Any]:
    """Tables of a TOML file, nothing checked yet.

    Raises
    ------
    CaseError
        When there is no such file, it cannot be read, or is no TOML.
    """
    source = str(path)
    text = text_of(path)
    if not text.strip():
        raise CaseError(source, [Problem("", "is empty; `brazeclock new FILE` writes a case")])
    if _nested_beyond(text, DEEPEST):
        reason = f"tables, arrays or dotted keys go more than {DEEPEST} deep; a case needs four"
        raise CaseError(source, [Problem("", reason)])
    try:
        tables = tomllib.loads(text)
    except (ValueError, RecursionError) as fault:
        reason = f"is not valid TOML: {_reason(fault)}{_hint(text, fault)}"
        raise CaseError(source, [Problem("", reason)]) from None
    if not tables:
        text = "holds nothing but comments; give at least [ball], [rod] and [torch]"
        raise CaseError(source, [Problem("", text)])
    return tables


def text_of(path: str | Path) -> str:
    """The file as text; no more of it is read than a case may hold.

    Raises
    ------
    CaseError
        There is no such file, or it is no text of ours.
    """
    source, path = str(path), Path(path)
    try:
        if path.is_dir():
            raise CaseError(source, [Problem("", "is a folder; name the file in it")])
        if not path.exists():
            raise CaseError(source, [Problem("", "no such file; check the name and the folder")])
        if not path.is_file():
            text = "is a pipe or a device; copy what it gives into a file and name that"
            raise CaseError(source, [Problem("", text)])
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
        if len(content) > LARGEST_FILE:
            size = max(path.stat().st_size, len(content))
            text = f"holds {size:,} bytes; no more than {LARGEST_FILE:,} are read, and a case "
            raise CaseError(source, [Problem("", f"{text}needs a few thousand")])
        return content.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as fault:
        text = f"is not UTF-8 text (byte {fault.start}); save it as UTF-8"
        raise CaseError(source, [Problem("", text)]) from None
    except OSError as fault:
        text = f"cannot be read: {fault.strerror or fault}"
        raise CaseError(source, [Problem("", text)]) from None
    except ValueError as fault:
        raise CaseError(source, [Problem("", f"is no file name: {fault}")]) from None


def _nested_beyond(text: str, most: int) -> bool:
    """True where brackets or dots of one key go deeper than `most`.

    A cheap look before the parser's, whose memory grows with the square of a key's parts.
    """
    marks = re.sub(r"[^][{}.,=\n]+", "", QUOTED.sub("", text))
    if "." * most in marks:
        return True
    depth = 0
    for mark in marks:
        depth += (mark in "[{") - (mark in "]}")
        if depth > most:
            return True
    return False


def _reason(fault: Exception) -> str:
    """What the parser says, without its hints for programmers."""
    if isinstance(fault, RecursionError):
        return "nested too deeply"
    if "integer string conversion" in str(fault):
        return "a whole number has thousands of digits"
    return str(fault)


def _hint(text: str, fault: Exception) -> str:
    """What to write instead, from the line that the parser names."""
    at = re.search(r"at line (\d+)", str(fault))
    lines = text.splitlines()
    if at is None or not 0 < int(at[1]) <= len(lines) or len(lines[int(at[1]) - 1]) > LONGEST:
        return ""
    return in_line(lines[int(at[1]) - 1])


def faults(
    tables: Mapping[str, Any], written: WrittenTables, required: Mapping[tuple[str, ...], str]
) -> list[Problem]:
    """What the model refuses, in a maker's words; empty when it accepts the tables.

    Parameters
    ----------
    tables : mapping
        Tables in base units, defaults filled in.
    written : WrittenTables
        The file they come from: its keys as written, its model, its own problems.
    required : mapping
        What to say of a key that must be given. Other faults of values that the file does not
        give come from a faulty one that it does give, which is told instead.
    """
    try:
        written.model.model_validate(tables)
    except ValidationError as refusal:
        errors = refusal.errors(include_url=False)
    else:
        return written.problems
    told = [error for error in errors if _to_tell(error, written, required)] or errors
    first = (_problem(error, written, required) for error in told[:MOST_LINES])
    rest = (Problem(dotted(error["loc"]), "is wrong as well") for error in told[MOST_LINES:])
    return [*written.problems, *first, *rest]


def validated(model: type[T], written: WrittenTables, source: str) -> T:
    """The file as its model; CaseError with every fault otherwise."""
    problems = faults(written.tables, written, {})
    if problems:
        raise CaseError(source, problems)
    return model.model_validate(written.tables)


def _problem(
    error: ErrorDetails, written: WrittenTables, required: Mapping[tuple[str, ...], str]
) -> Problem:
    place = error["loc"]
    if error["type"] == "missing":
        return Problem(dotted(place), f"is missing; {required.get(_names(place), 'give it')}")
    key, value, converted = written.as_written(place, error["input"])
    if error["type"] == "extra_forbidden":
        near = nearest(written.model, place)
        hint = f"; the nearest known is {near}" if near else ""
        return Problem(key, f"unknown {'table' if isinstance(value, dict) else 'key'}{hint}", value)
    return Problem(key, converted + _sentence(error), NO_VALUE if value is None else value)


def _to_tell(
    error: ErrorDetails, written: WrittenTables, required: Mapping[tuple[str, ...], str]
) -> bool:
    place = error["loc"]
    return written.wrote(place) or (error["type"] == "missing" and _names(place) in required)


def _names(place: Place) -> tuple[str, ...]:
    """A place without the counts of its arrays."""
    return tuple(part for part in place if isinstance(part, str))


def _sentence(error: ErrorDetails) -> str:
    """Our own sentence where a value was checked by us, else pydantic's in plainer words."""
    if error["type"] == "value_error":
        return str(error["ctx"]["error"])
    if error["type"] in ("model_type", "dict_type"):
        return "must be a table, written [name] on a line of its own"
    if error["type"] == "list_type":
        return "must be an array of tables, each written [[name]]"
    if error["type"] == "bool_type":
        return "must be true or false, without quotes"
    if error["type"] == "string_type":
        return "must be text in quotes"
    if error["type"] == "string_pattern_mismatch":
        return "must not be blank"
    if error["type"] == "too_short":
        return "is empty; give at least one"
    message = re.sub("^(Input|String|List) should", "must", error["msg"])
    thread = as_thread(error["input"]) if error["type"] == "literal_error" else ""
    return message.replace("'", '"') + thread
