"""After the braze: cleaning by flux and by what stayed hollow, hardness, and heating it again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from thermo.braze import Braze, Limit, amount
from thermo.braze.limits import NEIGHBOUR
from thermo.braze.stages import WASH_BELOW_C
from thermo.matter import Solid

MODEL = "computed"
PRACTICE = "common practice, no source"
MEMORY = "from memory"
ARTICLE = "read in an article on torch brazing"
KELVIN = 273.15
ROOM_C = 20.0
MM3 = 1e9
SPENT = ("flux in the gap spent", "flux at the mouth spent")
OVERHEATED = ("flux above its range", "flux in the gap above its range")
ZINC_GONE = ("filler overheated", "zinc leaves the filler")
APART = 1e-6
"""Metals that shrink apart by more than this across the joint cool in air (assumed) [m]."""
HOLLOW = 0.5
"""A bottom less filled than this counts as hollow."""


@dataclass(frozen=True)
class Step:
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


@dataclass(frozen=True)
class After:
    """What to do with a joint once it is brazed.

    Attributes
    ----------
    steps : tuple of Step
        In the order of work.
    black : bool
        True where flux was spent or overheated in this run: its residue is black.
    dry_share : float
        Share of the gap's room that stayed without filler [-].
    hollow : float
        Room at the hole's bottom that stayed without filler and has no other way out [m³].
    pickle : bool
        False where acid would be drawn into the joint and stay there.
    hardened : tuple of str
        "ball", "rod": parts that came to where their transformation may lie, and may be hard.
    """

    steps: tuple[Step, ...]
    black: bool
    dry_share: float
    hollow: float
    pickle: bool
    hardened: tuple[str, ...]

    @property
    def full(self) -> bool:
        """True where no place of the gap stayed dry."""
        return self.dry_share <= 0.0


def after(braze: Braze) -> After:
    """Cleaning, hardness and reheating of one joint.

    Parameters
    ----------
    braze : Braze

    Returns
    -------
    After

    Source: common practice, articles and memory as each step says; nothing of it is modelled but
    times, temperatures, hollow places and the life of flux.
    """
    dry = braze.filler.dry
    found = After(
        steps=(),
        black=any(not limit.ok for limit in braze.limits if limit.name in SPENT + OVERHEATED),
        dry_share=0.0 if dry is None else dry.share,
        hollow=_hollow(braze),
        pickle=dry is None and _hollow(braze) <= 0.0,
        hardened=tuple(part for part in ("ball", "rod") if _may_harden(braze, part)),
    )
    steps = (
        *_cool(braze, found),
        *_wash(braze, found),
        *_hollow_places(braze, found),
        *_pickle(braze, found),
        *_corrosion(braze),
        *_dry(found),
        *_hardness(braze, found),
        *_again(braze, found),
    )
    return replace(found, steps=steps)


def _limit(braze: Braze, name: str) -> Limit | None:
    return next((limit for limit in braze.limits if limit.name == name), None)


def _passed(braze: Braze, name: str) -> bool:
    limit = _limit(braze, name)
    return limit is not None and not limit.ok


def _may_harden(braze: Braze, part: str) -> bool:
    """True where a part came to the lower end of where its steel hardens."""
    limit = _limit(braze, f"{part} hardens again")
    return limit is not None and limit.value >= _ac1_C(braze, part)[0]


def _ac1_C(braze: Braze, part: str) -> tuple[float, float]:
    """Between which temperatures the transformation is known to lie [°C]."""
    solid: Solid = getattr(braze.setup, part)
    return solid.records["ac1_C"].range


def _hollow(braze: Braze) -> float:
    """Room at a closed bottom that filler has not come to [m³]."""
    if not braze.setup.joint.closed:
        return 0.0
    room = amount(braze.setup).hot.bottom
    held = braze.filler.poured.bottom
    return room - held if held < HOLLOW * room else 0.0


def _into_water(braze: Braze, found: After) -> float | None:
    """When it may come into water at the earliest; None where it never got hot [s]."""
    hot = any(braze.stage(name).time_s is not None for name in ("solid", "wash"))
    return braze.cooling.touch_s if hot else None


def _shrinks_apart(braze: Braze) -> float:
    """Difference between rod and ball, in shrinking by the rod's diameter from the solidus [m]."""
    setup = braze.setup
    at_C = setup.filler.solidus_C
    ball, rod = (float(solid.elongation(at_C)) for solid in (setup.ball, setup.rod))
    return abs(rod - ball) * setup.joint.rod_diameter


