"""What a case leaves open: the value taken for each key, and why."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from thermo.files.errors import with_unit
from thermo.files.phases import phases
from thermo.files.tables import COMMON, CONE_MM, ROD_LENGTH_MM, Assumed
from thermo.files.threads import thread_for
from thermo.flame import Torch
from thermo.matter import Flame, Record, TorchKind, constant, get_flame, get_torch_kind, torch_kinds
from thermo.shape import Joint

USUAL_GAP_MM = (0.05, 0.13)
"""Gap per side for silver fillers with flux (`HANDBOOK`)."""
WIDEST_STRONG_GAP_MM = 0.127
USUAL_COAT_MM = 0.3
GAP_PER_SIDE_MM = USUAL_GAP_MM[0]
DEPTH_BEYOND_CENTRE = 0.1
CONE = (
    "by the flow: the area of a laminar cone goes with fuel and air through the mouth, so of the "
    "kind's cone at the kind's flow, 1 mm at least; measure yours (cone method of burning velocity)"
)
OF_KIND = "taken for the kind of torch (assumed, no source)"
HANDBOOK = "Machinery's Handbook, 31st ed., Table 1a"
THREAD = (
    "metric thread that suits the rod best by its mean gap (sizes from memory of ISO 261); a "
    "tapped hole is wider by its tolerance (ISO 965-1)"
)
STAY_SOFT = (
    "steel that hardens again is told with its time; it is a limit only with stay_soft = true, for "
    "a part to be drilled, tapped or bent after brazing"
)
DEFAULT_ALLOY = "Ag 156"
KEYS = {"ball": "second_ball", "clamp": "clamp"}
"""Table that each kind of the rod's far end needs."""
ALWAYS_THERE = ("ball", "rod", "filler", "flux", "torch", "setting")

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


def _constant(value: Any) -> Callable[[Tables], Any]:
    return lambda tables: value


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


def _thread(place: int) -> Callable[[Tables], float | None]:
    """Nominal diameter (0) or pitch (1) of a threaded hole, by what is given of it."""

    def value(tables: Tables) -> float | None:
        ball = tables["ball"]
        if ball["hole"] != "threaded":
            return None
        keys = ("hole_diameter_mm", "thread_pitch_mm")
        nominal, pitch = (number(tables, "ball", key) if key in ball else None for key in keys)
        usual = USUAL_GAP_MM[0], min(USUAL_GAP_MM[1], WIDEST_STRONG_GAP_MM)
        found = thread_for(number(tables, "rod", "diameter_mm"), usual, nominal, pitch)
        return None if found is None else found[place]

    return value


def _unless_threaded(value: Callable[[Tables], Any]) -> Callable[[Tables], Any]:
    return lambda tables: None if tables["ball"]["hole"] == "threaded" else value(tables)


def _mm(length: Record) -> float:
    return round(length.value * 1e3, 2)


def _hole_diameter(tables: Tables) -> float:
    return round(number(tables, "rod", "diameter_mm") + 2 * GAP_PER_SIDE_MM, 3)


def _hole_depth(tables: Tables) -> float:
    radius = number(tables, "ball", "diameter_mm") / 2
    flat = number(tables, "ball", "flat_diameter_mm") / 2
    centre = math.sqrt(radius**2 - flat**2)
    return round(centre + DEPTH_BEYOND_CENTRE * 2 * radius, 3)


def _ball_diameter(tables: Tables) -> float:
    return number(tables, "ball", "diameter_mm")


def _between(tables: Tables) -> float | None:
    """Rod between the mouths of two balls; None where there is but one, or no room."""
    if "second_ball" not in tables:
        return None
    ball, rod = tables["ball"], tables["rod"]
    left = Joint(
        ball_diameter=number(tables, "ball", "diameter_mm"),
        hole=ball["hole"],
        hole_diameter=number(tables, "ball", "hole_diameter_mm"),
        hole_depth=number(tables, "ball", "hole_depth_mm"),
        rod_diameter=number(tables, "rod", "diameter_mm"),
        rod_length=1.0,
        flat_diameter=number(tables, "ball", "flat_diameter_mm"),
        thread_pitch=number(tables, "ball", "thread_pitch_mm"),
        stand_off=float(rod["stand_off_mm"]),
        second_ball_diameter=number(tables, "second_ball", "diameter_mm"),
    ).room(number(tables, "second_ball", "spacing_mm"))
    low, high = ROD_LENGTH_MM
    return round(left, 3) if low <= left <= high else None


