"""What becomes of the filler, as JSON values."""

from __future__ import annotations

from thermo.braze import Braze
from thermo.braze.filler.outcome import Dry
from thermo.constants import IN_MM, IN_MM3
from thermo.files.tables import SURPLUS
from thermo.show.documents.base import Number, Part
from thermo.show.wording.words import round_the_rod


class PouredPart(Part):
    """Where the filler went [mm³]."""

    annulus: Number
    bottom: Number
    fillet: Number
    runs_out: Number
    waiting: Number


class DryPart(Part):
    """Where filler is missing: share of the gap, height from the mouth as a share, azimuth."""

    share: Number
    height: Number
    azimuth_deg: Number


class FillerPart(Part):
    """The alloy, what is given, when it melts and enters, and where it goes."""

    alloy: str
    solidus_C: Number
    liquidus_C: Number
    cadmium: bool
    place: str
    azimuth_deg: Number
    supply_mm3: Number
    softens_s: Number
    molten_s: Number
    enters_s: Number
    waits_s: Number
    liquates: bool
    filled_share: Number
    volumes_mm3: PouredPart
    runs_out_side: str | None
    dry: DryPart | None
    proud_mm: Number
    capillary_s: Number


def filler_part(braze: Braze) -> FillerPart:
    """The alloy, what is given, and where it goes.

    Parameters
    ----------
    braze : Braze
    """
    setup, found = braze.setup, braze.filler
    poured = found.poured
    return FillerPart(
        alloy=setup.filler.name,
        solidus_C=setup.filler.solidus_C,
        liquidus_C=setup.filler.liquidus_C,
        cadmium=setup.filler.cadmium,
        place=setup.snip.place,
        azimuth_deg=round_the_rod(setup.snip.azimuth),
        supply_mm3=IN_MM3 * found.supply,
        softens_s=found.softens_s,
        molten_s=found.molten_s,
        enters_s=found.first_s,
        waits_s=found.waits_s,
        liquates=found.liquates,
        filled_share=found.filled_share,
        volumes_mm3=PouredPart(
            annulus=IN_MM3 * poured.annulus,
            bottom=IN_MM3 * poured.bottom,
            fillet=IN_MM3 * poured.fillet,
            runs_out=IN_MM3 * poured.over,
            waiting=IN_MM3 * found.waiting,
        ),
        runs_out_side=SURPLUS[setup.attitude] if poured.over > 0.0 else None,
        dry=None if found.dry is None else _dry(found.dry),
        proud_mm=IN_MM * found.stand_off,
        capillary_s=found.longest_flow_s,
    )


def _dry(dry: Dry) -> DryPart:
    azimuth = None if dry.azimuth_deg is None else round_the_rod(dry.azimuth_deg)
    return DryPart(share=dry.share, height=dry.height, azimuth_deg=azimuth)