def _cool(braze: Braze, found: After) -> Iterator[Step]:
    """What has to wait before water."""
    if braze.stage("solid").time_s is None:
        text = "The filler never melted in all of the gap: nothing to be counted on holds it yet."
        yield Step("cool", text, None, MODEL)
        return
    apart = _shrinks_apart(braze)
    if apart > APART:
        text = (
            "Let it go cold in still air before water: cooling, the rod's metal shrinks by "
            f"{1e6 * apart:.1f} µm more or less than the ball's across the joint; a quench can "
            "crack it."
        )
        yield Step("cool", text, None, f"{ARTICLE}; {MODEL}")
    if found.hardened:
        text = (
            f"Not into water above {WASH_BELOW_C:.0f} °C: the {' and the '.join(found.hardened)} "
            "may harden and crack."
        )
        yield Step("cool", text, braze.stage("wash").time_s, PRACTICE)


def _wash(braze: Braze, found: After) -> Iterator[Step]:
    """Flux off: in hot water, or by tools where it is glass."""
    flux = braze.setup.flux
    if braze.setup.coat.thickness <= 0.0:
        yield Step("wash", "No flux was used: no residue to wash off.", None, PRACTICE)
        return
    if flux.corrosive:
        harm = "corrodes" if flux.residue.startswith("corrosive") else "is taken to corrode"
        text = (
            f"Residue of {flux.name} {harm}: water of 50 °C or hotter, and a brush, until nothing "
            "is left; rinse and dry."
        )
        yield Step("wash", text, _into_water(braze, found), ARTICLE)
    else:
        text = (
            f"Residue of {flux.name} is glass that water hardly takes: chip, brush or blast it off "
            "behind eye protection, splinters cut."
        )
        yield Step("wash", text, None, PRACTICE)
    if found.black:
        text = (
            "Flux was spent or overheated in this run: black or green residue stays in water and "
            "needs tools, or acid where it may be used."
        )
        yield Step("wash", text, None, MODEL)


def _hollow_places(braze: Braze, found: After) -> Iterator[Step]:
    """What is hollow draws in what it is dipped in."""
    if found.pickle:
        return
    where = []
    if found.dry_share > 0.0:
        where.append(f"{100 * found.dry_share:.0f} % of the gap stayed dry")
    if found.hollow > 0.0:
        where.append(f"{MM3 * found.hollow:.2g} mm³ at the hole's bottom stayed hollow")
    text = f"Do not pickle: {' and '.join(where)}; acid gets in and stays"
    if braze.stage("solid").time_s is not None:
        left = (ROOM_C + KELVIN) / (braze.setup.filler.solidus_C + KELVIN)
        text += (
            f": gas shut in as filler sets falls to {100 * left:.0f} % of its pressure and draws "
            "it in"
        )
    text += "."
    yield Step("hollow", text, None, f"{MODEL}; ideal gas")
    text = (
        "Rinse long in hot water, then in water with a little soda, rinse again and bake it dry "
        "just above 100 °C, any opening turned away, before any flame: what is shut in comes out "
        "as steam."
    )
    yield Step("hollow", text, _into_water(braze, found), PRACTICE)


