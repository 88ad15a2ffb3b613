"""What a case leaves open of its torch: the value taken for each key, and why."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from thermo.files.rules import Rule, Tables, always, number
from thermo.files.tables import COMMON, CONE_MM
from thermo.flame import Torch
from thermo.matter import Flame, Record, TorchKind, get_flame, get_torch_kind, torch_kinds

CONE = (
    "by the flow: the area of a laminar cone goes with fuel and air through the mouth, so of the "
    "kind's cone at the kind's flow, 1 mm at least; measure yours (cone method of burning velocity)"
)
OF_KIND = "taken for the kind of torch (assumed, no source)"


def _kind(tables: Tables) -> str | None:
    """The kind whose usual fuel rate is nearest, for a torch given by its own numbers."""
    torch = tables["torch"]
    if "fuel" not in torch or "nozzle_mm" not in torch:
        return None
    rate = max(number(tables, "torch", "fuel_rate_g_per_h"), 1.0) / 3.6e6
    flame = flame_of(tables)
    kinds = [get_torch_kind(name) for name in torch_kinds()]
    usual = {
        kind.name: kind.fuel_rate_of(flame)[0] if flame else kind.fuel_rate.value for kind in kinds
    }
    return min(usual, key=lambda name: abs(math.log(rate / usual[name])))


def flame_of(tables: Tables) -> Flame | None:
    """Flame of the fuel that is named; None where none is, or a faulty one, told elsewhere."""
    try:
        return get_flame(tables["torch"]["fuel"])
    except (LookupError, TypeError, AttributeError):
        return None


def _of_kind(read: Callable[[TorchKind], Any]) -> Callable[[Tables], Any]:
    """A kind's usual value; None with a fuel that no usual kind may stand for."""

    def value(tables: Tables) -> Any:
        flame, kind = flame_of(tables), get_torch_kind(tables["torch"]["kind"])
        return read(kind) if flame is None or flame.usual else None

    return value


def _cone_of_kind(tables: Tables) -> float | None:
    """The kind's cone, where fuel rate, mouth and air are the kind's too or the torch is off."""
    torch, kind = tables["torch"], get_torch_kind(tables["torch"]["kind"])
    usual = (3.6e6 * kind.fuel_rate.value, _mm(kind.bore), kind.primary_air.value)
    keys = ("fuel_rate_g_per_h", "nozzle_mm", "primary_air")
    given = [number(tables, "torch", key) for key in keys]
    alike = all(math.isclose(a, b, rel_tol=1e-3) for a, b in zip(given, usual, strict=True))
    if not alike and torch["fuel_rate_g_per_h"] > 0:
        return None
    flame = flame_of(tables)
    return _mm(kind.cone_length) if flame is None or flame.usual else None


def _cone_of_flow(tables: Tables) -> float | None:
    """Cone of the kind's burning velocity at the torch's own flow, within what a case may give."""
    flame, kind = flame_of(tables), get_torch_kind(tables["torch"]["kind"])
    if flame is None or not flame.usual:
        return None
    rate, air, bore = (  # what is out of range is told later
        min(max(number(tables, "torch", key), 1e-3), 1e6)
        for key in ("fuel_rate_g_per_h", "primary_air", "nozzle_mm")
    )
    mixture, bore = rate / 3.6e6 * (1.0 + air * flame.oxidant_per_fuel), bore / 1e3
    cone = 1e3 * Torch.of_kind(kind.name).cone_with(mixture, bore)
    low, high = CONE_MM
    return round(min(max(cone, low), high), 2)


def _mm(length: Record) -> float:
    return round(length.value * 1e3, 2)


TORCH_RULES = (
    # in the order in which one rests on another
    Rule("torch", "kind", _kind, "nearest by fuel rate; what is left open is as of it", 90),
    Rule("torch", "fuel", _of_kind(lambda kind: kind.fuel), "usual for the kind of torch", 60),
    Rule(
        "torch",
        "fuel_rate_g_per_h",
        _of_kind(lambda kind: round(kind.fuel_rate.value * 3.6e6, 2)),
        "middle of what the kind burns, yours may burn half or twice as much: weigh the torch "
        f"before and after a timed burn ({COMMON})",
        100,
    ),
    Rule(
        "torch",
        "tip_temperature_C",
        _of_kind(lambda kind: kind.tip_temperature_C.value),
        f"usual for the kind of torch ({COMMON})",
        87,
    ),
    Rule("torch", "nozzle_mm", _of_kind(lambda kind: _mm(kind.bore)), OF_KIND, 80),
    Rule("torch", "primary_air", _of_kind(lambda kind: kind.primary_air.value), OF_KIND, 79),
    Rule("torch", "cone_mm", _cone_of_kind, OF_KIND, 21),
    Rule("torch", "cone_mm", _cone_of_flow, CONE, 21),
    Rule("torch", "gas_temperature_factor", always(1.0), "not fitted to your own torch", 86),
    Rule("torch", "transfer_factor", always(1.0), "not fitted to your own torch", 85),
)
