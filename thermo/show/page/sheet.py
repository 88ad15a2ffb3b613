"""The bench page as one HTML text: the card's own words, the set-up drawn, the clock."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from importlib import resources
from typing import Any

from jinja2 import Environment, Template
from markupsafe import Markup, escape

from thermo import __version__
from thermo.braze import Braze
from thermo.braze.filler.preforms import measured
from thermo.constants import IN_MM
from thermo.files.errors import screened
from thermo.show.card.bench import card_entries
from thermo.show.card.lines import STOP, Entry
from thermo.show.page.data import clock_data
from thermo.show.pictures.heat import setup_svg
from thermo.show.wording.spread import sure_words
from thermo.show.wording.way import way_line
from thermo.show.wording.words import printable
from thermo.study.answer import Answer

OUTCOMES = ("sound", "dry", "burnt", "burst", "let-go")
HOW = {"Do": "What would work", "Hold": "Hold", "Wire": "Filler", "Flame": "Flame", "Warm": "Warm"}
AFTER = {"Away": "Flame away", "Late": "If it is late", "After": "Afterwards"}
SCRIPTS = ("marks.js", "clock.js", "units.js", "inside.js")
VALUE = re.compile(r"(-?\d+(?:\.\d+)?) (°C|mm)(?![²³\w])")
NUMBER = '<text x="{}" y="18" font-size="3.6" fill="currentColor">{}</text>'
RULER_MM, TICK_MM = 150, 5
"""As long as an A4 page has room for; shorter where the piece is."""


def sheet_html(answer: Answer, frames: dict[str, Any]) -> str:
    """The bench page of one braze.

    Parameters
    ----------
    answer : Answer
    frames : dict
        Of `inside`.

    Returns
    -------
    str
        One HTML document that asks nothing of a network.
    """
    entries = card_entries(answer)
    scripts = "\n".join(_part(name) for name in SCRIPTS)
    return _template().render(
        title=printable(answer.case.title),
        joint=_marked(_one(entries, "Joint")),
        stops=[_marked(text) for text in _texts(entries, STOP)],
        cautions=[_marked(text) for text in _texts(entries, "Care")],
        how=_sections(entries, HOW),
        count=_one(entries, "Count"),
        cues=[_cue(text) for text in _texts(entries, "See")],
        after=_sections(entries, AFTER),
        wire=_marked(_one(entries, "Wire")),
        ruler=_ruler(answer.run),
        drawing=Markup(setup_svg(answer.run)),
        rests=[_marked(text) for text in _rests(answer)],
        outcomes=OUTCOMES,
        data=_json(clock_data(answer)),
        inside=frames,
        frames=_json(frames),
        css=Markup(_part("sheet.css")),
        script=Markup(scripts + RUN),
    )


RUN = """
Clock.init(JSON.parse(document.getElementById("data").textContent), document);
Clock.table();
Units.init(document);
Inside.init(JSON.parse(document.getElementById("frames").textContent), document);
"""


def _template() -> Template:
    """The page's template: everything that is put into it is text unless it is marked up by us."""
    return Environment(autoescape=True, trim_blocks=False).from_string(_part("sheet.html.j2"))


def _part(name: str) -> str:
    return (resources.files("thermo.show.page") / name).read_text(encoding="utf-8")


def _json(data: object) -> Markup:
    """JSON that no text in it can end the script with."""
    text = json.dumps(data, ensure_ascii=False, allow_nan=False)
    for letter in "<>&\u2028\u2029":
        text = text.replace(letter, f"\\u{ord(letter):04x}")
    return Markup(text)


def _texts(entries: Iterable[Entry], label: str) -> list[str]:
    """Texts under a label of the card, those without one of their own after it among them."""
    found, under = [], ""
    for entry in entries:
        under = entry.label or under
        if under == label and entry.text and "report.txt" not in entry.text:
            found.append(screened(entry.text).strip())
    return found


def _one(entries: Iterable[Entry], label: str) -> str:
    return " ".join(_texts(entries, label))


def _sections(entries: Iterable[Entry], heads: Mapping[str, str]) -> list[tuple[str, list[Markup]]]:
    """Headings and what stands under them, those of which the card says something."""
    kept = list(entries)
    found = [(head, _texts(kept, label)) for label, head in heads.items()]
    return [(head, [_marked(text) for text in texts]) for head, texts in found if texts]


def _cue(text: str) -> tuple[str, Markup]:
    """A cue's time, and what is seen."""
    time, _, words = text.partition("  ")
    return time.strip(), _marked(words.strip())


def _marked(text: str) -> Markup:
    """A text with its lengths and temperatures marked, so that they can be shown in other units."""
    parts, last = [], 0
    for found in VALUE.finditer(text):
        value, unit = found.groups()
        parts.append(escape(text[last : found.start()]))
        parts.append(
            Markup('<span data-value="{}" data-unit="{}" data-text="{}">{}</span>').format(
                value, unit, found.group(), found.group()
            )
        )
        last = found.end()
    return Markup("").join([*parts, escape(text[last:])])


def _ruler(run: Braze) -> Markup:
    """A ruler of true size with the wire laid along it, in lines where it is longer."""
    size = IN_MM * measured(run.setup.snip, run.filler.supply)
    if run.setup.snip.sheet is not None:
        size = 0.0
    shown = min(size, float(RULER_MM))
    marks = [
        Markup('<path d="M{x} 8v{h}" stroke="currentColor" stroke-width="0.25"/>').format(
            x=x, h=5 if x % 10 == 0 else 3
        )
        for x in range(0, RULER_MM + 1, TICK_MM)
    ]
    marks += [
        Markup('<text x="{}" y="18" font-size="3.6" fill="currentColor">{}</text>').format(
            x + 0.4, x
        )
        for x in range(0, RULER_MM, 10)
    ]
    wire = Markup('<path d="M0 5h{}" stroke="#B36B00" stroke-width="2"/>').format(round(shown, 2))
    svg = Markup(
        '<svg width="{w}mm" height="20mm" viewBox="0 0 {w} 20" role="img" '
        'aria-label="Ruler in millimetres with the wire at true size">{body}</svg>'
    )
    return svg.format(w=RULER_MM + 4, body=Markup("").join([wire, *marks]))


def _rests(answer: Answer) -> list[str]:
    """How the torch is held and why, how sure the times are, and what they come from."""
    found = [] if answer.way is None else [way_line(answer.way)]
    found.append(sure_words(answer.spread))
    found.append(
        f"brazeclock {__version__}, a heat model: {answer.run.mesh.cells} cells, "
        f"{'no' if answer.spread is None else answer.spread.count} draws of what is not known. It "
        "is no safety instruction; the flame is not measured. `brazeclock heat --full` names the "
        "sources and all that was assumed."
    )
    return found
