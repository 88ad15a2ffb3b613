"""What `check` says of a case: findings, and what was assumed."""

from __future__ import annotations

import textwrap

from thermo.files import Case, findings
from thermo.files.errors import screened
from thermo.show.wording.words import assumed_line, printable

WIDTH = 80
HEADINGS = {"unusual": "Unusual:", "note": "To mind:", "usual": "As usual:"}


def check_text(case: Case) -> str:
    """Findings of a case, unusual ones first, then what it leaves open."""
    lines = [printable(case.title)]
    found = findings(case)
    for level, heading in HEADINGS.items():
        lines += _list(heading, [f"{f.text} ({f.source})" for f in found if f.level == level])
    lines += _list("Assumed:", [assumed_line(item) for item in case.assumed])
    return screened("\n".join(lines))


def _list(heading: str, items: list[str]) -> list[str]:
    """A heading and its items; nothing at all where there are none."""
    wrapped = [
        textwrap.fill(item, WIDTH, initial_indent="- ", subsequent_indent="  ") for item in items
    ]
    return ["", heading, *wrapped] if items else []
