"""Looks for causes that lie in the filler and the gap it is to fill."""

from __future__ import annotations

from thermo.braze import Braze
from thermo.braze.filler.outcome import LIQUATION_RANGE_K, LIQUATION_S
from thermo.braze.limits import WAITS_S, LimitName
from thermo.constants import IN_MM, IN_MM3
from thermo.files.defaults import USUAL_GAP_MM
from thermo.study.evidence import ABSENT, MOST, Evidence, fraction_of_limit, worst

TIGHT_MM = 0.025
"""Gap per side below which strength falls: the narrow end of the range in which a filler maker's
chart of strength over gap stays high (read)."""


def waits(run: Braze) -> Evidence:
    """Filler molten before the gap takes it, against what it bears (limit of the braze)."""
    filler = run.filler
    if filler.molten_s is None:
        return Evidence(0.0, "solid")
    numbers = {"molten_s": filler.molten_s, "waits_s": filler.waits_s, "limit_s": WAITS_S}
    score = fraction_of_limit(filler.waits_s, 0.0, WAITS_S)
    if filler.first_s is None:
        return Evidence(score, "in vain", numbers)
    return Evidence(score, "", numbers | {"first_s": filler.first_s})


def too_much(run: Braze) -> Evidence:
    """Filler given, from the usual fillet to the largest one that stands (geometry)."""
    _, aim, most = run.amount.marks
    filler = run.filler
    numbers = {
        "given_mm3": IN_MM3 * filler.supply,
        "aim_mm3": IN_MM3 * aim,
        "most_mm3": IN_MM3 * most,
        "over_mm3": IN_MM3 * filler.poured.over,
    }
    return Evidence(fraction_of_limit(filler.supply, aim, most), "", numbers)


def too_little(run: Braze) -> Evidence:
    """Filler given, from the usual fillet down to what just fills the gap (geometry)."""
    least, aim, _ = run.amount.marks
    numbers = {
        "given_mm3": IN_MM3 * run.filler.supply,
        "aim_mm3": IN_MM3 * aim,
        "least_mm3": IN_MM3 * least,
        "dry_percent": 100.0 * max(1.0 - run.filler.filled_share, 0.0),
    }
    return Evidence(fraction_of_limit(-run.filler.supply, -aim, -least), "", numbers)


def too_tight(run: Braze) -> Evidence:
    """Gap at the liquidus, from the least that is usual (handbook) down to where strength falls."""
    gap = IN_MM * run.amount.clearance_hot
    score = MOST if gap <= 0.0 else fraction_of_limit(-gap, -USUAL_GAP_MM[0], -TIGHT_MM)
    return Evidence(score, "", {"gap_mm": max(gap, 0.0), "limit_mm": TIGHT_MM})


def too_wide(run: Braze) -> Evidence:
    """Widest place of the gap at the liquidus, from the least to the most usual (handbook)."""
    gap = IN_MM * run.amount.clearance_hot * (1.0 + run.setup.joint.eccentricity)
    least, most = USUAL_GAP_MM
    return Evidence(fraction_of_limit(gap, least, most), "", {"gap_mm": gap, "limit_mm": most})


def overheated(run: Braze) -> Evidence:
    """Hottest of the gap, from liquidus to the top of the filler's brazing range."""
    hottest, top = worst(run, LimitName.FILLER_HOT)
    numbers = {"gap_C": hottest, "limit_C": top}
    return Evidence(fraction_of_limit(hottest, run.setup.filler.liquidus_C, top), "", numbers)


def not_molten(run: Braze) -> Evidence:
    """How late the filler itself melts, as a share of the time until the gap is ready."""
    ready, molten = run.ready_s, run.filler.molten_s
    if ready is None:
        return ABSENT
    if molten is None:
        return Evidence(1.0, "never", {"ready_s": ready})
    return Evidence(
        fraction_of_limit(molten, ready, 2 * ready), "", {"ready_s": ready, "molten_s": molten}
    )


def liquates(run: Braze) -> Evidence:
    """Time between solidus and liquidus, for an alloy of wide range (limits of the braze).

    A range of half the limit counts as no trace (assumed).
    """
    filler, alloy = run.filler, run.setup.filler
    if filler.softens_s is None:
        return Evidence(0.0, "solid")
    ends = run.off_s if filler.molten_s is None else filler.molten_s
    span, wide = ends - filler.softens_s, alloy.liquidus_C - alloy.solidus_C
    score = min(
        fraction_of_limit(wide, LIQUATION_RANGE_K / 2, LIQUATION_RANGE_K),
        fraction_of_limit(span, 0.0, LIQUATION_S),
    )
    return Evidence(score, "", {"range_K": wide, "within_s": span})


def shut_in(run: Braze) -> Evidence:
    """Share of gap and bottom that lies shut off behind filler from the mouth (geometry)."""
    found = run.amount
    if not (found.stays_hollow and run.setup.joint.closed):
        return ABSENT
    share = found.hot.bottom / found.least
    return Evidence(
        share, "", {"bottom_mm3": IN_MM3 * found.hot.bottom, "share_percent": 100.0 * share}
    )
