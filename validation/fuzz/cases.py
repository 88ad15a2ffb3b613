"""Cases over the whole accepted range of every key, drawn from the models of the case file."""

from __future__ import annotations

import json
from collections.abc import Iterator
from random import Random
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from thermo.files import tables
from thermo.files.fields import Known, Pair, PlusMinus, Range
from thermo.files.threads import THREAD_DEPTH
from thermo.matter import (
    filler_names,
    flame_names,
    flux_names,
    get_flame,
    get_torch_kind,
    solid_names,
    torch_kinds,
)

Tables = dict[str, Any]

NAMES = {
    "solids": solid_names,
    "fillers": filler_names,
    "fluxes": flux_names,
    "flames": lambda: sorted({name.rpartition("-")[0] for name in flame_names()}),
    "torches": torch_kinds,
}
AT_AN_END = 0.06  # share of numbers that are an end of their range
SMALLEST = 1e-7  # of the upper end, where the range begins at nothing
MOST_PHASES = 20


def draw_case(rng: Random) -> Tables:
    """A case whose values are each legal; its parts may still not fit, if seldom."""
    share = rng.choice([0.05, 0.2, 0.5])  # of the optional keys that are given
    case: Tables = {"ball": {}, "rod": {}, "torch": _torch(rng, share)}
    case["ball"], case["rod"] = _ball_and_rod(rng, share)
    for name, model in (("filler", tables.FillerTable), ("flux", tables.FluxTable)):
        case[name] = some_keys(rng, model, share)
    _choose_one(rng, case["filler"], case["flux"])
    case["setting"] = some_keys(rng, tables.SettingTable, share)
    end = rng.choices(["free", "clamp", "ball"], [6, 2, 1])[0]
    if end == "clamp":
        case["rod"]["far_end"] = "clamp"
        case["clamp"] = some_keys(rng, tables.ClampTable, share)
        _at_most(case["clamp"], "at_mm", case["rod"].get("length_mm", 40.0), 1.0)
    if end == "ball":
        case["second_ball"] = _second_ball(rng, case)
    if rng.random() < share / 2:
        case["uncertainty"] = some_keys(rng, tables.UncertaintyTable, 0.5)
    if rng.random() < 0.35:
        longest = case["rod"].get("length_mm", 2.0)
        case["strategy"] = [_strategy(rng, k, longest) for k in range(rng.choice([1, 1, 2]))]
    if rng.random() < share:
        case["title"] = rng.choice(["Venus on its arm", "Ganymed", "", "Mond, 3 mm ½ é", "x" * 200])
    return {name: table for name, table in case.items() if table or rng.random() < 0.5}


def some_keys(rng: Random, model: type[tables.Table], share: float) -> Tables:
    """Some of the keys of a table, each over its whole range."""
    fields = model.model_fields.items()
    return {key: draw_value(rng, field) for key, field in fields if rng.random() < share}


def draw_value(rng: Random, field: FieldInfo) -> Any:
    """A legal value of a key."""
    kind = next(iter(kinds(field)))
    if isinstance(kind, tuple):
        return rng.choice(kind)
    if isinstance(kind, Known):
        return rng.choice(list(NAMES[kind.listing]()))
    if isinstance(kind, PlusMinus):
        return number(rng, kind.half_width) if rng.random() < 0.5 else pair(rng, kind.pair)
    if isinstance(kind, Pair):
        return pair(rng, kind.range)
    if kind.words and rng.random() < 0.5:
        return rng.choice(kind.words)
    return number(rng, kind)


def kinds(field: FieldInfo) -> Iterator[Any]:
    """Kinds of value a key may hold: a range, a table of names, a tuple of words."""
    yield from (
        kind for kind in field.metadata if isinstance(kind, Range | Pair | PlusMinus | Known)
    )
    yield from _within(field.annotation)


