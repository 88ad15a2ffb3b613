"""Strategies by rank: the table, what differs and why."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import Group
from rich.table import Table
from rich.text import Text

from thermo.constants import IN_MM
from thermo.files import Case
from thermo.flame import StrategyName
from thermo.show.printing import STRONG, columns, section
from thermo.show.tables.compare_filler import filler_parts
from thermo.show.wording.strategies import HELD, reference, strategy_phrase
from thermo.show.wording.telling import (
    STAYS_UNFILLED,
    closed,
    end_well,
    filled,
    filled_in,
    heading,
    kelvin,
    notes_of,
    unfilled,
    unfilled_lines,
)
from thermo.show.wording.waiting import state
from thermo.show.wording.words import capitalise, format_duration, passed_words, printable, width
from thermo.study.compare import Comparison, Ranked
from thermo.study.ranking import TIE_K, TIE_S
from thermo.study.window import leeway_s, spoilt

NEAR, FAR = StrategyName.NEAR, StrategyName.FAR

PLAIN = (
    "Ranked: first what fills the gap and keeps the waiting filler within its limits, then by "
    f"leeway, in steps of {TIE_S:g} s, then by time."
)
ROBUST = (
    "Ranked: first what ends well most often; where the number of draws cannot tell, by the leeway "
    f"that nine in ten have, in steps of {TIE_S:g} s, then by time."
)
READ = (
    "Filled: the gap full all round. Ends: mouth "
    "less bottom of the gap, and how far apart they pass liquidus; sides: torch's side less the "
    "far one; both at the last moment before filler evens them out: when it first enters, or the "
    "gap is ready, or the flame is taken away. Lead: of the rod over the gap's coldest wall, at "
    "most, from the start on."
)
WELL = "End well"
SAME_SIDES = "ball, rod and gap are the same to all sides"


def compare_text(comparison: Comparison, case: Case) -> Group:
    """Ranked table, then in words what differs, why, and what the filler's side does.

    Parameters
    ----------
    comparison : Comparison
    case : Case
        Gives the kind of torch.
    """
    setup = comparison.strategies[0].run.setup
    joint = setup.joint
    parts = f"{IN_MM * joint.ball_diameter:g} mm ball on a {IN_MM * joint.rod_diameter:g} mm rod"
    return Group(
        *heading(setup, case.torch.kind, parts),
        Text(answer(comparison), STRONG),
        "",
        _table(comparison),
        *section(
            STAYS_UNFILLED,
            unfilled_lines((printable(one.name), one.run) for one in comparison.strategies),
        ),
        *filler_parts(comparison),
        *section("What differs", differences(comparison)),
        *section("Why", reasons(comparison)),
        *notes_of(*rules(comparison), spread=comparison.strategies[0].spread),
    )


def rules(comparison: Comparison) -> Iterator[str]:
    """How the strategies are ranked, and what the columns are."""
    yield PLAIN if comparison.strategies[0].spread is None else ROBUST
    yield READ


def answer(comparison: Comparison) -> str:
    """The first by rank, what ties with it, and what the filler keeps from being first."""
    first = comparison.strategies[0]
    if first.run.filled_s is None:
        return f"None of these gets the gap full; {strategy_phrase(first)} comes nearest."
    tied = [
        strategy_phrase(one) for one in comparison.strategies[1:] if _tied(comparison, first, one)
    ]
    also = f"; as good as that: {', '.join(tied)}" if tied else ""
    return (
        f"First by rank is {strategy_phrase(first)}: the gap is full at about "
        f"{filled(first.run)}, leeway "
        f"{width(first.run.leeway)}{also}.{_but(comparison)}"
    )


def _but(comparison: Comparison) -> str:
    """Where filler spoils what would come first by leeway, or even what does come first."""
    first, *others = comparison.strategies
    passed = spoilt(first.run)
    if passed:
        return f" Yet it passes on the way: {passed_words(passed)}."
    least = leeway_s(first.run) + TIE_S
    kept = [one for one in others if spoilt(one.run) and leeway_s(one.run) >= least]
    if not kept:
        return ""
    most = max(kept, key=lambda one: leeway_s(one.run))
    return (
        f" More leeway, {width(most.run.leeway)}, has {strategy_phrase(most)}, but passes on "
        f"the way: "
        f"{passed_words(spoilt(most.run))}."
    )


def differences(comparison: Comparison) -> Iterator[str]:
    """Each strategy against the ball's centre, in words, then which cannot be told apart."""
    base = reference(comparison)
    for one in comparison.strategies:
        if one is not base:
            yield from _against(one, base)
    pairs = [f"{printable(a)} with {printable(b)}" for a, b in comparison.ties]
    if pairs:
        told = f"less than {TIE_S:g} s and {TIE_K:g} K apart"
        if base.spread is not None:
            told = "the draws do not tell them apart"
        yield f"Ties, {told}: {'; '.join(pairs)}."


