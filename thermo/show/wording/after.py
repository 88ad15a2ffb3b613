"""After the braze, in words: cleaning by flux and what stayed hollow, hardness, heating again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from thermo.braze import Braze, Limit
from thermo.braze.aftercare import HARDENS, Aftercare, ac1_C
from thermo.braze.limits import LimitName
from thermo.braze.stages import WASH_BELOW_C, StageName
from thermo.constants import IN_MM3, ZERO_C_K
from thermo.show.wording.words import format_duration, two_digits

MODEL = "computed"
PRACTICE = "common practice, no source"
MEMORY = "from memory"
ARTICLE = "read in an article on torch brazing"
ROOM_C = 20.0
SPENT = (LimitName.FLUX_IN_GAP_SPENT, LimitName.FLUX_SPENT)
ZINC_GONE = (LimitName.FILLER_HOT, LimitName.ZINC)
APART = 1e-6
"""Metals that shrink apart by more than this across the joint cool in air (assumed) [m]."""


LEFT = {"again": "heating it again", "hardness": "how soft it stays"}


@dataclass(frozen=True)
class Instruction:
    """One thing to do, or to know, after the flame.

    Attributes
    ----------
    topic : str
        "cool", "hardness", "wash", "pickle", "hollow", "corrosion", "dry" or "again".
    text : str
    when_s : float or None
        Not before this time [s]; None where it has none.
    source : str
        Where it has it from.
    """

    topic: str
    text: str
    when_s: float | None
    source: str


def after_lines(braze: Braze, *, again: bool = False) -> Iterator[str]:
    """What to do after the flame, in the order of work.

    What is known of parts that stay soft, and of heating a full gap again, is for the document.

    Parameters
    ----------
    braze : Braze
    again : bool
        True where the joint will be heated again, as for a second ball.

    Yields
    ------
    str
        One step, when it may begin at the earliest, and where it has it from.
    """
    after = braze.aftercare
    left = ({"hardness"} if not after.hardened else set()) | (
        {"again"} if after.full and not again else set()
    )
    for step in steps(braze):
        if step.topic in left:
            continue
        when = ""
        if step.when_s is not None:
            when = f"Not before {format_duration(step.when_s, not_before=True)}: "
        yield f"{when}{step.text} ({step.source})"
    if left:
        yield f"… and of {' and of '.join(LEFT[topic] for topic in sorted(left))}: in result.json."


def steps(braze: Braze) -> tuple[Instruction, ...]:
    """Cleaning, hardness and reheating of one joint, in the order of work.

    Parameters
    ----------
    braze : Braze

    Source: common practice, articles and memory as each step says; nothing of it is modelled but
    times, temperatures, hollow places and the life of flux.
    """
    found = braze.aftercare
    return (
        *_cool(braze, found),
        *_wash(braze, found),
        *_hollow_places(braze, found),
        *_pickle(braze, found),
        *_corrosion(braze),
        *_dry(found),
        *_hardness(braze, found),
        *_again(braze, found),
    )


def _limit(braze: Braze, name: str) -> Limit | None:
    return next((limit for limit in braze.limits if limit.name == name), None)


def _passed(braze: Braze, name: str) -> bool:
    limit = _limit(braze, name)
    return limit is not None and not limit.ok


def _into_water(braze: Braze, found: Aftercare) -> float | None:
    """When it may come into water at the earliest; None where it never got hot [s]."""
    hot = any(braze.stage(name).time_s is not None for name in (StageName.SOLID, StageName.WASH))
    return braze.cooling.touch_s if hot else None


def _cool(braze: Braze, found: Aftercare) -> Iterator[Instruction]:
    """What has to wait before water."""
    if braze.stage(StageName.SOLID).time_s is None:
        text = "The filler never melted in all of the gap: nothing to be counted on holds it yet."
        yield Instruction("cool", text, None, MODEL)
        return
    apart = found.shrinks_apart
    if apart > APART:
        text = (
            "Let it go cold in still air before water: cooling, the rod's metal shrinks by "
            f"{1e6 * apart:.1f} µm more or less than the ball's across the joint; a quench can "
            "crack it."
        )
        yield Instruction("cool", text, None, f"{ARTICLE}; {MODEL}")
    if found.hardened:
        text = (
            f"Not into water above {WASH_BELOW_C:.0f} °C: the {' and the '.join(found.hardened)} "
            "may harden and crack."
        )
        yield Instruction("cool", text, braze.stage(StageName.WASH).time_s, PRACTICE)


def _wash(braze: Braze, found: Aftercare) -> Iterator[Instruction]:
    """Flux off: in hot water, or by tools where it is glass."""
    flux = braze.setup.flux
    if braze.setup.coat.thickness <= 0.0:
        yield Instruction("wash", "No flux was used: no residue to wash off.", None, PRACTICE)
        return
    if flux.corrosive:
        harm = "corrodes" if flux.residue.startswith("corrosive") else "is taken to corrode"
        text = (
            f"Residue of {flux.name} {harm}: water of 50 °C or hotter, and a brush, until nothing "
            "is left; rinse and dry."
        )
        yield Instruction("wash", text, _into_water(braze, found), ARTICLE)
    else:
        text = (
            f"Residue of {flux.name} is glass that water hardly takes: chip, brush or blast it off "
            "behind eye protection, splinters cut."
        )
        yield Instruction("wash", text, None, PRACTICE)
    if found.black:
        text = (
            "Flux was spent or overheated in this run: black or green residue stays in water and "
            "needs tools, or acid where it may be used."
        )
        yield Instruction("wash", text, None, MODEL)


def _hollow_places(braze: Braze, found: Aftercare) -> Iterator[Instruction]:
    """What is hollow draws in what it is dipped in."""
    if found.pickle:
        return
    where = []
    if found.dry_share > 0.0:
        where.append(f"{100 * found.dry_share:.0f} % of the gap stayed dry")
    if found.hollow > 0.0:
        where.append(f"{two_digits(IN_MM3 * found.hollow)} mm³ at the hole's bottom stayed hollow")
    text = f"Do not pickle: {' and '.join(where)}; acid gets in and stays"
    if braze.stage(StageName.SOLID).time_s is not None:
        left = (ROOM_C + ZERO_C_K) / (braze.setup.filler.solidus_C + ZERO_C_K)
        text += (
            f": gas shut in as filler sets falls to {100 * left:.0f} % of its pressure and draws "
            "it in"
        )
    text += "."
    yield Instruction("hollow", text, None, f"{MODEL}; ideal gas")
    text = (
        "Rinse long in hot water, then in water with a little soda, rinse again and bake it dry "
        "just above 100 °C, any opening turned away, before any flame: what is shut in comes out "
        "as steam."
    )
    yield Instruction("hollow", text, _into_water(braze, found), PRACTICE)


def _pickle(braze: Braze, found: Aftercare) -> Iterator[Instruction]:
    """Acid as practised, where there is nothing that keeps it."""
    setup = braze.setup
    if not found.pickle or setup.coat.thickness <= 0.0:
        return
    if setup.flux.corrosive and not found.black:
        text = "Pickling is not called for by this run; only if black residue stays in hot water:"
    else:
        text = "What water leaves comes off in acid:"
    text += (
        " about a minute in 10 % hydrochloric acid, or half an hour in strong citric acid; rinse, "
        "neutralise in a mild base such as soda, rinse, dry."
    )
    source = (
        f"{PRACTICE}; read: 25 % hydrochloric at 60 to 70 °C for half to two minutes, or 10 to "
        "25 % of it or phosphoric at 49 to 65 °C, citric at 49 °C"
    )
    yield Instruction("pickle", text, braze.cooling.touch_s, source)
    text = (
        "Acid: into water, never water into acid; cold work only; face shield, gloves, apron, "
        "fresh air; never hydrofluoric acid or anything that holds it, never near bleach. Its "
        "data sheet, local codes on acid and drains, and licensed practice come first."
    )
    yield Instruction("pickle", text, None, PRACTICE)
    hard = [name for name in ("ball", "rod") if getattr(setup, name).ac1_C is not None]
    if hard:
        text = (
            f"Acid makes hardened or spring steel brittle by hydrogen (the {' and the '.join(hard)}"
            " can be hard): rather citric acid, short, and bake it afterwards."
        )
        yield Instruction("pickle", text, None, MEMORY)


def _corrosion(braze: Braze) -> Iterator[Instruction]:
    setup = braze.setup
    stainless = "stainless" in (setup.ball.name, setup.rod.name)
    if stainless and (setup.filler.zinc_percent is None or setup.filler.zinc_percent > 0.0):
        text = (
            f"{setup.filler.name} on stainless steel: filler with zinc comes loose along the seam "
            "in water; keep the joint dry, or use one without zinc, with nickel and tin (Ag 463)."
        )
        if setup.filler.zinc_percent is None:
            text = f"Its zinc is not known. {text}"
        yield Instruction("corrosion", text, None, MEMORY)


def _hardness(braze: Braze, found: Aftercare) -> Iterator[Instruction]:
    """What can harden: whether it did, and how fast it cooled."""
    for part in ("ball", "rod"):
        limit = _limit(braze, HARDENS[part])
        if limit is None:
            continue
        low, high = ac1_C(braze.setup, part)
        told = f"The {part} came to {limit.value:.0f} °C"
        known = f"{limit.limit:.0f} °C, known to lie from {low:.0f} to {high:.0f} °C"
        if limit.ok:
            text = (
                f"{told}, below where it hardens ({known}): it stays soft where it was soft, and "
                "hardness it had is lost near the joint."
            )
            if part in found.hardened:
                text += " So near, it may have hardened all the same."
        else:
            text = f"{told}, above where it hardens ({known}): it hardens again on cooling"
            rate = braze.cooling.rate_K_s
            if rate is not None and part == "ball":
                pace = f"{two_digits(rate)} K/s from 700 to 500 °C"
                text += f" ({pace}; how hard that makes it is not known)"
            text += ". Drill and tap before brazing; afterwards a drill may not bite."
        yield Instruction("hardness", text, None, f"{MODEL}; {limit.source}")


def _dry(found: Aftercare) -> Iterator[Instruction]:
    """Water in a hole before the flame; where something stayed hollow, that is told with it."""
    if found.pickle:
        text = (
            "After washing or pickling dry it slowly before the flame: water drawn into a hole "
            "bursts out as steam."
        )
        yield Instruction("dry", text, None, PRACTICE)


def _again(braze: Braze, found: Aftercare) -> Iterator[Instruction]:
    """Whether it can be heated again, and what that takes."""
    filler = braze.setup.filler
    text = (
        f"It can be heated again: from {filler.solidus_C:.0f} °C filler softens, at "
        f"{filler.liquidus_C:.0f} °C it flows. Support ball and rod first."
    )
    yield Instruction("again", text, None, f"melting range of {filler.name}: {filler.provenance}")
    if filler.zinc_percent != 0.0 and any(_passed(braze, name) for name in ZINC_GONE):
        text = "Zinc was driven off in this run: what is left melts higher, by an unknown step."
        yield Instruction("again", text, None, f"{MODEL}; {PRACTICE}")
    if braze.setup.coat.thickness > 0.0:
        spent = max((x.value for x in braze.limits if x.name in SPENT), default=0.0)
        text = (
            f"Flux anew: {spent:.0f} % of its life is spent, what is washed off is gone, and "
            "flux does not come back into a gap that is full. Clean and bright first"
        )
        text += "; add filler where it is missing." if found.dry_share > 0.0 else "."
        yield Instruction("again", text, None, f"{MODEL}; {PRACTICE}, to a factor of two at best")
    beside = _limit(braze, LimitName.NEIGHBOUR)
    if beside is not None:
        text = (
            f"The second joint came to {beside.value:.0f} °C, solidus {beside.limit:.0f} °C: every "
            "heating puts it to the same test."
        )
        yield Instruction("again", text, None, MODEL)
    if found.hardened:
        text = (
            "What may be hard now hardens again if it is heated as hot again; less hot softens it."
        )
        yield Instruction("again", text, None, PRACTICE)
