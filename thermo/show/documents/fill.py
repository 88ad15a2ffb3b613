"""How much filler a joint wants, as JSON values."""

from __future__ import annotations

from typing import Any

from thermo.braze import Volumes
from thermo.braze.filler.preforms import measured
from thermo.constants import IN_MM, IN_MM2, IN_MM3
from thermo.files import Case
from thermo.show.documents.base import Assumption, Number, Part
from thermo.show.documents.parts import Results, head
from thermo.show.wording.fill import WHOLE, assumed
from thermo.show.wording.fill_notes import notes
from thermo.study.fill import Fill

SCHEMA = "brazeclock/fill/1"


class StockPart(Part):
    """The filler at hand; of wire its diameter, of sheet its thickness."""

    alloy: str
    liquidus_C: Number
    cadmium: bool
    place: str
    form: str
    wire_diameter_mm: Number = None
    sheet_mm: Number = None


class RoomPart(Part):
    """Volumes [mm³]."""

    annulus: Number
    bottom: Number
    fillet: Number
    total: Number


class WantPart(Part):
    """Least that fills, aim, most; `with_bottom` should a bottom that stays hollow fill too."""

    least: Number
    aim: Number
    most: Number
    with_bottom: Number


class GivenPart(Part):
    """The filler given, and where it goes."""

    length_mm: Number
    volume_mm3: Number
    annulus_mm3: Number
    bottom_mm3: Number
    fillet_mm3: Number
    over_mm3: Number


class SnipsPart(Part):
    """How many pieces, and how long each, or its side where it is cut from sheet."""

    count: int
    length_mm: Number = None
    side_mm: Number = None


class FillDocument(Results):
    """Volumes cold and hot, lengths of wire or areas of sheet, pieces, notes."""

    assumed: list[Assumption]
    filler: StockPart
    clearance_mm: Number
    clearance_hot_mm: Number
    fillet_leg_mm: Number
    volumes_mm3: RoomPart
    volumes_hot_mm3: RoomPart
    wire_mm: WantPart | None = None
    sheet_mm2: WantPart | None = None
    given: GivenPart | None
    snips: SnipsPart | None
    proud_mm: Number
    notes: list[str]


def fill_document(found: Fill, case: Case) -> FillDocument:
    """Volumes [mm³] cold and hot, lengths of wire [mm] or areas of sheet [mm²], pieces, notes.

    Parameters
    ----------
    found : Fill
    case : Case
    """
    setup, need = found.setup, found.amount
    return FillDocument(
        **head(SCHEMA, case, setup),
        assumed=[Assumption.model_validate(item) for item in assumed(found, case)],
        filler=_stock(found, case),
        clearance_mm=IN_MM * setup.joint.clearance,
        clearance_hot_mm=IN_MM * need.clearance_hot,
        fillet_leg_mm=IN_MM * need.leg,
        volumes_mm3=_rooms(need.cold),
        volumes_hot_mm3=_rooms(need.hot),
        **_wants(found),
        given=_given(found),
        snips=_snips(found),
        proud_mm=IN_MM * found.stand_off,
        notes=notes(found),
    )


def _stock(found: Fill, case: Case) -> StockPart:
    setup, snip = found.setup, found.setup.snip
    size = "wire_diameter_mm" if snip.sheet is None else "sheet_mm"
    return StockPart(
        alloy=setup.filler.name,
        liquidus_C=setup.filler.liquidus_C,
        cadmium=setup.filler.cadmium,
        place=snip.place,
        form=case.filler.form,
        **{size: getattr(case.filler, size)},
    )


def _wants(found: Fill) -> dict[str, Any]:
    """Lengths of wire [mm] or areas of sheet [mm²], under the key that tells which."""
    need, snip = found.amount, found.setup.snip
    scale, name = (IN_MM, "wire_mm") if snip.sheet is None else (IN_MM2, "sheet_mm2")
    wants = dict(zip(("least", "aim", "most"), need.marks, strict=True)) | {WHOLE: need.aim}
    return {name: WantPart(**{k: scale * measured(snip, v) for k, v in wants.items()})}


def _rooms(rooms: Volumes) -> RoomPart:
    annulus, bottom, fillet = (IN_MM3 * v for v in (rooms.annulus, rooms.bottom, rooms.fillet))
    total = annulus + bottom + fillet
    return RoomPart(annulus=annulus, bottom=bottom, fillet=fillet, total=total)


def _given(found: Fill) -> GivenPart | None:
    """The filler given and where it goes."""
    if found.given is None:
        return None
    went = found.poured
    return GivenPart(
        length_mm=IN_MM * measured(found.setup.snip, found.given),
        volume_mm3=IN_MM3 * found.given,
        annulus_mm3=IN_MM3 * went.annulus,
        bottom_mm3=IN_MM3 * went.bottom,
        fillet_mm3=IN_MM3 * went.fillet,
        over_mm3=IN_MM3 * went.over,
    )


def _snips(found: Fill) -> SnipsPart | None:
    if found.pieces is None:
        return None
    name = "length_mm" if found.setup.snip.sheet is None else "side_mm"
    return SnipsPart(count=found.pieces.count, **{name: IN_MM * found.pieces.length})
