"""After the braze, in short lines for the card."""

from __future__ import annotations

from collections.abc import Iterator

from thermo.show.wording.words import said
from thermo.study.after import After

MM3 = 1e9
LEFT = {"again": "heating it again", "hardness": "how soft it stays"}


def after_lines(after: After, *, again: bool = False) -> Iterator[str]:
    """What to do after the flame, in the order of work.

    What is known of parts that stay soft, and of heating a full gap again, is for the document.

    Parameters
    ----------
    after : After
    again : bool
        True where the joint will be heated again, as for a second ball.

    Yields
    ------
    str
        One step, when it may begin at the earliest, and where it has it from.
    """
    left = ({"hardness"} if not after.hardened else set()) | (
        {"again"} if after.full and not again else set()
    )
    for step in after.steps:
        if step.topic in left:
            continue
        when = ""
        if step.when_s is not None:
            when = f"Not before {said(step.when_s, not_before=True)}: "
        yield f"{when}{step.text} ({step.source})"
    if left:
        yield f"… and of {' and of '.join(LEFT[topic] for topic in sorted(left))}: in result.json."
