"""After the braze, as JSON values."""

from __future__ import annotations

from typing import Any

from thermo.braze import Braze
from thermo.show.wording.after import MM3, steps
from thermo.show.wording.words import number


def after_document(braze: Braze) -> dict[str, Any]:
    """Everything known of what comes after, as JSON values.

    Parameters
    ----------
    braze : Braze
    """
    after = braze.aftercare
    return {
        "black_flux": after.black,
        "dry_share": number(after.dry_share),
        "hollow_mm3": number(MM3 * after.hollow),
        "pickle": after.pickle,
        "hardened": list(after.hardened),
        "steps": [
            {
                "topic": step.topic,
                "text": step.text,
                "when_s": number(step.when_s),
                "source": step.source,
            }
            for step in steps(braze)
        ],
    }
