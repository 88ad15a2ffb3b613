"""What to mind about the filler of one joint, in sentences."""

from __future__ import annotations

import math
from collections.abc import Iterator

from thermo.braze import Setup
from thermo.braze.filler.preforms import IN_HOLE, inside, measured, too_short
from thermo.constants import IN_MM, IN_MM2, IN_MM3
from thermo.files.tables import SURPLUS
from thermo.matter import constant
from thermo.study.fill import Fill

FINE_WIRE, COARSE_WIRE = 0.5e-3, 1e-3
WIDER = 0.05e-3
"""By how much a drill may cut wide [m]."""
GENEROUS = (
    "Molten filler is reckoned at its cold volume, its expansion is not known: the lengths err by "
    "some per cent toward too much."
)
PLACES = {
    "mouth": "laid at the mouth",
    "hole-bottom": "laid in the hole",
    "rod-tip": "laid on the rod's tip",
    "fed": "fed by hand at the mouth",
}


def figure(value: float) -> str:
    """A number to three digits, without exponents."""
    return f"{value:.0f}" if value >= 100 else f"{round(value, 3):.3g}"


def length(value: float) -> str:
    """A length [mm], or an area [mm²], as finely as it can be cut."""
    return f"{value:.2g}" if value < 1 else figure(round(value, 1))


def stock(found: Fill) -> str:
    """What the filler is cut from, such as "0.5 mm wire"."""
    snip = found.setup.snip
    if snip.sheet is None:
        return f"{IN_MM * snip.wire_diameter:g} mm wire"
    return f"{IN_MM * snip.sheet:g} mm sheet"


def take(found: Fill, volume: float) -> str:
    """How much to take of it for a volume, such as "14.5 mm"."""
    return size_words(found.setup, volume)


def size_words(setup: Setup, volume: float) -> str:
    """A volume of a setup's filler as length of its wire or area of its sheet."""
    size = measured(setup.snip, volume)
    if setup.snip.sheet is None:
        return f"{length(IN_MM * size)} mm"
    return f"{length(IN_MM2 * size)} mm²"


def cut_into(found: Fill) -> str:
    """The pieces, such as "2 snips of 7.3 mm"; no words where filler is fed."""
    pieces = found.pieces
    if pieces is None:
        return ""
    size, plural = f"{length(IN_MM * pieces.length)} mm", "s" * (pieces.count > 1)
    if found.setup.snip.sheet is None:
        return f"{pieces.count} snip{plural} of {size}"
    return f"{pieces.count} square chip{plural} of {size}"


def notes(found: Fill) -> list[str]:
    """Everything to mind, what spoils the joint first.

    Parameters
    ----------
    found : Fill
    """
    return [
        *_gap(found),
        *_given(found),
        *_bottom(found),
        *_pieces(found),
        *_seat(found),
        *_fillet(found),
        *_measure(found),
        GENEROUS,
        _practice(found),
    ]


def _gap(found: Fill) -> Iterator[str]:
    hot = IN_MM * found.amount.clearance_hot
    if hot <= 0:
        yield (
            f"At {found.setup.filler.liquidus_C:g} °C the rod is {-hot:.3f} mm per side wider than "
            "the hole: the gap closes and takes no filler. Drill wider, or take metals that "
            "expand alike."
        )


def stays(found: Fill) -> str:
    """What a bottom that filler from the mouth does not get into is said to do."""
    through = found.setup.joint.hole == "through"
    return "the recess stays open" if through else "the bottom stays hollow"


def _given(found: Fill) -> Iterator[str]:
    """The length given against what the joint takes."""
    if found.given is None:
        return
    need, went, hot = found.amount, found.poured, found.amount.hot
    least, aim, _ = need.marks
    takes = hot.bottom > 0 and not need.stays_hollow  # the bottom, too
    given = f"The {take(found, found.given)} given"
    if found.given < least:
        short = take(found, least - found.given)
        gap = _share(went.annulus, hot.annulus)
        bottom = f" and {_share(went.bottom, hot.bottom)} of the bottom" if takes else ""
        yield f"{given} is {short} short: it fills {gap} of the gap{bottom}, no fillet."
    elif went.over > 0:
        yield (
            f"{given} is too much: {take(found, went.over)} ({figure(IN_MM3 * went.over)} mm³) "
            f"of it "
            f"runs out {SURPLUS[found.setup.attitude]}."
        )
    else:
        room = "gap and bottom" if takes else "the gap"
        words = "a smaller fillet than usual" if found.given < aim else "at least a usual one"
        yield (
            f"{given} fills {room} and leaves {figure(IN_MM3 * went.fillet)} mm³ for "
            f"the fillet: {words}."
        )


