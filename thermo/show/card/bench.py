"""The card for the bench: one screen, in the order of the work."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from rich.console import Group
from rich.text import Text

from thermo.braze import Braze, Stage, Unfilled
from thermo.braze.stages import StageName
from thermo.matter import colour_at, constant
from thermo.show.card.lines import LABEL, STOP, WIDTH, Entry, one_screen
from thermo.show.card.setting import (
    chosen_words,
    flame_words,
    hold_words,
    joint_words,
    why_words,
    wire_words,
)
from thermo.show.printing import GRAVE
from thermo.show.wording.levers import what_mends
from thermo.show.wording.spread import band_words, chances, count_line
from thermo.show.wording.steam import warm_words
from thermo.show.wording.words import capitalise, format_duration, passed_words, width
from thermo.study.answer import Answer
from thermo.study.neighbour import Neighbour
from thermo.study.remedies import Remedies
from thermo.study.spread import Spread
from thermo.study.trouble import Trouble
from thermo.study.warming import WarmUp

LATE, TOO_LATE = 1.5, 2.5
"""Times the time of the clear flux after which to change something, and to give up (assumed)."""
SAME_S = 1.0  # cues nearer than this are one
TIME = 8  # columns of a cue's time
CUES = {
    StageName.FLUX_DRY: "steaming stops, a dry white crust",
    StageName.FLUX_MILKY: "the crust puffs, then lies down milky",
    StageName.FLUX_CLEAR: "flux clear as water, ball last",
    StageName.LIQUIDUS: "a snip touched to the mouth melts at once",
    StageName.SETTLES: "the rod sinks home",
    StageName.FILLED: "a bright ring all round the rod",
}
PRESS = "press the rod home"
CHANGES = {
    Unfilled.NO_FLAME: "give the torch some fuel.",
    Unfilled.MELTED: "hold the flame farther off or elsewhere, or take a weaker torch.",
    Unfilled.TOO_COLD: "come nearer, put firebrick behind the ball, or take a stronger torch.",
    Unfilled.NO_FLUX: "brush flux on ball, hole and rod.",
    Unfilled.JAMMED: "drill a wider hole or take a thinner rod.",
    Unfilled.FILLER_COLD: "lay the filler where it is hotter, or feed it by hand.",
    Unfilled.TOO_LITTLE: "take more filler: `brazeclock fill` says how much.",
    Unfilled.FLUX_SPENT: "more flux, or a stronger torch that gets there sooner.",
    Unfilled.CUT_OFF: "lay the filler elsewhere, or go round with the flame.",
}
"""What to change where the gap stays unfilled, and nothing was tried."""


def heat_card(answer: Answer) -> Group:
    """The card of one braze on one screen; all else is in the report.

    Parameters
    ----------
    answer : Answer
    """
    found = card_lines(answer)
    return Group(*(Text(line, GRAVE if line.startswith(STOP) else "") for line in found))


def card_lines(answer: Answer) -> list[str]:
    """The same as lines, 34 of 80 columns at most."""
    return one_screen(answer.case.title, card_entries(answer))


def card_entries(answer: Answer) -> tuple[Entry, ...]:
    """All that the card has to say, in the order in which it is read.

    Parameters
    ----------
    answer : Answer
    """
    braze, case, beside = answer.run, answer.case, answer.beside
    return (
        Entry("Joint", joint_words(braze, case)),
        *(Entry(STOP, text, 3) for text in _stops(braze, beside, answer.warm)),
        Entry("Do", _remedy(braze, answer.mends), 4),
        Entry("Hold", capitalise(hold_words(braze))),
        Entry("Wire", wire_words(braze)),
        Entry("Flame", f"{capitalise(flame_words(braze))}{chosen_words(answer.way)}.", 3),
        Entry("", why_words(answer.way), spare=4),
        Entry("Warm", _warm(braze, answer.warm), 3),
        Entry("Count", "" if answer.spread is None else count_line(answer.spread)),
        *_cues(braze, answer.spread),
        *_away(braze, beside),
        *_late(braze, answer.spread),
        Entry("After", _after(braze), 3),
        *_care(braze, answer.spread),
        Entry("", "Sources, gap, water, what was assumed: report.txt, or heat --full.", spare=2),
    )


def _stops(braze: Braze, beside: Neighbour | None, warm: WarmUp | None) -> Iterator[str]:
    """What forbids to go on as it is, the gravest first."""
    filler = braze.setup.filler
    if filler.cadmium:
        yield f"{filler.name} holds cadmium: its fume kills. Do not melt it; take another filler."
    elif not filler.composition:
        yield "What this filler holds is not known. It may be cadmium: read its data sheet first."
    yield from _steam(braze, warm)
    if braze.filled_s is None:
        yield f"Never filled: {braze.stage(StageName.FILLED).reason}."
    spoils = passed_words(limit for limit in braze.limits if limit.spoils)
    if spoils and braze.filled_s is not None:
        yield f"Spoilt on the way: {spoils}."
    if beside is not None:
        yield from _second(braze, beside)


def _steam(braze: Braze, warm: WarmUp | None) -> Iterator[str]:
    """A damp closed hole, whatever is known of what holds the parts."""
    found = braze.steam
    if not found.fluxed or found.dried or not found.closed:
        return
    way, held = found.open, found.holding
    if held.force is None:
        push = f"how firmly {held.by} holds, nobody knows"
    elif held.force <= 0.0:
        push = "nothing holds ball and rod together"
    elif way is None or way.force > held.force:
        push = f"steam beats {held.by}"
    else:
        push = f"{held.by} holds only while the way out stays clear"
    known = warm is not None and warm.way is not None
    first = "Warm it as below, or dry it first," if known else "Dry it first,"
    crust = "" if found.passes else "; ream the crust out"
    yield (
        f"Damp flux in a closed hole: {push}. {first} rod out, mouth open and turned away, slowly "
        f"from 100 to 300 °C{crust}."
    )


def _second(braze: Braze, beside: Neighbour) -> Iterator[str]:
    """A second joint that lets go, at once or by ten seconds of holding on."""
    limit, last = beside.given.limit, braze.overheld[-1]
    if not beside.given.holds:
        yield (
            f"The second joint gets to {limit.value:.0f} °C and lets go from {limit.limit:.0f} °C "
            "on: clamp the rod between the balls; the ball may drop, keep clear below."
        )
    elif last.second_C is None or last.second_C >= limit.limit:
        yield (
            f"{last.after_s:.0f} s too long and the second joint may let go (from "
            f"{limit.limit:.0f} °C on): clamp the rod between the balls."
        )


def _remedy(braze: Braze, mends: Remedies | None) -> str:
    """What would work where this does not."""
    if mends is not None and (text := what_mends(mends)):
        short = Trouble.LITTLE_LEEWAY in mends.troubles and braze.filled_s is not None
        return f"{f'Leeway is {width(braze.leeway)}. ' if short else ''}{text}"
    return "" if braze.unfilled is None else capitalise(CHANGES[braze.unfilled])


def _warm(braze: Braze, warm: WarmUp | None) -> str:
    """Warming, and pressing the rod home."""
    setup, home = braze.setup, braze.stage(StageName.SETTLES).time_s
    if setup.coat.thickness == 0.0 or setup.torch.fuel_power == 0.0:
        return ""
    slow = "Flame far off until steaming and swelling stop."
    if warm is not None:
        slow = f"{warm_words(warm)} Then as above."
    if braze.filler.stand_off > 0.0:
        when = "when it gives" if home is None else f"when it gives, about {format_duration(home)}"
        return f"{slow} Press the rod home with tongs {when}; filler may spurt."
    return slow


def _cues(braze: Braze, spread: Spread | None) -> Iterator[Entry]:
    """What the eye sees, by time; of two that come together the later in the order of work."""
    seen = [stage for stage in braze.stages if stage.seen_s is not None and stage.name in CUES]
    if braze.setup.coat.dried:
        seen = [stage for stage in seen if stage.name != StageName.FLUX_DRY]
    later = [*(_seen(stage) for stage in seen[1:]), math.inf]
    kept = [stage for stage, t in zip(seen, later, strict=False) if t - _seen(stage) >= SAME_S]
    rows = [(_seen(stage), _cue(braze, stage, spread)) for stage in kept]
    if braze.filler.stand_off <= 0.0 and (at := braze.stage(StageName.FLUX_CLEAR).time_s):
        rows.append((at, f"{PRESS}: flux is liquid in the gap too"))
    rows += _bead(braze)
    for number, (t, text) in enumerate(sorted(rows)):
        spare = 0 if number in (0, len(rows) - 1) or "clear" in text else 3
        spare = 1 if text.startswith(PRESS) else spare
        yield Entry("See" if number == 0 else "", f"{format_duration(t):>6}  {text}", 1, spare)


def _cue(braze: Braze, stage: Stage, spread: Spread | None) -> str:
    """What is seen, its band, and the steel's colour where the line has room for it."""
    words, colour = f"{CUES[stage.name]}{_sure(stage, spread)}", _colour(braze, stage)
    return words if len(words) + len(colour) > WIDTH - LABEL - TIME else f"{words}{colour}"


