"""Looks for causes that lie in the filler and the gap it is to fill."""

from __future__ import annotations

from thermo.braze import Braze
from thermo.braze.limits import WAITS_S, LimitName
from thermo.braze.outcome import LIQUATION_RANGE_K, LIQUATION_S
from thermo.files.defaults import USUAL_GAP_MM
from thermo.study.signs import ABSENT, MM, MM3, MOST, Sign, way, worst

TIGHT_MM = 0.025
"""Gap per side below which strength falls: the narrow end of the range in which a filler maker's
chart of strength over gap stays high (read)."""


def waits(run: Braze) -> Sign:
    """Filler molten before the gap takes it, against what it bears (limit of the braze)."""
    filler = run.filler
    if filler.molten_s is None:
        return Sign(0.0, "solid")
    numbers = {"molten_s": filler.molten_s, "waits_s": filler.waits_s, "limit_s": WAITS_S}
    score = way(filler.waits_s, 0.0, WAITS_S)
    if filler.first_s is None:
        return Sign(score, "in vain", numbers)
    return Sign(score, "", numbers | {"first_s": filler.first_s})


def too_much(run: Braze) -> Sign:
    """Filler given, from the usual fillet to the largest one that stands (geometry)."""
    _, aim, most = run.amount.marks
    filler = run.filler
    numbers = {
        "given_mm3": MM3 * filler.supply,
        "aim_mm3": MM3 * aim,
        "most_mm3": MM3 * most,
        "over_mm3": MM3 * filler.poured.over,
    }
    return Sign(way(filler.supply, aim, most), "", numbers)


def too_little(run: Braze) -> Sign:
    """Filler given, from the usual fillet down to what just fills the gap (geometry)."""
    least, aim, _ = run.amount.marks
    numbers = {
        "given_mm3": MM3 * run.filler.supply,
        "aim_mm3": MM3 * aim,
        "least_mm3": MM3 * least,
        "dry_percent": 100.0 * max(1.0 - run.filler.filled_share, 0.0),
    }
    return Sign(way(-run.filler.supply, -aim, -least), "", numbers)


def too_tight(run: Braze) -> Sign:
    """Gap at the liquidus, from the least that is usual (handbook) down to where strength falls."""
    gap = MM * run.amount.clearance_hot
    score = MOST if gap <= 0.0 else way(-gap, -USUAL_GAP_MM[0], -TIGHT_MM)
    return Sign(score, "", {"gap_mm": max(gap, 0.0), "limit_mm": TIGHT_MM})


def too_wide(run: Braze) -> Sign:
    """Widest place of the gap at the liquidus, from the least to the most usual (handbook)."""
    gap = MM * run.amount.clearance_hot * (1.0 + run.setup.joint.eccentricity)
    least, most = USUAL_GAP_MM
    return Sign(way(gap, least, most), "", {"gap_mm": gap, "limit_mm": most})


def overheated(run: Braze) -> Sign:
    """Hottest of the gap, from liquidus to the top of the filler's brazing range."""
    hottest, top = worst(run, LimitName.FILLER_HOT)
    numbers = {"gap_C": hottest, "limit_C": top}
    return Sign(way(hottest, run.setup.filler.liquidus_C, top), "", numbers)


def not_molten(run: Braze) -> Sign:
    """How late the filler itself melts, as a share of the time until the gap is ready."""
    ready, molten = run.ready_s, run.filler.molten_s
    if ready is None:
        return ABSENT
    if molten is None:
        return Sign(1.0, "never", {"ready_s": ready})
    return Sign(way(molten, ready, 2 * ready), "", {"ready_s": ready, "molten_s": molten})


def liquates(run: Braze) -> Sign:
    """Time between solidus and liquidus, for an alloy of wide range (limits of the braze).

    A range of half the limit counts as no trace (assumed).
    """
    filler, alloy = run.filler, run.setup.filler
    if filler.softens_s is None:
        return Sign(0.0, "solid")
    ends = run.off_s if filler.molten_s is None else filler.molten_s
    span, wide = ends - filler.softens_s, alloy.liquidus_C - alloy.solidus_C
    score = min(way(wide, LIQUATION_RANGE_K / 2, LIQUATION_RANGE_K), way(span, 0.0, LIQUATION_S))
    return Sign(score, "", {"range_K": wide, "within_s": span})


def shut_in(run: Braze) -> Sign:
    """Share of gap and bottom that lies shut off behind filler from the mouth (geometry)."""
    found = run.amount
    if not (found.stays_hollow and run.setup.joint.closed):
        return ABSENT
    share = found.hot.bottom / found.least
    return Sign(share, "", {"bottom_mm3": MM3 * found.hot.bottom, "share_percent": 100.0 * share})
