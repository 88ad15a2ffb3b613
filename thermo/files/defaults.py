"""What a case leaves open: the value taken for each key, and why."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from thermo.files.errors import with_unit
from thermo.files.phases import phases
from thermo.files.rules import Rule, Tables, always, number
from thermo.files.tables import COMMON, ROD_LENGTH_MM, Assumed
from thermo.files.threads import thread_for
from thermo.files.torch_rules import TORCH_RULES
from thermo.matter import constant
from thermo.shape import Joint

USUAL_GAP_MM = (0.05, 0.13)
"""Gap per side for silver fillers with flux (`HANDBOOK`)."""
WIDEST_STRONG_GAP_MM = 0.127
USUAL_COAT_MM = 0.3
GAP_PER_SIDE_MM = USUAL_GAP_MM[0]
DEPTH_BEYOND_CENTRE = 0.1
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
    *TORCH_RULES,
    Rule("rod", "material", always("carbon-steel"), f"mild steel rod ({COMMON})", 36),
    Rule("rod", "stand_off_mm", always(0.0), "rod pushed home", 20),
    Rule("rod", "eccentricity", always(0.0), "rod taken as central", 25),
    Rule(
        "rod",
        "far_end",
        lambda tables: next((end for end in ("ball", "clamp") if KEYS[end] in tables), "free"),
        "a ball or a clamp only where [second_ball] or [clamp] is given; a clamp within 20 mm "
        "costs many seconds",
        45,
    ),
    Rule("ball", "material", always("100Cr6"), f"bought balls are bearing steel ({COMMON})", 34),
    Rule("ball", "hole", always("blind"), f"usual for a ball on a rod's end ({COMMON})", 42),
    Rule("ball", "thread_pitch_mm", _unless_threaded(always(0.0)), "no thread", 1),
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
    Rule("ball", "flat_diameter_mm", always(0.0), "no flat", 22),
    Rule(
        "ball",
        "hole_depth_mm",
        _hole_depth,
        f"to {DEPTH_BEYOND_CENTRE:g} ball diameters beyond the ball's centre ({COMMON})",
        50,
    ),
    Rule("ball", "point_angle_deg", always(118.0), f"usual twist drill ({COMMON})", 12),
    Rule("ball", "vent_diameter_mm", always(0.0), "no vent", 11),
    Rule("ball", "stay_soft", always(False), STAY_SOFT, 7),
    Rule("rod", "stay_soft", always(False), STAY_SOFT, 7),
    Rule("second_ball", "diameter_mm", _ball_diameter, "as large as the ball", 37),
    Rule("second_ball", "filler", _same_alloy, "the case's own filler", 36),
    Rule("rod", "length_mm", _between, "what spacing_mm leaves between the balls' mouths", 38),
    Rule(
        "rod",
        "length_mm",
        always(40.0),
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
    Rule("filler", "form", always("wire"), COMMON, 3),
    Rule("filler", "wire_diameter_mm", always(0.5), COMMON, 5),
    Rule("filler", "sheet_mm", _sheet, COMMON, 5),
    Rule("filler", "length_mm", always("auto"), "as much as the joint takes", 4),
    Rule("filler", "place", always("mouth"), "a ring or snip laid at the mouth", 10),
    Rule("filler", "azimuth_deg", always(0.0), "angles are counted from the filler", 2),
    Rule("flux", "type", _flux_type, f"general-purpose silver-brazing flux ({COMMON})", 55),
    Rule("flux", "coat_mm", always(USUAL_COAT_MM), f"a thin brushed coat ({COMMON})", 68),
    Rule(
        "flux",
        "water_fraction",
        lambda tables: constant("coat", "water-fraction").value,
        f"paste as brushed on ({COMMON})",
        52,
    ),
    Rule("flux", "dried", always(False), "flux still damp when the flame comes", 51),
    Rule("setting", "ambient_C", always(20.0), "a usual room", 15),
    Rule("setting", "support", always("free"), "nothing but the rod holds the ball", 48),
    Rule("setting", "attitude", always("ball-up"), COMMON, 14),
    Rule("setting", "light", always("dim"), "steel's own glow is seen in dim light only", 13),
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