def _sure(stage: Stage, spread: Spread | None) -> str:
    """The band of a cue that is counted to or waited for."""
    if spread is None or stage.name not in (StageName.FLUX_CLEAR, StageName.FILLED):
        return ""
    return f" ({band_words(spread.band(stage.name))})"


def _seen(stage: Stage) -> float:
    assert stage.seen_s is not None
    return stage.seen_s


def _bead(braze: Braze) -> list[tuple[float, str]]:
    found = braze.filler
    if braze.setup.snip.place != "mouth" or found.molten_s is None:
        return []
    if found.first_s is not None and found.first_s - found.molten_s < SAME_S:
        return []
    return [(found.molten_s, "the filler at the mouth is a bead; the gap does not take it yet")]


def _colour(braze: Braze, stage: Stage) -> str:
    if stage.name not in (StageName.FLUX_CLEAR, StageName.FILLED):
        return ""
    at_C = float(np.interp(_seen(stage), braze.stations.time_s, braze.stations.ball_front_C))
    colour = colour_at(at_C, "bright" if braze.setup.light == "bright" else "dim")
    return "" if colour is None else f"; steel {colour.name}"


def _away(braze: Braze, beside: Neighbour | None) -> Iterator[Entry]:
    """When the flame goes, and what holding on does."""
    setup, off = braze.setup, format_duration(braze.off_s)
    if braze.filled_s is None:
        return
    yield Entry(
        "Away",
        f"{off:>6}  flame away, a second or two after the ring; leeway {width(braze.leeway)}",
    )
    for number, held in enumerate(braze.overheld):
        if held.ball_C is None or held.rod_C is None:
            spoils = [str(name) for name in held.passed if braze.limit(name).spoils]
            text = f"the braze is spoilt: {spoils[0]}" if spoils else "more than was looked at"
        else:
            text = f"ball {held.ball_C:.0f} °C, rod {held.rod_C:.0f} °C"
            text += "".join(f", {name}" for name in held.passed)
        if beside is not None and held.second_C is not None:
            text += f"; second joint {held.second_C:.0f} of {beside.given.limit.limit:.0f} °C"
        spare = 0 if number or setup.second_filler is not None else 4
        yield Entry("", f"{held.after_s:.0f} s too long: {text}", spare=spare)


