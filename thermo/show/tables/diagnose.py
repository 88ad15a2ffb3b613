"""What may have gone wrong, nearest cause first."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from thermo.constants import IN_MM
from thermo.files import Case
from thermo.show.printing import GRAVE, STRONG, grid, section
from thermo.show.wording.causes import WORDS
from thermo.show.wording.diagnose import BURST, SCALE, SEEN, VERDICTS, answer, effect
from thermo.show.wording.telling import heading
from thermo.show.wording.words import NO_BAND, capitalise
from thermo.study.diagnose import Diagnosis, RankedCause, SymptomReport


def diagnose_text(found: Diagnosis, case: Case) -> Group:
    """Each symptom with its causes: what the model says, what practice says, what to change.

    Parameters
    ----------
    found : Diagnosis
    case : Case
        Gives the kind of torch.
    """
    setup = found.run.setup
    joint = setup.joint
    parts = f"{IN_MM * joint.ball_diameter:g} mm ball on a {IN_MM * joint.rod_diameter:g} mm rod"
    wet = any(seen.symptom == "burst" for seen in found.seen)
    return Group(
        *heading(setup, case.torch.kind, parts),
        *(part for seen in found.seen for part in _symptom(seen, found.ready_s)),
        *section("Good to know", [SCALE, NO_BAND, *([BURST] if wet else [])]),
    )


def _symptom(seen: SymptomReport, ready_s: float | None) -> Iterator[RenderableType]:
    yield Text()
    yield Text(f"Seen: {SEEN[seen.symptom]}.", STRONG)
    yield Text(answer(seen), "" if seen.first else GRAVE)
    for cause in seen.signs:
        yield from _told(cause, ready_s)
    without = [WORDS[c.name].name for c in seen.causes if c.verdict == "none"]
    if without and seen.signs:
        yield Text()
        yield Text(f"No sign of: {'; '.join(without)}.")
    for cause in (c for c in seen.causes if c.verdict == "unknown"):
        yield from _told(cause, ready_s)


def _told(cause: RankedCause, ready_s: float | None) -> Iterator[RenderableType]:
    words, score = WORDS[cause.name], cause.sign.score
    place = "?" if cause.rank is None else f"{cause.rank}."
    verdict = VERDICTS[cause.verdict]
    if score is not None:
        verdict += f", {score:.1f}" if score < 10.0 else ", 10 or more"
    yield Text()
    yield Text(f"{place:<3}{capitalise(words.name)}: {verdict}")
    table = grid()
    table.add_column(no_wrap=True)
    rows = [
        ("model", words.model_says(cause.sign)),
        ("practice", f"{words.practice} ({words.source})"),
        *((("ask", words.asks),) if words.asks else ()),
        ("change", words.change),
        *(("tried", f"{effect(tried, cause, ready_s)}.") for tried in cause.tried),
    ]
    for name, line in rows:
        table.add_row(name, Text(line))
    yield Padding(table, (0, 0, 0, 3))