def _within(annotation: Any) -> Iterator[Any]:
    if annotation is bool:
        yield (False, True)
    elif get_origin(annotation) is Literal:
        yield get_args(annotation)
    elif get_origin(annotation) is Annotated:
        yield from annotation.__metadata__
    else:
        for part in get_args(annotation):
            yield from _within(part)


def number(rng: Random, kind: Range) -> float:
    """A number of a range: by its logarithm where that spans a decade, at times an end."""
    low, high = kind.low, kind.high
    if rng.random() < AT_AN_END:
        return float(low if kind.below or rng.random() < 0.5 else high)
    if low > 0 and high >= 10 * low:
        found = low * (high / low) ** rng.random()
    elif low == 0 and rng.random() < 0.5:
        found = high * SMALLEST ** rng.random()
    else:
        found = rng.uniform(low, high)
    return min(max(float(f"{found:.4g}"), low), high if not kind.below else 0.999 * high)


def pair(rng: Random, kind: Range) -> list[float]:
    """Two numbers of a range, rising."""
    ends = sorted(number(rng, kind) for _ in range(2))
    return ends if ends[0] < ends[1] else [kind.low, kind.high]


def range_of(model: type[tables.Table], key: str) -> Range:
    """Range of a key that holds a number."""
    return next(kind for kind in kinds(model.model_fields[key]) if isinstance(kind, Range))


def _ball_and_rod(rng: Random, share: float) -> tuple[Tables, Tables]:
    """A ball and a rod that fits its hole."""
    ball, rod = (some_keys(rng, model, share) for model in (tables.Ball, tables.Rod))
    rod.pop("far_end", None)
    size = ball["diameter_mm"] = number(rng, range_of(tables.Ball, "diameter_mm"))
    most = min(12.0, 0.9 * size - 0.5)
    rod["diameter_mm"] = min(number(rng, Range(0.3, max(most, 0.3), "", "")), 12.0)
    gap = 0.004 * 100 ** rng.random()
    hole = rod["diameter_mm"] + 2 * gap
    if ball.get("hole") == "threaded":
        for key in ("hole_diameter_mm", "thread_pitch_mm"):
            ball.pop(key, None)
        if rng.random() < 0.7:
            pitch = ball["thread_pitch_mm"] = round(0.15 * hole, 3)
            hole = ball["hole_diameter_mm"] = round(hole + THREAD_DEPTH * pitch, 3)
    else:
        ball.pop("thread_pitch_mm", None)
        if "hole_diameter_mm" in ball:
            ball["hole_diameter_mm"] = round(hole, 4)
    depth = ball.get("hole_depth_mm")
    if ball.get("hole") == "through" or depth is None:
        ball.pop("hole_depth_mm", None)
        depth = size / 2
    else:
        depth = ball["hole_depth_mm"] = round(max(rng.uniform(0.05, 0.85) * size, 0.2), 3)
    if "flat_diameter_mm" in ball:
        ball["flat_diameter_mm"] = rng.choice([0.0, round(hole + 0.5 * (size - hole), 3)])
    if ball.get("hole") == "through":
        ball.pop("vent_diameter_mm", None)
    _at_most(ball, "vent_diameter_mm", 0.9 * rod["diameter_mm"], 0.0)
    _at_most(rod, "stand_off_mm", 0.5 * depth, 0.0)
    return ball, rod


def _second_ball(rng: Random, case: Tables) -> Tables:
    """A second ball on the rod, whose length it settles."""
    ball, rod = case["ball"], case["rod"]
    rod.pop("length_mm", None)
    rod["far_end"] = "ball"
    low = rod["diameter_mm"] + 0.5
    size = max(number(rng, range_of(tables.SecondBall, "diameter_mm")), low)
    between = number(rng, Range(*tables.ROD_LENGTH_MM, "", ""))
    spacing = (ball["diameter_mm"] + size) / 2 + between
    found = some_keys(rng, tables.SecondBall, 0.5)
    found["diameter_mm"] = min(size, 30.0)
    return found | {"spacing_mm": min(max(round(spacing, 2), 3.0), 400.0)}


