"""Ways to spoil a case: what its tables hold, how the file is written, what the command says."""

from __future__ import annotations

import copy
import math
from collections.abc import Callable
from random import Random
from typing import Any

from thermo.files import tables
from thermo.files.units import nested, spellings
from validation.fuzz.cases import Tables, range_of

ESCAPES = "\x1b[31m", "\x9b2J", "‮", "\u0007", "\x7f", "a\nError: b"
"""What must never reach a terminal as it is: control sequences, bidirectional overrides."""
LONGEST = 100_000
NUMBERS = ("diameter_mm", "length_mm", "coat_mm", "nozzle_mm", "ambient_C", "at_mm", "max_s")


def spoil_tables(rng: Random, case: Tables) -> tuple[Tables, str]:
    """A copy of a case with one fault that no reading may pass, and the key that has it."""
    case = copy.deepcopy(case)
    name = rng.choice([name for name, table in case.items() if isinstance(table, dict) and table])
    spoilt: tuple[Callable[..., str], ...] = (_type, _not_finite, _beyond, _unknown, _unit, _table)
    return case, rng.choice(spoilt)(rng, case, name)


def _type(rng: Random, case: Tables, name: str) -> str:
    key: str = rng.choice(sorted(case[name]))
    wrong: list[Any] = [[1, "a", []], {"a": 1}, [[1, 2]], ""]
    wrong += ["seven"] if isinstance(case[name][key], float) else [1.5, True]
    if isinstance(case[name][key], bool):
        wrong = ["true", 1, 0.0]
    case[name][key] = rng.choice(wrong)
    return key


def _not_finite(rng: Random, case: Tables, name: str) -> str:
    key: str = rng.choice(sorted(case[name]))
    case[name][key] = rng.choice([math.nan, math.inf, -math.inf])
    return key


def _beyond(rng: Random, case: Tables, name: str) -> str:
    """A number just or far outside, tiny or huge."""
    model = nested(tables.Case, name)
    assert model is not None
    key = rng.choice([key for key in model.model_fields if key in NUMBERS] or ["no_number"])
    if key == "no_number":
        return _unknown(rng, case, name)
    allowed = range_of(model, key)
    over = [allowed.high + 1e-3, 1e3 * allowed.high, 1e300, 10**400]
    under = [allowed.low - 1e-3, -1e300, -(10**400), -5e-324 if allowed.low == 0 else 5e-324]
    case[name][key] = rng.choice(over + under if allowed.low >= 0 else over)
    return key


def _unknown(rng: Random, case: Tables, name: str) -> str:
    """A key or a table that there is not, or one misspelt."""
    model = nested(tables.Case, name)
    assert model is not None
    key: str = rng.choice(sorted(case[name]))
    place = rng.randrange(len(key))
    wrong = rng.choice([key[:place] + key[place + 1 :], key + "s", "colour", key.upper() + "_"])
    if wrong in spellings(model) or not wrong:
        wrong = "colour"
    if rng.random() < 0.2:
        case[wrong] = {"a": 1}
    else:
        case[name][wrong] = case[name].pop(key)
    return wrong


def _unit(rng: Random, case: Tables, name: str) -> str:
    """A length in centimetres, a temperature in kelvin, a time in minutes."""
    key: str = rng.choice(sorted(case[name]))
    wrong = key.rpartition("_")[0] + rng.choice(["_cm", "_K", "_min", "_MM"])
    case[name][wrong] = case[name].pop(key)
    return wrong


def _table(rng: Random, case: Tables, name: str) -> str:
    """A value in place of a table, or an array of tables in place of one."""
    case[name] = rng.choice([3, "ball", True, [case[name]], []])
    return name


def spoil_text(rng: Random, text: str) -> bytes:
    """A file spoilt as a text: it may, by chance, still be a case."""
    kind, place = rng.randrange(9), rng.randrange(len(text))
    whole = text.encode()
    if kind == 0:  # a quote is missing
        at = [i for i, letter in enumerate(text) if letter == '"'] or [0]
        cut = rng.choice(at)
        return (text[:cut] + text[cut + 1 :]).encode()
    if kind == 1:
        return whole[:place]
    if kind == 2:
        return whole[:place] + bytes(rng.randrange(256) for _ in range(rng.randrange(1, 9)))
    if kind == 3:
        letter = rng.choice(["\0", *ESCAPES])
        return (text[:place] + letter + text[place:]).encode()
    if kind == 4:
        return "".join(chr(rng.randrange(32, 0x2FF)) for _ in range(rng.randrange(200))).encode()
    if kind == 5:
        lines = text.splitlines(keepends=True)
        return "".join([*lines, *rng.sample(lines, min(2, len(lines)))]).encode()
    if kind == 6:
        letters = list(text)
        for _ in range(rng.randrange(1, 4)):
            letters[rng.randrange(len(letters))] = rng.choice('="[]\n.#0-e')
        return "".join(letters).encode()
    if kind == 7:  # hostile words where a text is wanted
        shown = "".join(f"\\u{ord(letter):04x}" for letter in rng.choice(ESCAPES))
        hostile = (f'torch.torch_file = "{shown}"', f'filler.alloy = "{shown}"', f'"{shown}" = 1')
        kept: list[str] = [
            line for line in text.splitlines() if not line.startswith(("[torch", "[filler"))
        ]
        return "\n".join([rng.choice(hostile), *kept]).encode()
    length = int(LONGEST ** rng.random())  # bounded work, however long
    return rng.choice(
        [
            f"{'a.' * length}a = 1\n{text}",
            "".join(f"key{i} = {i}\n" for i in range(length // 2)) + text,
            "a = " + "[" * length + "]" * length,
            f'title = "{"x" * length}"\n{text}',
        ]
    ).encode()