def _pickle(braze: Braze, found: After) -> Iterator[Step]:
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
    yield Step("pickle", text, braze.cooling.touch_s, source)
    text = (
        "Acid: into water, never water into acid; cold work only; face shield, gloves, apron, "
        "fresh air; never hydrofluoric acid or anything that holds it, never near bleach. Its "
        "data sheet, local codes on acid and drains, and licensed practice come first."
    )
    yield Step("pickle", text, None, PRACTICE)
    hard = [name for name in ("ball", "rod") if getattr(setup, name).ac1_C is not None]
    if hard:
        text = (
            f"Acid makes hardened or spring steel brittle by hydrogen (the {' and the '.join(hard)}"
            " can be hard): rather citric acid, short, and bake it afterwards."
        )
        yield Step("pickle", text, None, MEMORY)


def _corrosion(braze: Braze) -> Iterator[Step]:
    setup = braze.setup
    stainless = "stainless" in (setup.ball.name, setup.rod.name)
    if stainless and (setup.filler.zinc_percent is None or setup.filler.zinc_percent > 0.0):
        text = (
            f"{setup.filler.name} on stainless steel: filler with zinc comes loose along the seam "
            "in water; keep the joint dry, or use one without zinc, with nickel and tin (Ag 463)."
        )
        if setup.filler.zinc_percent is None:
            text = f"Its zinc is not known. {text}"
        yield Step("corrosion", text, None, MEMORY)


def _hardness(braze: Braze, found: After) -> Iterator[Step]:
    """What can harden: whether it did, and how fast it cooled."""
    for part in ("ball", "rod"):
        limit = _limit(braze, f"{part} hardens again")
        if limit is None:
            continue
        low, high = _ac1_C(braze, part)
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
                text += f" ({rate:.2g} K/s from 700 to 500 °C; how hard that makes it is not known)"
            text += ". Drill and tap before brazing; afterwards a drill may not bite."
        yield Step("hardness", text, None, f"{MODEL}; {limit.source}")


def _dry(found: After) -> Iterator[Step]:
    """Water in a hole before the flame; where something stayed hollow, that is told with it."""
    if found.pickle:
        text = (
            "After washing or pickling dry it slowly before the flame: water drawn into a hole "
            "bursts out as steam."
        )
        yield Step("dry", text, None, PRACTICE)


def _again(braze: Braze, found: After) -> Iterator[Step]:
    """Whether it can be heated again, and what that takes."""
    filler = braze.setup.filler
    text = (
        f"It can be heated again: from {filler.solidus_C:.0f} °C filler softens, at "
        f"{filler.liquidus_C:.0f} °C it flows. Support ball and rod first."
    )
    yield Step("again", text, None, f"melting range of {filler.name}: {filler.provenance}")
    if filler.zinc_percent != 0.0 and any(_passed(braze, name) for name in ZINC_GONE):
        text = "Zinc was driven off in this run: what is left melts higher, by an unknown step."
        yield Step("again", text, None, f"{MODEL}; {PRACTICE}")
    if braze.setup.coat.thickness > 0.0:
        spent = max((x.value for x in braze.limits if x.name in SPENT), default=0.0)
        text = (
            f"Flux anew: {spent:.0f} % of its life is spent, what is washed off is gone, and "
            "flux does not come back into a gap that is full. Clean and bright first"
        )
        text += "; add filler where it is missing." if found.dry_share > 0.0 else "."
        yield Step("again", text, None, f"{MODEL}; {PRACTICE}, to a factor of two at best")
    beside = _limit(braze, NEIGHBOUR)
    if beside is not None:
        text = (
            f"The second joint came to {beside.value:.0f} °C, solidus {beside.limit:.0f} °C: every "
            "heating puts it to the same test."
        )
        yield Step("again", text, None, MODEL)
    if found.hardened:
        text = (
            "What may be hard now hardens again if it is heated as hot again; less hot softens it."
        )
        yield Step("again", text, None, PRACTICE)