def _clamp_at(tables: Tables) -> float:
    length = number(tables, "rod", "length_mm")
    return round(length / 2, 3) if "second_ball" in tables else length


def _same_alloy(tables: Tables) -> str | None:
    alloy = tables["filler"].get("alloy", DEFAULT_ALLOY)
    return None if _own_range(tables) else alloy


def _if_clamped(value: Callable[[Tables], Any]) -> Callable[[Tables], Any]:
    return lambda tables: value(tables) if "clamp" in tables else None


def _alloy(tables: Tables) -> str | None:
    return None if _own_range(tables) else DEFAULT_ALLOY


def _own_range(tables: Tables) -> bool:
    return bool({"solidus_C", "liquidus_C"} & set(tables["filler"]))


def _sheet(tables: Tables) -> float | None:
    return 0.2 if tables["filler"]["form"] == "sheet" else None


def _flux_type(tables: Tables) -> str | None:
    return None if "range_C" in tables["flux"] else "FH10"


RULES = (
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
    Rule("torch", "gas_temperature_factor", _constant(1.0), "not fitted to your own torch", 86),
    Rule("torch", "transfer_factor", _constant(1.0), "not fitted to your own torch", 85),
    Rule("rod", "material", _constant("carbon-steel"), f"mild steel rod ({COMMON})", 36),
    Rule("rod", "stand_off_mm", _constant(0.0), "rod pushed home", 20),
    Rule("rod", "eccentricity", _constant(0.0), "rod taken as central", 25),
    Rule(
        "rod",
        "far_end",
        lambda tables: next((end for end in ("ball", "clamp") if KEYS[end] in tables), "free"),
        "a ball or a clamp only where [second_ball] or [clamp] is given; a clamp within 20 mm "
        "costs many seconds",
        45,
    ),
    Rule("ball", "material", _constant("100Cr6"), f"bought balls are bearing steel ({COMMON})", 34),
    Rule("ball", "hole", _constant("blind"), f"usual for a ball on a rod's end ({COMMON})", 42),
    Rule("ball", "thread_pitch_mm", _unless_threaded(_constant(0.0)), "no thread", 1),
    Rule("ball", "thread_pitch_mm", _thread(1), THREAD, 69),
    Rule("ball", "hole_diameter_mm", _thread(0), THREAD, 70),
    Rule(
        "ball",
        "hole_diameter_mm",
        _unless_threaded(_hole_diameter),
        f"rod plus {2 * GAP_PER_SIDE_MM:g} mm, a gap of {GAP_PER_SIDE_MM:g} mm per side, the "
        f"least of the usual {USUAL_GAP_MM[0]:g} to {USUAL_GAP_MM[1]:g} mm ({HANDBOOK})",
        70,
    ),
    Rule("ball", "flat_diameter_mm", _constant(0.0), "no flat", 22),
    Rule(
        "ball",
        "hole_depth_mm",
        _hole_depth,
        f"to {DEPTH_BEYOND_CENTRE:g} ball diameters beyond the ball's centre ({COMMON})",
        50,
    ),
    Rule("ball", "point_angle_deg", _constant(118.0), f"usual twist drill ({COMMON})", 12),
    Rule("ball", "vent_diameter_mm", _constant(0.0), "no vent", 11),
    Rule("ball", "stay_soft", _constant(False), STAY_SOFT, 7),
    Rule("rod", "stay_soft", _constant(False), STAY_SOFT, 7),
    Rule("second_ball", "diameter_mm", _ball_diameter, "as large as the ball", 37),
    Rule("second_ball", "filler", _same_alloy, "the case's own filler", 36),
    Rule("rod", "length_mm", _between, "what spacing_mm leaves between the balls' mouths", 38),
    Rule(
        "rod",
        "length_mm",
        _constant(40.0),
        "two fin lengths √(k d / 4 h) of a 2.4 mm steel rod at k 35 W/(m K) and h 50 W/(m² K): a "
        "longer one changes little",
        38,
    ),
    Rule(
        "clamp",
        "at_mm",
        _if_clamped(_clamp_at),
        "at the rod's far end, or midway to a second ball",
        40,
    ),
    Rule(
        "clamp",
        "conductance_W_K",
        _if_clamped(lambda tables: constant("contact", "clamp").value),
        f"between a light (0.01) and a firm (0.1) grip ({COMMON})",
        39,
    ),
    Rule("filler", "alloy", _alloy, f"flows low and holds no cadmium ({COMMON})", 65),
    Rule("filler", "form", _constant("wire"), COMMON, 3),
    Rule("filler", "wire_diameter_mm", _constant(0.5), COMMON, 5),
    Rule("filler", "sheet_mm", _sheet, COMMON, 5),
    Rule("filler", "length_mm", _constant("auto"), "as much as the joint takes", 4),
    Rule("filler", "place", _constant("mouth"), "a ring or snip laid at the mouth", 10),
    Rule("filler", "azimuth_deg", _constant(0.0), "angles are counted from the filler", 2),
    Rule("flux", "type", _flux_type, f"general-purpose silver-brazing flux ({COMMON})", 55),
    Rule("flux", "coat_mm", _constant(USUAL_COAT_MM), f"a thin brushed coat ({COMMON})", 68),
    Rule(
        "flux",
        "water_fraction",
        lambda tables: constant("coat", "water-fraction").value,
        f"paste as brushed on ({COMMON})",
        52,
    ),
    Rule("flux", "dried", _constant(False), "flux still damp when the flame comes", 51),
    Rule("setting", "ambient_C", _constant(20.0), "a usual room", 15),
    Rule("setting", "support", _constant("free"), "nothing but the rod holds the ball", 48),
    Rule("setting", "attitude", _constant("ball-up"), COMMON, 14),
    Rule("setting", "light", _constant("dim"), "steel's own glow is seen in dim light only", 13),
)