def reasons(comparison: Comparison) -> Iterator[str]:
    """Why they differ, as far as the runs show it."""
    base, runs = reference(comparison), comparison.strategies
    ends = base.gap_spread.end_to_end_K
    if ends <= -TIE_K:
        yield (
            f"With the flame on {strategy_phrase(base)} the mouth is the colder end of the gap, by "
            f"{kelvin(-ends)}: the rod draws heat off there."
        )
    elif ends >= TIE_K:
        yield (
            f"With the flame on {strategy_phrase(base)} the mouth is the hotter end of the gap, by "
            f"{kelvin(ends)}: rod and mouth are thin and gain faster than the ball behind."
        )
    most_ends, most_sides = (
        max(abs(getattr(one.gap_spread, name)) for one in runs)
        for name in ("end_to_end_K", "side_to_side_K")
    )
    if most_ends - most_sides >= TIE_K:
        yield (
            f"Side to side the gap differs by {kelvin(most_sides)} at most, end to end by up to "
            f"{kelvin(most_ends)}: heat crosses the ball faster than the flame brings it, so the "
            "height of the aim counts for more than the side."
        )
    ahead = [strategy_phrase(one) for one in runs if _rod_tripped(one)]
    if ahead:
        yield (
            "A bare rod in the flame runs ahead of the ball, being thinner, and filler runs toward "
            f"the heat: too far ahead with {', '.join(ahead)}."
        )
    setup = base.run.setup
    if setup.joint.eccentricity == 0 and setup.support == "free" and _has_own_sides(comparison):
        if setup.snip.central:
            tail = f"{NEAR} and {FAR} mirror each other, there is nothing to rank between them."
        else:
            tail = f"between {NEAR} and {FAR} only the filler differs."
        yield f"{capitalise(SAME_SIDES)}: {tail}"


def _tied(comparison: Comparison, a: Ranked, b: Ranked) -> bool:
    return (a.name, b.name) in comparison.ties or (b.name, a.name) in comparison.ties


def _table(comparison: Comparison) -> Table:
    known = comparison.strategies[0].spread is not None
    heads = ("", "Strategy", "Filled", *([WELL] if known else []))
    heads = (*heads, "Filler", "Leeway", "closed by", "Ends", "Sides", "Lead")
    table = columns(*heads, words=("Strategy", "Filler", "closed by"))
    for one in comparison.strategies:
        spread, leeway = one.gap_spread, one.run.leeway
        table.add_row(
            str(one.rank),
            Text(printable(one.name)),
            filled_in(one.run, one.spread),
            *([end_well(one.spread)] if known else []),
            state(one.run),
            width(leeway),
            closed(leeway),
            _both(spread.end_to_end_K, spread.end_to_end_s),
            _both(spread.side_to_side_K, spread.side_to_side_s),
            kelvin(one.rod_lead_K),
        )
    return table


def _both(difference: float, lag: float | None) -> str:
    """A spread in kelvin and in seconds."""
    return kelvin(difference) if lag is None else f"{kelvin(difference)}\n{abs(lag):.0f} s"


def _has_own_sides(comparison: Comparison) -> bool:
    """True where near and far side are there as we name them."""
    return {HELD[NEAR], HELD[FAR]} <= {strategy_phrase(one) for one in comparison.strategies}


def _against(one: Ranked, other: Ranked) -> Iterator[str]:
    """One strategy against another; nothing where they do not differ."""
    time, sooner = _time(one, other)
    spread = _evenness(one, other, sooner)
    rest = list(_rest(one, other))
    if not (time or spread or rest):
        return
    never = one.run.filled_s is None
    alike = "the gap comes as near as" if never else "the gap is full as soon as"
    opening = time or f"{alike} with {strategy_phrase(other)}"
    yield " ".join([f"{capitalise(strategy_phrase(one))}: {opening}{spread}.", *rest])


def _time(one: Ranked, other: Ranked) -> tuple[str, bool]:
    """How much sooner or later the gap is full, "" for alike; and whether that is no loss."""
    mine, its = (ranked.run.filled_s for ranked in (one, other))
    than = f"than with {strategy_phrase(other)}"
    if mine is None and its is None:
        gain = one.run.coldest_C - other.run.coldest_C
        if abs(gain) < TIE_K:
            return "", True
        more = "hotter" if gain > 0 else "less hot"
        return f"the gap's coldest wall gets {kelvin(abs(gain))} {more} {than}", gain > 0
    if mine is None:
        return (
            f"the gap is never full ({unfilled(one.run)}); with {strategy_phrase(other)} it is",
            False,
        )
    if its is None:
        return (
            f"the gap is full; with {strategy_phrase(other)} it never is ({unfilled(other.run)})",
            True,
        )
    if abs(mine - its) < TIE_S:
        return "", True
    sooner = "sooner" if mine < its else "later"
    return f"the gap is full {format_duration(abs(mine - its))} {sooner} {than}", mine < its


def _evenness(one: Ranked, other: Ranked, sooner: bool) -> str:
    """Where the gap gets more even, and where less; joined to what came before by its drift."""
    better, worse = [], []
    for words, name in (("end to end", "end_to_end_K"), ("side to side", "side_to_side_K")):
        mine, its = (abs(getattr(ranked.gap_spread, name)) for ranked in (one, other))
        text = f"{kelvin(mine)} {words} instead of {kelvin(its)}"
        if its - mine >= TIE_K:
            better.append(text)
        elif mine - its >= TIE_K:
            worse.append(text)
    text = f", {'and' if sooner else 'but'} more even: {', '.join(better)}" if better else ""
    join = "but" if better or sooner else "and"
    return text + (f", {join} less even: {', '.join(worse)}" if worse else "")


def _rest(one: Ranked, other: Ranked) -> Iterator[str]:
    """The rod's lead and the leeway, where they differ."""
    if abs(one.rod_lead_K - other.rod_lead_K) >= TIE_K:
        yield (
            f"The rod runs up to {kelvin(one.rod_lead_K)} ahead of the gap's coldest wall instead "
            f"of {kelvin(other.rod_lead_K)}."
        )
    if abs(leeway_s(one.run) - leeway_s(other.run)) >= TIE_S:
        mine, its = one.run.leeway, other.run.leeway
        by = f" ({closed(mine)})" if mine.closed_by else ""
        if mine.opens_s is not None and its.opens_s is not None:
            yield f"Leeway: {width(mine)}{by} instead of {width(its)}."


def _rod_tripped(one: Ranked) -> bool:
    """True where the rod ran too far ahead on the way."""
    return any(limit.unit == "K" and not limit.ok for limit in one.run.limits)