def _bottom(found: Fill) -> Iterator[str]:
    """What the space beyond the rod's tip swallows, and whether it can be counted on."""
    joint, need = found.setup.joint, found.amount
    if need.cold.bottom > 0:
        name = "recess at the far end" if joint.hole == "through" else "hole's bottom"
        what = f"stand-off and {name}" if joint.stand_off > 0 else name
        what = name if joint.hole == "through" else what
        yield (
            f"The {what} swallows {figure(IN_MM3 * need.hot.bottom)} mm³, "
            f"{_share(need.hot.bottom, need.aim)} of the aim."
        )
    over = f"More than {take(found, need.hollow_most)} then runs over"
    if need.stays_hollow and joint.closed:
        stop = "stop when the fillet stands"
        if found.pieces is not None:
            stop = f"lay {take(found, need.hollow)} at first, feed the rest by hand and {stop}"
        yield (
            "Filler that comes from the mouth closes it as a ring: flux and gas shut in may keep "
            f"the bottom hollow, and it is reckoned so. {over}: {stop}."
        )
    elif need.stays_hollow:
        yield (
            "Filler that comes from the mouth stops where the gap ends, at the edge of the rod's "
            "tip: but for a ring in its corner, which is not counted, the recess stays open. "
            f"{over}."
        )
    if joint.vent_diameter > 0:
        yield (
            f"Filler can run out through the {IN_MM * joint.vent_diameter:g} mm vent; "
            "its bore is not counted."
        )


def _pieces(found: Fill) -> Iterator[str]:
    """How the pieces are cut, and whether they can be."""
    setup, pieces = found.setup, found.pieces
    if pieces is None:
        return
    wire = setup.snip.sheet is None
    kind = "Snips" if wire else "Chips"
    if inside(setup.snip):
        across = "" if wire else " from corner to corner"
        rule = f"at most {IN_HOLE:g} of the hole's diameter long{across}, so that they lie in it"
    elif wire:
        rule = "at most once round the rod: bend them round it, on the flux"
    else:
        rule = "at most half as wide as the rod: lay them against it, on the flux"
    yield f"{kind} are equal and as few as may be, {rule} (common practice, no source)."
    if too_short(setup.snip, pieces):
        yield "Snips under two wire diameters are hard to cut and hold: take finer wire."


def _seat(found: Fill) -> Iterator[str]:
    """Where the rod stands while pieces lie under it."""
    joint, snip = found.setup.joint, found.setup.snip
    if found.pieces is None or not inside(snip):
        return
    if joint.hole == "through":
        yield "The pieces lie on the rod's tip, open behind: they stay there with the ball up only."
        return
    vent = joint.vent_diameter
    if vent > 0 and max(found.pieces.length, snip.sheet or snip.wire_diameter) < vent:
        yield "The pieces are smaller than the vent and can fall through it."
    if found.stand_off <= 0:
        yield "The pieces find room beyond the rod's tip: it goes home at once, and gives no cue."
        return
    stands = f"{found.stand_off * IN_MM:.1f}" if found.stand_off >= 5e-5 else "under 0.1"
    share = constant("filler", "packing").value
    yield (
        f"The rod stands {stands} mm proud on the pieces; push it home, with tongs, when it gives: "
        "molten filler and flux may spurt from the mouth. Reckoned from one piece lying across "
        f"the hole's bottom, and a heap of which {share:g} is metal (assumed)."
    )


def _fillet(found: Fill) -> Iterator[str]:
    """Where the usual fillet ends, where that is not plain to see."""
    joint, need = found.setup.joint, found.amount
    leg = f"{figure(IN_MM * need.leg)} mm"
    flat = joint.flat_diameter > 0
    if need.leg > constant("fillet", "usual-leg").value * joint.rod_diameter * (1 + 1e-9):
        yield f"A fillet of usual height cannot bridge so wide a gap: it is taken {leg} high."
    elif flat and need.seats[0] == "edge":
        yield f"The flat is too narrow for a fillet {leg} high: it ends in the flat's edge."
    elif flat and need.seats[0] == "sphere":
        yield f"The flat is too narrow for a fillet {leg} high: it runs on to the sphere."
    if len(need.seats) > 1:
        yield (
            "The rod goes through: two fillets are counted, the far one as if the rod stood out "
            "there. Cut flush with the ball it takes less."
        )


def _measure(found: Fill) -> Iterator[str]:
    """What a hole drilled wide adds."""
    joint = found.setup.joint
    r = joint.hole_radius
    more = math.pi * ((r + WIDER / 2) ** 2 - r**2) * joint.insertion
    yield (
        f"Measure hole and rod: a hole {IN_MM * WIDER:g} mm wider takes "
        f"{figure(IN_MM3 * more)} mm³ more ({take(found, more)})."
    )


def _practice(found: Fill) -> str:
    fine, coarse = (
        length(IN_MM * found.amount.marks[1] / (math.pi * d * d / 4))
        for d in (FINE_WIRE, COARSE_WIRE)
    )
    return (
        f"Wire of half a millimetre for small joints (here {fine} mm), of one millimetre for large "
        f"ones ({coarse} mm); less than one would think (common practice, no source)."
    )


def _share(part: float, whole: float) -> str:
    return f"{100 * part / whole:.0f} %" if whole > 0 else "0 %"
