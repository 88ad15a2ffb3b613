"""How sure the times are, in words: bands, the count rule, the chance of each failure."""

from __future__ import annotations

from collections.abc import Iterator

from thermo.braze.stages import StageName
from thermo.show.wording.words import NO_BAND, capitalise, format_duration
from thermo.study.spread import COUNTED, SURE, Band, Count, Spread

NAMES = {
    "torch": "the torch's strength",
    "flame_width": "how wide the flame is",
    "transfer": "what the flame gives to the steel",
    "distance": "the distance you keep",
    "aim_mm": "where you aim",
    "emissivity": "what the part radiates",
    "gap_conductance": "how well the gap conducts",
    "filler_contact": "how the filler lies on",
    "clearance": "how wide the hole is drilled",
    "flux_coat": "how thick the flux is brushed",
    "cue_C": "when an eye says clear",
}
CUES = {
    StageName.FLUX_CLEAR: "the flux on the ball is clear",
    StageName.FLUX_MILKY: "the flux lies down milky",
    StageName.FLUX_DRY: "steaming stops",
}
FAILS = {
    "never-filled": "never fill",
    "spoilt": "are spoilt on the way",
    "second-joint-lets-go": "let the second joint go",
    "little-leeway": "leave less than 3 s of leeway",
}
SHOWN = 3  # inputs that are named, the most influential first


def band_words(band: Band) -> str:
    """A band of a time, such as "38 to 85 s"; open where a tenth and more never get there."""
    if band.low is None:
        return "never, for nine in ten"
    low = format_duration(band.low)
    if band.high is None:
        return f"{low} to never"
    high = format_duration(band.high)
    if low == high:
        return low
    same = low.split()[1:] == high.split()[1:]
    return f"{low.split()[0] if same else low} to {high}"


def count_line(spread: Spread) -> str:
    """The count rule in a sentence, or why there is none; empty where no cue is seen."""
    first = next((one for one in spread.counts if one.cue == StageName.FLUX_CLEAR), None)
    if first is None or spread.filled_share == 0.0:
        return ""
    if not first.holds:
        why = f"only {_share(spread.filled_share)} of torches of the kind fill it"
        if spread.filled_share >= SURE:
            why = "torch and joint are too near the edge"
        return f"No count to go by: {why}. Go by the ring alone."
    return f"Count from striking the flame until {_ratio(first)}"


def sure_words(spread: Spread | None) -> str:
    """How sure the times of a picture are, in a sentence."""
    if spread is None:
        return NO_BAND
    band = spread.band(StageName.FILLED)
    if band.low is None:
        return chances(spread)
    return (
        f"Gap full at {band_words(band)} for eight in ten of {spread.count} draws of torch, hand, "
        "flux and contacts."
    )


def ratio_words(spread: Spread) -> str:
    """By how much the count to clear flux is taken, such as "1.7 (1.5 to 2.2)"; "-" for no rule."""
    first = next((one for one in spread.counts if one.cue == StageName.FLUX_CLEAR), None)
    if first is None or not first.holds:
        return "-"
    band = first.band
    return f"{band.middle:.1f}\n{band.low:.1f} to {band.high:.1f}"


def _ratio(count: Count) -> str:
    band = count.band
    assert band.low is not None and band.middle is not None and band.high is not None
    return (
        f"{CUES[count.cue]}. The joint fills at {band.middle:.1f} times that count "
        f"({band.low:.1f} to {band.high:.1f})."
    )


def chances(spread: Spread) -> str:
    """What becomes of torches and hands like this one, in a sentence."""
    fails = [
        f"{_share(share)} {FAILS[name]}"
        for name, share in sorted(spread.fails.items(), key=lambda item: -item[1])
        if share > 0.0
    ]
    if not fails:
        return f"Of {spread.count} torches and hands of the kind, all fill it."
    if spread.filled_share == 0.0:
        return f"Of {spread.count} torches and hands of the kind, none fills it."
    none = "none ends well: " if spread.well_share == 0.0 else ""
    return f"Of {spread.count} torches and hands of the kind, {none}{', '.join(fails)}."


def spread_lines(spread: Spread) -> Iterator[str]:
    """Everything about the bands, for the report."""
    yield (
        f"From {spread.count} draws of torch, hand, flux and contacts, within the ranges below; "
        "eight in ten lie in each band."
    )
    shown = {name: CUES[name] for name in reversed(COUNTED)} | {StageName.FILLED: "the gap is full"}
    bands = [
        f"{words}: {band_words(spread.band(name))}"
        for name, words in shown.items()
        if spread.band(name).low is not None
    ]
    if bands:
        yield capitalise(f"{'; '.join(bands)}.")
    yield from (f"Count until {_ratio(one)}" for one in spread.counts if one.holds)
    if not any(one.holds for one in spread.counts):
        yield count_line(spread) or "No cue to count by."
    yield chances(spread)
    yield f"What decides when it fills: {_influence(spread)}."
    for one in spread.ranges:
        yield f"{NAMES[one.key]}: {_range(one.key, one.low, one.high)} ({one.why})."


def _influence(spread: Spread) -> str:
    """The first few inputs with their share of the squared rank correlations."""
    squares = {key: value**2 for key, value in spread.influence.items()}
    whole = sum(squares.values())
    if whole == 0.0:
        return "nothing that was drawn"
    first = list(squares.items())[:SHOWN]
    return ", ".join(f"{NAMES[key]} {_share(value / whole)}" for key, value in first)


def _range(key: str, low: float, high: float) -> str:
    if key == "aim_mm":
        return f"{low:+.2g} to {high:+.2g} mm"
    if key == "cue_C":
        return f"{low:+.0f} to {high:+.0f} K"
    return f"{low:.2g} to {high:.2g} times"


def _share(share: float) -> str:
    return f"{100.0 * share:.0f} %"