def _late(braze: Braze, spread: Spread | None) -> Iterator[Entry]:
    """What to do where it takes longer than planned."""
    clear = braze.stage(StageName.FLUX_CLEAR).seen_s
    if braze.setup.coat.thickness == 0.0 or clear is None:
        return
    high = None if spread is None else spread.band(StageName.FILLED).high
    last = max(TOO_LATE * clear, high or 0.0)
    yield Entry(
        "Late",
        f"Flux not clear by {format_duration(LATE * clear)}: come nearer, put firebrick behind, or "
        f"take a stronger torch. No ring by {format_duration(last)}: stop, cool, clean, flux "
        "again.",
        3,
    )


def _after(braze: Braze) -> str:
    """Holding still, touching, washing, pickling."""
    parts = []
    solid = braze.stage(StageName.SOLID).time_s
    if solid is not None:
        still = format_duration(solid - braze.off_s, not_before=True)
        parts.append(f"Hold still for {still} after the flame goes, and till the ring is dull.")
    touch = braze.cooling.touch_s
    if touch is not None:
        degrees = constant("hand", "touch").value
        parts.append(
            f"Touch not before {format_duration(touch - braze.off_s, not_before=True)} more "
            f"({degrees:g} °C)."
        )
    if braze.setup.coat.thickness > 0.0:
        parts.append("Wash off all flux with hot water and a brush: it corrodes.")
    pickle = "No need to pickle." if braze.aftercare.pickle else "Do not pickle: acid stays in it."
    return " ".join([*parts, pickle])


def _care(braze: Braze, spread: Spread | None) -> Iterator[Entry]:
    """Cautions that this joint calls for, each once."""
    setup = braze.setup
    told = []
    if setup.coat.thickness > 0.0:
        told.append("Flux fumes and spits: ventilate, keep out of it, wear eye protection.")
    if setup.joint.closed:
        told.append("Closed hole: turn its mouth away; water leaves it up to 300 °C.")
    else:
        told.append("Flux or filler can plug the second opening: keep its mouth turned away.")
    if setup.filler.zinc_percent and not setup.filler.cadmium:
        told.append("Overheated zinc is white fume (metal fume fever).")
    if setup.torch.flame.caution:
        told.append(setup.torch.flame.caution)
    told.append("Dark metal burns too: tongs.")
    if braze.aftercare.pickle:
        told.append("Acid into water, never water into acid; goggles and gloves.")
    yield Entry("Care", " ".join(told), 6)
    sure = "No band: another torch of the kind may halve or double these times: go by what you see."
    if spread is not None:
        brackets = "" if braze.filled_s is None else "In brackets: eight in ten. "
        sure = f"{brackets}{chances(spread)} Go by what you see."
    rules = "Data sheets and local rules come first. No time here takes a danger away."
    yield Entry("", f"{sure} {rules}", 4)
