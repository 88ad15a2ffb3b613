"""What becomes of the filler, as JSON values."""

from __future__ import annotations

from typing import Any

from thermo.braze import Braze
from thermo.braze.outcome import Dry
from thermo.files.tables import SURPLUS
from thermo.show.wording.fill_notes import MM, MM3
from thermo.show.wording.words import number, round_the_rod


def filler_document(braze: Braze) -> dict[str, Any]:
    """The alloy, what is given, and where it goes [mm³].

    Parameters
    ----------
    braze : Braze
    """
    setup, found = braze.setup, braze.filler
    poured = found.poured
    return {
        "alloy": setup.filler.name,
        "solidus_C": number(setup.filler.solidus_C),
        "liquidus_C": number(setup.filler.liquidus_C),
        "cadmium": setup.filler.cadmium,
        "place": setup.snip.place,
        "azimuth_deg": number(round_the_rod(setup.snip.azimuth)),
        "supply_mm3": number(MM3 * found.supply),
        "softens_s": number(found.softens_s),
        "molten_s": number(found.molten_s),
        "enters_s": number(found.first_s),
        "waits_s": number(found.waits_s),
        "liquates": found.liquates,
        "filled_share": number(found.filled_share),
        "volumes_mm3": {
            "annulus": number(MM3 * poured.annulus),
            "bottom": number(MM3 * poured.bottom),
            "fillet": number(MM3 * poured.fillet),
            "runs_out": number(MM3 * poured.over),
            "waiting": number(MM3 * found.waiting),
        },
        "runs_out_side": SURPLUS[setup.attitude] if poured.over > 0.0 else None,
        "dry": None if found.dry is None else _dry(found.dry),
        "proud_mm": number(MM * found.proud),
        "capillary_s": number(found.longest_flow_s),
    }


def _dry(dry: Dry) -> dict[str, Any]:
    return {
        "share": number(dry.share),
        "height": number(dry.height),
        "azimuth_deg": number(None if dry.azimuth_deg is None else round_the_rod(dry.azimuth_deg)),
    }
