"""What a log says of a torch, in words, and how to measure one outright."""

from __future__ import annotations

import math
from collections.abc import Iterator

from thermo.braze import Setup
from thermo.braze.stages import StageName
from thermo.constants import IN_MM
from thermo.show.wording.spread import NAMES
from thermo.show.wording.words import format_duration
from thermo.study.fit_torch import Cause, Factor, Told, TorchFit
from thermo.study.score import Score
from thermo.study.witness import CARRIED_S, balls_needed

SEEN = {
    StageName.FLUX_DRY: "steaming stops",
    StageName.FLUX_MILKY: "flux milky",
    StageName.FLUX_CLEAR: "flux clear",
    StageName.FILLED: "gap full",
}
FACTORS = {"torch": "strength", "transfer": "what the flame gives to the steel"}
WATER_ML, GLOW_C = 10.0, 650.0
"""The least water that covers a few small balls, and how hot they are made."""
BURNS = (
    "Goggles, bare dry hands away from the flame, a fire-proof bench. Balls burn long after they "
    "glow no more."
)
SPITS = (
    "Hot steel makes water spit and steam: a steel cup, arm's length, one ball at a time, face "
    "away. Never drop a drilled ball with flux or water shut in it."
)
RULES = (
    "Keep to the torch's own instructions, to gas licences and to local rules. Nothing here takes "
    "a danger away."
)
CAUTIONS = (BURNS, SPITS, RULES)


def headline(fit: TorchFit) -> str:
    """How fast the torch heats, in a sentence."""
    before, after = fit.pace
    assert after.middle is not None
    how = "as fast as the middle of its kind"
    if abs(after.middle - 1.0) >= 0.05:
        how = f"{after.middle:.2f} times as fast as the middle of its kind"
    return (
        f"Your torch heats {how} ({after.low:.2f} to {after.high:.2f}; before your rows "
        f"{before.low:.2f} to {before.high:.2f})."
    )


def factor_lines(fit: TorchFit) -> Iterator[str]:
    """Both factors before and after, and whether the rows tell them apart."""
    for one in fit.factors:
        yield (
            f"{FACTORS[one.key]}: {one.after.middle:.2f} ({_band(one)}); before the rows "
            f"{one.before.low:.2f} to {one.before.high:.2f}."
        )
    if not fit.apart:
        yield (
            "Your rows do not tell the two apart: a stronger flame that gives less does the same. "
            "Together they are surer than each. Rows of a much larger and a much smaller ball, or "
            "balls dropped into water, would tell."
        )


def _band(one: Factor) -> str:
    return f"{one.after.low:.2f} to {one.after.high:.2f}"


def observed(one: Told) -> str:
    """What a row says."""
    witness = one.surrogate.witness
    return _value(one, math.exp(witness.value))


def expected(one: Told) -> str:
    """What the fitted torch and the other rows would have it say."""
    low, high = one.expected.low, one.expected.high
    assert low is not None and high is not None
    first, second = _value(one, low), _value(one, high)
    return f"{first.split()[0] if first.split()[1:] == second.split()[1:] else first} to {second}"


def _value(one: Told, value: float) -> str:
    what = one.surrogate.witness.reading.what
    if what == "seen":
        return format_duration(value)
    return f"{value:.0f} J" if what == "heat" else f"{value:.0f} K"


def named(one: Told) -> str:
    """What was observed, by its name."""
    reading = one.surrogate.witness.reading
    if reading.stage is not None:
        return SEEN[reading.stage]
    return "heat of a ball" if reading.what == "heat" else "ball above the room"


def outlier_lines(fit: TorchFit) -> Iterator[str]:
    """Rows left out, once each by what lies farthest off, and what alone would explain it."""
    farthest: dict[int, Told] = {}
    for one in sorted(fit.told, key=lambda one: abs(one.off)):
        farthest[one.surrogate.witness.row] = one
    for _, one in sorted(farthest.items()):
        if one.left_out:
            way = "more" if one.off > 0 else "less"
            causes = "; ".join(map(cause_words, one.causes))
            why = f"As if {causes}." if causes else "Nothing of the hand alone explains it."
            yield (
                f"Row {one.surrogate.witness.row}, {named(one)} {observed(one)}: "
                f"{abs(one.off):.1f} deviations {way} than the other rows say ({expected(one)}); "
                f"left out. {why} Or the clock was started or stopped late, or the row is of "
                "another torch."
            )


def cause_words(cause: Cause) -> str:
    """What would explain an outlier, in a few words."""
    match cause.key:
        case "distance":
            return f"held {cause.value:.1f} times as far off"
        case "aim_mm":
            return f"aimed {abs(cause.value):.0f} mm {'up' if cause.value > 0 else 'down'} the part"
        case "clearance":
            return f"the hole drilled {cause.value:.1f} times as wide"
        case "flux_coat":
            return f"the flux brushed {cause.value:.1f} times as thick"
    return f"{NAMES[cause.key]} were another"


def measuring(setup: Setup) -> Iterator[str]:
    """Two ways to measure a torch outright, five minutes each, for the ball of a setup."""
    ball = f"{IN_MM * setup.joint.ball_diameter:g} mm ball"
    yield (
        f"Plain ball: hang a bare {ball} on a thin wire with a thermocouple twisted round it on "
        "the far side, no flux. Strike the flame, hold it as you always do, read the thermocouple "
        "after 20 s. Row: ball_diameter_mm, rod_diameter_mm (the wire), distance_mm, at_s, "
        "thermocouple_C. (The ball is a slug calorimeter, as in ASTM E457.)"
    )
    count = balls_needed(setup, GLOW_C, WATER_ML)
    many = f"{count} balls" if count > 1 else "one ball"
    yield (
        f"Balls into water: {WATER_ML:g} ml of water in a thin cup, a kitchen thermometer. Heat a "
        f"bare {ball} for a counted time, drop it in within {CARRIED_S:g} s, stir, read. For an "
        f"answer to 5 % it takes {many} at {GLOW_C:g} °C one after the other; with less water, or "
        "a larger ball, fewer. Row: ball_diameter_mm, rod_diameter_mm (the wire), heated_s, balls, "
        "water_ml, water_before_C, water_after_C."
    )


def score_line(score: Score) -> str:
    """How bands did that were told beforehand."""
    if score.count == 0:
        return (
            "No row has a band that was told beforehand: log told_low_s and told_high_s from the "
            "card before you strike the flame."
        )
    found = (
        f"{score.inside} of {score.count} joints filled within the band told beforehand; "
        f"{score.early} before it, {score.late} after it or never. Eight in ten should."
    )
    verdicts = {
        "too narrow": "The bands are too narrow: widen [uncertainty], or fit your torch.",
        "too wide": "The bands are too wide: fit your torch to narrow them.",
        "as told": "That is as it should be.",
        "too few rows": "Too few rows to tell whether the bands are right.",
    }
    return f"{found} {verdicts[score.verdict]}"