def _choose_one(rng: Random, filler: Tables, flux: Tables) -> None:
    """Alloy or own melting range, wire or sheet, type or own range: never both."""
    for key in ("solidus_C", "liquidus_C"):
        filler.pop(key, None)
    if "alloy" not in filler and rng.random() < 0.3:
        ends = pair(rng, range_of(tables.FillerTable, "solidus_C"))
        filler["solidus_C"], filler["liquidus_C"] = ends
    if filler.get("form") == "sheet":
        filler.pop("length_mm", None)
    else:
        filler.pop("sheet_mm", None)
    if "range_C" in flux:
        flux.pop("type", None)


def _torch(rng: Random, share: float) -> Tables:
    """A kind of torch, or one by its own numbers: all of them, where no kind can stand for it."""
    torch = some_keys(rng, tables.TorchValues, share)
    if ("kind" not in torch and "fuel" not in torch) or rng.random() < 0.3:
        torch["kind"] = rng.choice(torch_kinds())
    fuel = torch.get("fuel", "") or get_torch_kind(torch["kind"]).fuel
    needed = ["fuel_rate_g_per_h", "nozzle_mm"] if "kind" not in torch else []
    if not get_flame(fuel).usual:
        needed = [key for key in tables.TorchValues.model_fields if key.endswith(("_h", "_mm"))]
        needed += ["tip_temperature_C", "primary_air"]
    for key in needed:
        torch.setdefault(key, number(rng, range_of(tables.TorchValues, key)))
    return torch


def _strategy(rng: Random, index: int, longest_mm: float) -> Tables:
    """A strategy of some phases, most often one or two."""
    count = rng.choices([1, 2, 3, MOST_PHASES], [50, 30, 18, 2])[0]
    phases = []
    for _ in range(count):
        phase = some_keys(rng, tables.PhaseTable, rng.choice([0.2, 0.7]))
        phase["until"] = draw_value(rng, tables.PhaseTable.model_fields["until"])
        phase["max_s"] = number(rng, range_of(tables.PhaseTable, "max_s"))
        if not isinstance(phase["until"], str):
            phase["max_s"] = max(phase["max_s"], phase["until"])
        if not isinstance(phase.get("aim", ""), str):
            phase["aim"] = min(phase["aim"], longest_mm)
        phases.append(phase)
    return {"name": f"way {index + 1}", "phase": phases}


def _at_most(table: Tables, key: str, most: float, least: float) -> None:
    if key in table:
        table[key] = round(max(min(table[key], most), least), 4)


def as_toml(case: Tables) -> str:
    """The tables as a file; values may be of any kind."""
    lines = [f"{_key(key)} = {_value(value)}" for key, value in case.items() if _plain(value)]
    for name, table in case.items():
        if isinstance(table, dict):
            lines += [
                "",
                f"[{_key(name)}]",
                *(f"{_key(k)} = {_value(v)}" for k, v in table.items()),
            ]
        elif not _plain(table):
            for strategy in table:
                lines += ["", f"[[{_key(name)}]]"]
                lines += [f"{_key(k)} = {_value(v)}" for k, v in strategy.items() if k != "phase"]
                for phase in strategy.get("phase", []):
                    lines += [f"[[{_key(name)}.phase]]"]
                    lines += [f"{_key(k)} = {_value(v)}" for k, v in phase.items()]
    return "\n".join(lines) + "\n"


def _plain(value: Any) -> bool:
    if isinstance(value, list):
        return not (value and isinstance(value[0], dict) and "phase" in value[0])
    return not isinstance(value, dict)


def _key(key: str) -> str:
    return key if key.replace("_", "").isalnum() and key.isascii() else json.dumps(key)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    return json.dumps(value) if isinstance(value, str) else repr(value)
