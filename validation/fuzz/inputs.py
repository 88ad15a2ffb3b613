"""Drawn inputs: a command as typed, the files beside it, and what it may answer."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from thermo.files import tables
from thermo.files.template import TEMPLATE
from thermo.flame import StrategyName
from thermo.study.causes import SYMPTOMS
from validation.fuzz.cases import Tables, as_toml, draw_case, number, range_of
from validation.fuzz.spoil import spoil_tables, spoil_text

LEGAL, SPOILT, WILD = "legal", "spoilt", "wild"
"""Every value legal, though parts may not fit; certainly not; either."""
COMMANDS = {
    "heat": 34,
    "check": 23,
    "fill": 21,
    "list": 5,
    "new": 5,
    "compare": 3,
    "rods": 3,
    "sizes": 3,
    "diagnose": 3,
}
"""How often each command is drawn, of a hundred."""
STUDIES = ("compare", "rods", "sizes", "diagnose")
LISTS = ("solids", "fillers", "fluxes", "flames", "torches", "colours")
CASE = "case.toml"
TORCH = "torch.toml"


@dataclass(frozen=True)
class Input:
    """One input.

    Attributes
    ----------
    number : int
    words : tuple of str
        Command and options, as typed.
    files : dict
        Content of each file beside it.
    kind : str
        `LEGAL`, `SPOILT` or `WILD`.
    named : str
        Key or option that a refusal must name; empty where that is open.
    case : dict or None
        Tables of the case file, where it was written from some.
    """

    number: int
    words: tuple[str, ...]
    files: dict[str, bytes]
    kind: str
    named: str = ""
    case: Tables | None = None

    @property
    def command(self) -> str:
        """Name of the command."""
        return self.words[0]


def draw_input(seed: int, index: int) -> Input:
    """The input of a number, the same for a seed at any time."""
    rng = Random(f"{seed}/{index}")
    command = rng.choices(list(COMMANDS), list(COMMANDS.values()))[0]
    words = [command, *_options(rng, command)]
    fate = rng.choices(["legal", "tables", "text", "words"], [36, 30, 20, 14])[0]
    if fate == "words" or CASE not in words:
        kind, named = LEGAL, ""
        if fate != "legal":
            words, named = _spoil_words(rng, words)
            kind = SPOILT
        case = draw_case(rng)
        return Input(index, tuple(words), {CASE: as_toml(case).encode()}, kind, named, case)
    case = draw_case(rng)
    files: dict[str, bytes] = {}
    if rng.random() < 0.05:
        own = {key: value for key, value in case["torch"].items() if rng.random() < 0.8}
        files[TORCH] = as_toml({"torch": own}).encode()
        case["torch"]["torch_file"] = TORCH
    if fate == "text":
        text = TEMPLATE if rng.random() < 0.2 else as_toml(case)
        return Input(index, tuple(words), files | {CASE: spoil_text(rng, text)}, WILD)
    kind, named = LEGAL, ""
    if fate == "tables":
        case, named = spoil_tables(rng, case)
        kind = SPOILT
    return Input(index, tuple(words), files | {CASE: as_toml(case).encode()}, kind, named, case)


def _options(rng: Random, command: str) -> list[str]:
    """What follows a command, all of it legal."""
    if command == "new":
        return [rng.choice(["fresh.toml", "ganymed.toml"]), *_json(rng)]
    if command == "list":
        return [rng.choice(LISTS), *_json(rng)]
    words = [CASE, *_json(rng)]
    if command == "check":
        return words
    if rng.random() < 0.97:  # pictures take seconds
        words.append("--no-pictures")
    if rng.random() < 0.2:
        words += ["--out", rng.choice(["out", "new/folder", "x" * 60])]
    if command == "fill":
        return words
    words += ["--accuracy", rng.choices(["quick", "normal"], [95, 5])[0]]
    most = "0" if command == "diagnose" else "4"  # members take seconds, and processes
    words += ["--members", rng.choices(["0", most], [95, 5])[0]]
    if command in STUDIES:
        words += ["--workers", "1"]
    if command == "rods" or (command == "sizes" and rng.random() < 0.2):
        words += ["--rods", _diameters(rng, tables.Rod, 0.3)]
    if command == "sizes":
        words += ["--balls", _diameters(rng, tables.Ball, 0.8)]
        if rng.random() < 0.3:
            words += ["--torch", rng.choice(["pocket", "pencil", "hand"])]
    if command == "diagnose":
        for symptom in rng.sample(list(SYMPTOMS), rng.choice([1, 1, 2])):
            words += ["--seen", symptom]
    if command == "heat" and rng.random() < 0.2:
        words += ["--way", rng.choice([*StrategyName, "farside", "Mouth"])]
    if command in ("heat", "compare") and rng.random() < 0.08:
        case = [f"{number(rng, range_of(model, 'diameter_mm'))}" for model in _MODELS]
        words[0:1] = [
            "--ball",
            case[0],
            "--rod",
            case[1],
            "--torch",
            rng.choice(["hand", "pencil"]),
        ]
    return words


_MODELS: tuple[type[tables.Table], ...] = (tables.Ball, tables.Rod)


def _json(rng: Random) -> list[str]:
    return ["--json"] if rng.random() < 0.6 else []


def _diameters(rng: Random, model: type[tables.Table], share: float) -> str:
    """One to three diameters, seldom beyond a share of the range."""
    allowed = range_of(model, "diameter_mm")
    found = [number(rng, allowed) for _ in range(rng.choice([1, 1, 2, 3]))]
    return ",".join(f"{min(size, share * allowed.high):g}" for size in found)


def _spoil_words(rng: Random, words: list[str]) -> tuple[list[str], str]:
    """A command line with one fault, and what a refusal must name."""
    command = words[0]
    faults = [([*words, "--colour"], "--colour"), ([*words, "--colour", "red"], "--colour")]
    if command == "list":
        faults += [([command], ""), ([command, "metals"], "metals")]
    elif command == "new":
        faults += [([command], ""), ([command, CASE], CASE)]
    elif CASE in words:
        at = words.index(CASE)
        faults += [([*words[:at], name, *words[at + 1 :]], name) for name in ("gone.toml", ".")]
    if "--accuracy" in words:
        wrong = {
            "--accuracy": ["rough", "", "0", "\x1b[31m"],
            "--members": ["7", "-1", "x", "1e3"],
            "--out": ["", " ", CASE, f"{CASE}/deeper", "y" * 300],
        }
        if command in STUDIES:
            wrong["--workers"] = ["0", "65", "-1", "many"]
        if command in ("rods", "sizes"):
            wrong["--rods"] = ["", "a", "1,,2", "nan", "inf", "1e9", "-1", ",".join(["1"] * 25)]
        if command == "heat":
            wrong["--way"] = ["", "sideways", "\x1b[31m"]
        if command == "diagnose":
            wrong["--seen"] = ["", "rain", "gap-dri", "\x1b[31m"]
        option = rng.choice(list(wrong))
        value = rng.choice(wrong[option])
        faults += [([*words, option, value], "" if option == "--out" else option)]
        faults += [([*words, option], option)]
    return rng.choice(faults)
