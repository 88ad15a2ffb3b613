"""A short programme on spares: what to do, what to watch, what passing looks like, what to log."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rich.console import Group
from rich.text import Text

from thermo.braze import Braze
from thermo.braze.stages import StageName
from thermo.constants import IN_MM
from thermo.show.card.setting import flame_words, wire_words
from thermo.show.printing import GRAVE, STRONG, section
from thermo.show.wording.cautions import cautions
from thermo.show.wording.logs import as_log, log_line
from thermo.show.wording.spread import band_words, count_line
from thermo.show.wording.words import NO_BAND, format_duration, printable
from thermo.study.practice import AGREE, TRIES, Practice, lead
from thermo.study.spread import Spread

SAWN = (
    "Let it cool till a hand bears it, wash it, then saw or file it open along the rod, clamped in "
    "a vice, never held in the fingers. Look along both walls: filler bright from the mouth to the "
    "rod's tip, no grey or glassy patch (flux shut in), no bare steel."
)
FAILS = (
    "Filler only at the mouth: the flame went too soon; wait for the ring all round, and 2 s more. "
    "Glassy patches: too little heat, or paste packed into the hole. Bare steel on one side: "
    "clean, and centre the rod."
)
LOG = (
    "log.csv has a line for each try: fill in the seconds, outcome (sound, dry, burnt, burst, "
    "let-go) and a remark; drop lines that you did not use. Then: brazeclock fit-torch log.csv; "
    "and later brazeclock fit-torch log.csv --score."
)


def practice_text(found: Practice) -> Group:
    """The programme.

    Parameters
    ----------
    found : Practice
    """
    spread = found.joint_spread
    sure = NO_BAND if spread is None else count_line(spread)
    return Group(
        Text(f"Practice for: {printable(found.case.title)}", STRONG),
        Text("Four steps on spares, an hour or so. Go on when a step passes."),
        *section("Cautions", cautions(found.joint.setup), GRAVE),
        *section("1. A plain ball to clear flux", plain_lines(found)),
        *section("2. A joint on a spare ball, sawn open", sawn_lines(found)),
        *section("3. The same again, whole", whole_lines(found)),
        *section("4. The real one", real_lines(found)),
        *section("How sure", [sure] if sure else []),
        *section("Log", [LOG]),
    )


def plain_lines(found: Practice) -> Iterator[str]:
    """The cheapest piece that heats alike: what to do, watch, and when it passes."""
    setup = found.plain.setup
    ball, wire = (IN_MM * x for x in (setup.joint.ball_diameter, setup.joint.rod_diameter))
    yield (
        f"Undrilled {ball:g} mm ball of the same steel on a {wire:.2g} mm wire, fluxed as thick as "
        "the joint. No filler and no closed hole: nothing is wasted."
    )
    yield f"Flame {flame_words(found.plain)}. Count from striking it."
    yield (
        f"Watch: steaming stops ({_when(found.plain, StageName.FLUX_DRY, found.plain_spread)}), "
        f"then the flux goes clear as water ({_clear(found)}). Take the flame away at once."
    )
    share = lead(found)
    if not math.isnan(share):
        yield (
            f"The joint's own flux clears at {1.0 / share:.1f} times this count: rod and hole take "
            "heat too."
        )
    yield (
        f"Passes: {TRIES} counts in a row within {100 * AGREE:.0f} % of their mean. If they stray, "
        "the distance does: mark it with a wire stop."
    )


def sawn_lines(found: Practice) -> Iterator[str]:
    """A joint on a spare ball, and what it must look like inside."""
    joint = found.joint
    yield (
        f"Drill a spare ball as the case says, same rod, {wire_words(joint)} "
        f"Flame {flame_words(joint)}."
    )
    yield f"Watch: {', '.join(_cues(found))}. {_away(joint)}"
    yield SAWN
    yield f"Passes: bright filler to the tip on both walls. If not: {FAILS}"


def whole_lines(found: Practice) -> Iterator[str]:
    """The same, until it is a habit."""
    yield (
        "Two more spares, not sawn: a bright ring all round, no beads, the rod straight. Pull "
        "each by hand, once cold."
    )
    yield f"Passes: {TRIES} sound joints in a row, the sawn one among them."


def real_lines(found: Practice) -> Iterator[str]:
    """The real joint, with what practice told."""
    name = printable(found.case.name)
    yield (
        f"First fit your torch to the log, then: brazeclock heat {name}.toml with that torch file. "
        "Its bands are what your own hand and torch leave."
    )
    yield "Passes: the ring comes within the band, and stands all round."


def _cues(found: Practice) -> Iterator[str]:
    words = {
        StageName.FLUX_DRY: "steaming stops",
        StageName.FLUX_CLEAR: "flux clear",
        StageName.FILLED: "a bright ring all round",
    }
    for name, text in words.items():
        yield f"{text} {_when(found.joint, name, found.joint_spread)}"


def _clear(found: Practice) -> str:
    return _when(found.plain, StageName.FLUX_CLEAR, found.plain_spread)


def _when(run: Braze, name: StageName, spread: Spread | None) -> str:
    """When a stage is seen, with its band."""
    stage = run.stage(name)
    at = stage.time_s if stage.seen_s is None else stage.seen_s
    if at is None:
        return "never, by the model"
    band = "" if spread is None else f", {band_words(spread.band(name))}"
    return f"about {format_duration(at)}{band}"


def _away(run: Braze) -> str:
    if run.filled_s is None:
        reason = run.stage(StageName.FILLED).reason
        return f"By the model it never fills: {reason}. Run brazeclock heat for what would work."
    still = run.stage(StageName.SOLID).time_s or run.off_s
    words = f"Hold still until {format_duration(still, not_before=True)}."
    return f"Flame away a second or two after the ring. {words}"


def log_text(found: Practice) -> str:
    """A CSV log with a line for each try, its seconds left open.

    Parameters
    ----------
    found : Practice
    """
    plain, joint = (
        log_line(found.plain, None, way=False),
        log_line(found.joint, found.joint_spread),
    )
    lines = [plain | {"remark": f"plain ball {k}"} for k in range(1, TRIES + 1)]
    lines += [joint | {"remark": f"spare {k}"} for k in range(1, TRIES + 1)]
    return as_log([*lines, joint | {"remark": "the real one"}])
