"""How much filler a joint wants, as JSON values."""

from __future__ import annotations

from typing import Any

from thermo.braze import Volumes
from thermo.braze.pieces import measured
from thermo.files import Case
from thermo.show.documents.parts import head
from thermo.show.wording.fill import WHOLE, assumed
from thermo.show.wording.fill_notes import (
    MM,
    MM2,
    MM3,
    notes,
)
from thermo.study.fill import Fill

SCHEMA = "brazeclock/fill/1"


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
