"""What becomes of the filler, in words."""

from __future__ import annotations

from collections.abc import Iterator

from thermo.braze import Braze, Setup
from thermo.braze.filler.outcome import Dry, Flowed
from thermo.braze.filler.preforms import measured
from thermo.braze.limits import WAITS_S, LimitName
from thermo.braze.stages import StageName
from thermo.constants import IN_MM, IN_MM2, IN_MM3
from thermo.files.tables import SURPLUS
from thermo.show.wording.fill_notes import PLACES
from thermo.show.wording.words import bearing, format_duration, two_digits

NOTICED = 0.02  # of the supply: less surplus is not worth a word
THIRDS = ("at the mouth", "in the middle", "at the bottom")
NO_SIDE = "all round"
MEANWHILE = "it balls up, loses zinc and may run off"


def filler_lines(braze: Braze) -> Iterator[str]:
    """What the filler does, from where it lies to where it ends.

    Parameters
    ----------
    braze : Braze
    """
    yield _given(braze)
    yield from _on_the_way(braze)
    found = braze.filler
    if found.molten_s is None:
        yield "The filler does not melt where it lies."
        return
    yield _ends(braze)
    if found.dry is not None:
        yield f"Dry: {dry_words(found.dry)}. A dry place is weak and draws in pickle and water."
    if found.poured.over > NOTICED * found.supply:
        yield (
            f"{IN_MM3 * found.poured.over:.1f} mm³ run out {SURPLUS[braze.setup.attitude]}: "
            f"take less "
            "(`brazeclock fill`)."
        )
    if found.liquates:
        yield (
            "This alloy melts over a wide range and is heated slowly through it: the part that "
            "melts first may run ahead and leave a skull that does not flow (from memory of "
            "brazing handbooks)."
        )


def dry_words(dry: Dry, side: str | None = None) -> str:
    """How much of the gap is dry, and where; a side in the words given, or else as an azimuth."""
    height = THIRDS[min(int(3 * dry.height), 2)]
    where = height if dry.share < 0.95 else "all of it"
    if dry.azimuth_deg is None:
        side = NO_SIDE
    elif side is None:
        side = f"toward {bearing(dry.azimuth_deg)}"
    return f"{100 * dry.share:.0f} % of the gap, {where}, {side}"


def _given(braze: Braze) -> str:
    """How much there is, and where."""
    setup, found = braze.setup, braze.filler
    size = measured(setup.snip, found.supply)
    if setup.snip.sheet is None:
        stock = f"{IN_MM * size:.1f} mm of {IN_MM * setup.snip.wire_diameter:g} mm wire"
    else:
        stock = f"{IN_MM2 * size:.0f} mm² of {IN_MM * setup.snip.sheet:g} mm sheet"
    why = "as much as the joint takes" if setup.snip.length is None else "as given"
    return f"{stock} ({IN_MM3 * found.supply:.1f} mm³), {why}, {laid(setup)}."


def laid(setup: Setup) -> str:
    """Where the filler lies; a side as an azimuth of the case."""
    if setup.snip.place != "mouth":
        return PLACES[setup.snip.place]
    return f"{PLACES[setup.snip.place]} at {bearing(setup.snip.azimuth)}"


def better_laid(setup: Setup) -> str:
    """What keeps filler from waiting molten for the gap."""
    if setup.snip.place != "mouth":
        return "heat so that the gap keeps up"
    return "lay it on the side away from the flame, or feed it by hand"


def _on_the_way(braze: Braze) -> Iterator[str]:
    """Standing proud, and lying molten before the gap takes it."""
    found = braze.filler
    if found.stand_off > 0.0:
        home = braze.stage(StageName.SETTLES).time_s
        when = (
            "and never sinks home"
            if home is None
            else f"and sinks home after {format_duration(home)}"
        )
        yield (
            f"On these pieces the rod stands {IN_MM * found.stand_off:.1f} mm proud {when}: push "
            f"it home "
            "with tongs when it gives; filler may spurt."
        )
    burnt = any(limit.name == LimitName.BEAD and limit.time_s is not None for limit in braze.limits)
    if found.molten_s is None or not (burnt or found.waits_s > WAITS_S):
        return
    taken = "and the gap never takes it" if found.first_s is None else "before the gap takes it"
    what = f"it overheats: {MEANWHILE}" if burnt else MEANWHILE
    yield (
        f"It is molten after {format_duration(found.molten_s)}, "
        f"{format_duration(found.waits_s)} {taken}: meanwhile "
        f"{what}; {better_laid(braze.setup)} (`brazeclock compare`)."
    )


def _ends(braze: Braze) -> str:
    """Where the filler ends up."""
    found, filled = braze.filler, braze.filled_s
    if found.first_s is None:
        return "None of it gets into the gap."
    parts = [f"gap {100 * found.filled_share:.0f} % full"]
    if filled is not None:
        first, last = format_duration(found.first_s), format_duration(filled)
        parts = [f"the gap fills from {first} to {last}"]
        if first == last:
            parts = [f"the gap fills at about {last}"]
    parts += _beyond(braze, found)
    return f"{'; '.join(parts)[0].upper()}{'; '.join(parts)[1:]}."


def _beyond(braze: Braze, found: Flowed) -> Iterator[str]:
    """Bottom and fillet."""
    joint, poured = braze.setup.joint, found.poured
    if joint.bottom_volume > 0.0:
        share = min(poured.bottom / joint.bottom_volume, 1.0)
        space = "the recess" if joint.hole == "through" else "the bottom"
        if share < 0.05:
            yield f"{space} stays {'open' if joint.hole == 'through' else 'hollow'}"
        else:
            yield f"{space} is {100 * share:.0f} % full"
    if poured.fillet > NOTICED * braze.amount.largest_fillet:
        yield f"{two_digits(IN_MM3 * poured.fillet)} mm³ make the ring at the mouth"
    else:
        yield "nothing is left for a ring at the mouth"