NO_AZIMUTH = (
    "changes nothing here: the flame's sides are counted from the filler, and a central rod is the "
    "same to all sides. Which side the flame comes from is the way of holding it (`heat --way`)"
)
NO_ATTITUDE = (
    "tells where surplus filler runs; ball and rod cool in still air as a sphere and a level rod"
)


def complete(tables: Tables) -> tuple[Tables, tuple[Assumed, ...]]:
    """Fill in what a case leaves open.

    Parameters
    ----------
    tables : dict
        Tables in base units; values may still be of any kind, faults are found later.

    Returns
    -------
    tuple
        The filled tables, and what was assumed, most influential first.
    """
    filled: Tables = {name: {} for name in ALWAYS_THERE} | {"title": "", "note": "", "strategy": []}
    filled |= {
        key: dict(value) if isinstance(value, dict) else value for key, value in tables.items()
    }
    if isinstance(filled["rod"], dict) and filled["rod"].get("far_end") == "clamp":
        filled.setdefault("clamp", {})
    assumed = _unused(filled)
    for rule in RULES:
        table = filled.get(rule.table)
        if table is None or not isinstance(table, dict) or rule.key in table:
            continue
        value = _applied(rule, filled)
        if value is not None:
            table[rule.key] = value
            text = with_unit(rule.key, value)
            assumed.append(Assumed(f"{rule.table}.{rule.key}", text, rule.why, rule.weight))
    assumed += phases(filled)
    return filled, tuple(sorted(assumed, key=lambda item: -item.weight))


def _applied(rule: Rule, tables: Tables) -> Any:
    """A rule's value; None while what it rests on is missing or faulty."""
    try:
        return rule.value(tables)
    except (LookupError, TypeError, ValueError, AttributeError):
        return None


def _unused(tables: Tables) -> list[Assumed]:
    """Values the case gives that change nothing yet."""
    found, setting = [], tables["setting"]
    if isinstance(setting, dict) and "attitude" in setting:
        given = with_unit("attitude", setting["attitude"])
        found.append(Assumed("setting.attitude", given, NO_ATTITUDE, 8))
    azimuth = _turned_in_vain(tables)
    if azimuth is not None:
        found.append(
            Assumed("filler.azimuth_deg", with_unit("azimuth_deg", azimuth), NO_AZIMUTH, 9)
        )
    return found


def _turned_in_vain(tables: Tables) -> float | None:
    """Azimuth given to the filler beside a central rod, where all turns with it; None for none."""
    filler, rod = tables["filler"], tables["rod"]
    if not isinstance(filler, dict) or not isinstance(rod, dict) or rod.get("eccentricity", 0) != 0:
        return None
    given = filler.get("azimuth_deg", 0)
    if isinstance(given, bool) or not isinstance(given, int | float) or not abs(given) < math.inf:
        return None
    return given if given % 360 else None
