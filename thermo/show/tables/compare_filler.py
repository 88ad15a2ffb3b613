"""What strategies do to the filler that lies and waits for the gap."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import RenderableType
from rich.text import Text

from thermo.braze.filler.snip import Melting
from thermo.braze.limits import WAITS_S
from thermo.show.printing import STRONG, columns, section
from thermo.show.wording.filler import MEANWHILE, better_laid, laid
from thermo.show.wording.strategies import reference, strategy_phrase
from thermo.show.wording.telling import NEVER, filled, when
from thermo.show.wording.words import capitalise, format_duration, printable
from thermo.study.compare import Comparison, Ranked
from thermo.study.ranking import TIE_S
from thermo.study.window import spoilt

OPPOSITE = (
    "Common practice, no source: heat opposite the filler, so that it melts last; molten too early "
    "it balls up or runs over the ball."
)


def filler_parts(comparison: Comparison) -> Iterator[RenderableType]:
    """Where it waits in vain or too hot, and when a snip at the mouth melts on either side."""
    spoils = [one for one in comparison.strategies if spoilt(one.run)]
    if spoils:
        yield from section("The filler as it lies", _waiting(spoils))
    melting = [(one, one.melting) for one in comparison.strategies if one.melting is not None]
    if not melting:
        return
    yield Text()
    yield Text("Filler at the mouth, when a snip of it melts:", STRONG)
    heads = ("Strategy", "On the flame's side", "Opposite", "Gap can take it")
    table = columns(*heads, words=heads[:3])
    for one, (flame, opposite) in melting:
        table.add_row(Text(printable(one.name)), span(flame), span(opposite), filled(one.run))
    yield table
    yield from section("The filler's side", _advice(comparison))


def _waiting(spoils: Sequence[Ranked]) -> Iterator[str]:
    """With which strategies it passes its limits, what these are, and what to do."""
    for one in spoils:
        found = one.run.filler
        taken = "and the gap never takes it" if found.first_s is None else "before the gap takes it"
        yield (
            f"{capitalise(strategy_phrase(one))}: molten at {when(found.molten_s)}, "
            f"{format_duration(found.waits_s)} "
            f"{taken}, up to {found.hottest_C:.0f} °C."
        )
    setup = spoils[0].run.setup
    yield (
        f"It is {laid(setup)}. Its range ends at {setup.filler.brazing_top_C:.0f} °C, and it "
        f"should not wait longer than {WAITS_S:.0f} s (assumed, no source): {MEANWHILE}. These "
        f"rank behind; {better_laid(setup)}, and leeway decides."
    )


def _advice(comparison: Comparison) -> Iterator[str]:
    """What the model says of the filler's side, and apart from it what practice says."""
    base = reference(comparison)
    if base.melting is None:
        return
    takes = base.run.filled_s
    flame, opposite = (_early(one.middle_s, takes) for one in base.melting)
    yield (
        f"The model says, with the flame on {strategy_phrase(base)}: a snip on the flame's side "
        f"{flame}; one opposite {opposite}. Both for the middle of what a snip's contact and its "
        "share of the flame may be."
    )
    yield OPPOSITE


def _early(melts: float | None, takes: float | None) -> str:
    if melts is None:
        return "does not melt before the flame is away"
    if takes is None:
        return f"melts at {format_duration(melts)}, and the gap can never take it"
    if abs(takes - melts) < TIE_S:
        return "melts just when the gap can take it"
    order = "before" if melts < takes else "after"
    return f"melts {format_duration(abs(takes - melts))} {order} the gap can take it"


def span(one: Melting) -> str:
    """When a snip melts, over what its contact and exposure may be."""
    if one.earliest_s is None:
        return "not before the flame is away"
    if one.middle_s is None:
        return f"{format_duration(one.earliest_s)} at the earliest, or never"
    middle = f"about {format_duration(one.middle_s)}"
    if one.latest_s is None:
        return f"from {format_duration(one.earliest_s)}, {middle}, or {NEVER}"
    return f"{format_duration(one.earliest_s).removesuffix(' s')} to {when(one.latest_s)}, {middle}"
