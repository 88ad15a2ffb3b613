"""What a maker most likely meant by a number or a line that cannot be read."""

from __future__ import annotations

import re

from thermo.constants import MM_PER_INCH
from thermo.files.threads import COARSE

NUMBER = re.compile(
    r"""(?P<whole>[+-]?\d+)(?:(?P<mark>[.,])(?P<part>\d+))?(?:/(?P<under>\d+))?
    \s*(?P<unit>mm|millimet(?:re|er)s?|inch(?:es)?|in|"|''|°?C|deg|s|sec|g/h|g|%)?""",
    re.VERBOSE | re.IGNORECASE,
)
VALUE = re.compile(r"\s*(?P<key>[\w.-]+)\s*=\s*(?P<value>.*?)\s*(?:#.*)?")
WORD = re.compile(r"[A-Za-z][\w -]*")
THREAD = re.compile(r"M(?P<size>\d+(?:\.\d+)?)(?:\s*[x×]\s*(?P<pitch>\d*\.?\d+))?", re.IGNORECASE)
TRUTH = ("true", "false", "inf", "nan")
INCHES = ("in", "inch", "inches", '"', "''")


def meant(text: str) -> str | None:
    """The number that a text most likely stands for, as it is to be written; None for none.

    A decimal comma, a unit behind the number, inches and their fractions are understood.
    """
    found = NUMBER.fullmatch(text.strip())
    if found is None or (found["under"] is not None and not int(found["under"])):
        return None
    value = float(f"{found['whole']}.{found['part'] or 0}")
    inches = (found["unit"] or "").lower() in INCHES
    if found["under"] is not None:
        value, inches = value / int(found["under"]), True
    return f"{MM_PER_INCH * value if inches else value:.6g}"


def instead(text: str) -> str:
    """A sentence's end that says what to write instead of a text; empty where nobody knows."""
    number = meant(text)
    return "" if number is None else f"; write {number}, a plain number: the unit is in the key"


def in_line(line: str) -> str:
    """What to write instead of a line that is no TOML; empty where nobody knows."""
    found = VALUE.fullmatch(line)
    if found is None:
        return ""
    value = found["value"].strip("\"'") if '"' in found["value"][:1] else found["value"]
    number = meant(value) or meant(found["value"])
    if number is not None:
        return f"; write {found['key']} = {number}, a plain number: the unit is in the key"
    if WORD.fullmatch(value) and value not in TRUTH:
        return f'; put quotes round a word: {found["key"]} = "{value}"'
    return ""


def as_thread(value: object) -> str:
    """What to write instead of a thread's name, "M3" or "M3 x 0.5"; empty where it is none."""
    found = THREAD.fullmatch(value.strip()) if isinstance(value, str) else None
    if found is None:
        return ""
    pitch = found["pitch"] or COARSE.get(float(found["size"]))
    last = "" if pitch is None else f" and thread_pitch_mm = {float(pitch):g}"
    return f'; write hole = "threaded", hole_diameter_mm = {found["size"]}{last}'
