"""How much filler a joint wants, in words and as JSON values."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from rich.console import Group
from rich.table import Table
from rich.text import Text

from thermo.braze import Volumes
from thermo.braze.pieces import inside, measured
from thermo.files import Assumed, Case
from thermo.matter import constant
from thermo.show.cautions import cautions
from thermo.show.export import head
from thermo.show.fill_notes import (
    MM,
    MM2,
    MM3,
    PLACES,
    cut_into,
    figure,
    notes,
    stays,
    stock,
    take,
)
from thermo.show.printing import GRAVE, STRONG, columns, section
from thermo.show.words import assumed_line, hole, printable
from thermo.study.fill import Fill

SCHEMA = "brazeclock/fill/1"
WHOLE = "with_bottom"  # the aim, should a bottom that stays hollow fill too
BEARS = ("ball.", "rod.material", "rod.stand_off_mm", "filler.")
BEARS_NOT = ("filler.azimuth_deg",)


def fill_document(found: Fill, case: Case) -> dict[str, Any]:
    """Volumes [mm³] cold and hot, lengths of wire [mm] or areas of sheet [mm²], pieces, notes.

    Parameters
    ----------
    found : Fill
    case : Case
    """
    setup, need, snip = found.setup, found.amount, found.setup.snip
    wire = snip.sheet is None
    wants = dict(zip(("least", "aim", "most"), need.marks, strict=True)) | {WHOLE: need.aim}
    scale, name = (MM, "wire_mm") if wire else (MM2, "sheet_mm2")
    section_ = "wire_diameter_mm" if wire else "sheet_mm"
    return {
        **head(SCHEMA, case, setup),
        "assumed": [{"key": a.key, "value": a.value, "why": a.why} for a in assumed(found, case)],
        "filler": {
            "alloy": setup.filler.name,
            "liquidus_C": setup.filler.liquidus_C,
            "cadmium": setup.filler.cadmium,
            "place": snip.place,
            "form": case.filler.form,
            section_: getattr(case.filler, section_),
        },
        "clearance_mm": MM * setup.joint.clearance,
        "clearance_hot_mm": MM * need.clearance_hot,
        "fillet_leg_mm": MM * need.leg,
        "volumes_mm3": _volumes(need.cold),
        "volumes_hot_mm3": _volumes(need.hot),
        name: {word: scale * measured(snip, volume) for word, volume in wants.items()},
        "given": _given(found),
        "snips": _snips(found),
        "proud_mm": MM * found.proud,
        "notes": notes(found),
    }


def fill_text(found: Fill, case: Case) -> Group:
    """How much to take, how to cut it, what to mind, to be printed by rich.

    Parameters
    ----------
    found : Fill
    case : Case
        Gives the title and what was assumed.
    """
    setup = found.setup
    joint, filler = setup.joint, setup.filler
    return Group(
        Text(printable(case.title), STRONG),
        Text(
            f"{MM * joint.ball_diameter:g} mm ball of {setup.ball.name}, {hole(joint)}, "
            f"on a {MM * joint.rod_diameter:g} mm rod of "
            f"{setup.rod.name}; {filler.name}, all melted at {filler.liquidus_C:g} °C, "
            f"{PLACES[setup.snip.place]}."
        ),
        *section("Cautions", cautions(setup), GRAVE),
        Text(),
        Text(answer(found), STRONG),
        Text(),
        _rooms(found),
        Text(),
        _wants(found),
        *section("Mind", notes(found)),
        *section("Assumed", (assumed_line(item) for item in assumed(found, case))),
    )


def answer(found: Fill) -> str:
    """What to take and how to cut it, in a sentence or two."""
    given, need = found.given, found.amount
    if need.clearance_hot <= 0:
        return "No filler flows round this rod: the gap closes in the heat."
    least, aim, most = (take(found, volume) for volume in need.marks)
    pieces = cut_into(found)
    cut = f" ({pieces or 'feed it by hand'})" if given is None else ""
    words = f"Take {aim} of {stock(found)}{cut}, no less than {least}, no more than {most}."
    if need.stays_hollow:
        words = (
            f"Take {aim} of {stock(found)}{cut} for gap and fillet, no more than {most}: "
            f"{stays(found)}. Should it fill too, {take(found, need.aim)}."
        )
    if given is not None:
        words += f" The {take(found, given)} given {f'make {pieces}' if pieces else 'are fed'}."
    return words


def assumed(found: Fill, case: Case) -> list[Assumed]:
    """What bears on the amount and was assumed: by the case, then by the reckoning."""
    own = [a for a in case.assumed if a.key.startswith(BEARS) and a.key not in BEARS_NOT]
    names = [("fillet", "usual-leg"), ("fillet", "largest-leg")]
    if inside(found.setup.snip):
        names.append(("filler", "packing"))
    for group, name in names:
        record = constant(group, name)
        low, high = record.range
        value = f"{record.value:g} ({low:g} to {high:g})"
        own.append(Assumed(f"{group}.{name}", value, record.provenance, 0))
    return own


def _volumes(rooms: Volumes) -> dict[str, float]:
    annulus, bottom, fillet = (MM3 * v for v in (rooms.annulus, rooms.bottom, rooms.fillet))
    return {
        "annulus": annulus,
        "bottom": bottom,
        "fillet": fillet,
        "total": annulus + bottom + fillet,
    }


def _given(found: Fill) -> dict[str, float] | None:
    """The filler given and where it goes."""
    if found.given is None:
        return None
    went = found.poured
    return {
        "length_mm": MM * measured(found.setup.snip, found.given),
        "volume_mm3": MM3 * found.given,
        "annulus_mm3": MM3 * went.annulus,
        "bottom_mm3": MM3 * went.bottom,
        "fillet_mm3": MM3 * went.fillet,
        "over_mm3": MM3 * went.over,
    }


def _snips(found: Fill) -> dict[str, float] | None:
    if found.pieces is None:
        return None
    name = "length_mm" if found.setup.snip.sheet is None else "side_mm"
    return {"count": found.pieces.count, name: MM * found.pieces.length}


def _rooms(found: Fill) -> Table:
    need, at_C = found.amount, found.setup.filler.liquidus_C
    table = columns("Room for filler", "cold", f"at {at_C:g} °C", words=("Room for filler",))
    count = f"{len(need.seats)} fillets" if len(need.seats) > 1 else "fillet"
    for words, name in (
        ("gap round the rod", "annulus"),
        ("beyond the rod's tip", "bottom"),
        (f"{count}, {figure(MM * need.leg)} mm high", "fillet"),
        ("all", "total"),
    ):
        if getattr(need.cold, name) == 0:
            continue
        cells = (f"{figure(MM3 * getattr(rooms, name))} mm³" for rooms in (need.cold, need.hot))
        table.add_row(words, *cells)
    return table


def _wants(found: Fill) -> Table:
    table = columns("Filler", "hot", stock(found), "", words=("Filler", ""))
    for name, volume, words in rows(found):
        table.add_row(name, f"{figure(MM3 * volume)} mm³", take(found, volume), words)
    return table


def rows(found: Fill) -> Iterator[tuple[str, float, str]]:
    """Name, volume [m³] and meaning of least, aim, most, and of what is given."""
    need = found.amount
    bottom = "recess" if found.setup.joint.hole == "through" else "bottom"
    takes = need.cold.bottom > 0 and not need.stays_hollow
    least, aim, most = need.marks
    yield "least", least, f"just fills {f'gap and {bottom}' if takes else 'the gap'}"
    yield "aim", aim, "with a usual fillet"
    yield "most", most, "with the largest fillet that stands"
    if need.stays_hollow:
        yield WHOLE.replace("_", " "), need.aim, f"should it fill too: {stays(found)}"
    if found.given is not None:
        yield "given", found.given, "by the case"
