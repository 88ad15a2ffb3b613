"""Logs to be filled in at the bench, in the form that `fit-torch` reads."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping

from thermo.braze import Braze
from thermo.braze.stages import StageName
from thermo.constants import IN_MM
from thermo.study.spread import Spread

HEAD = (
    "date",
    "ball_diameter_mm",
    "rod_diameter_mm",
    "way",
    "flux_dry_s",
    "flux_clear_s",
    "filled_s",
    "told_low_s",
    "told_high_s",
    "outcome",
    "remark",
)


def log_line(run: Braze, spread: Spread | None, *, way: bool = True) -> dict[str, str]:
    """What is known of a joint beforehand, its seconds left open.

    Parameters
    ----------
    run : Braze
    spread : Spread or None
        Gives the band that was told.
    way : bool
        False where how the torch is held has no name.
    """
    joint = run.setup.joint
    line = {
        "ball_diameter_mm": f"{IN_MM * joint.ball_diameter:g}",
        "rod_diameter_mm": f"{IN_MM * joint.rod_diameter:g}",
    }
    if way:
        line["way"] = run.setup.strategy.name
    band = None if spread is None else spread.band(StageName.FILLED)
    if band is not None and band.low is not None and band.high is not None:
        line |= {"told_low_s": f"{band.low:.0f}", "told_high_s": f"{band.high:.0f}"}
    return line


def as_log(lines: Iterable[Mapping[str, str]]) -> str:
    """A CSV log.

    Parameters
    ----------
    lines : iterable of mapping
        Values by the keys of `HEAD`.
    """
    target = io.StringIO()
    rows = csv.DictWriter(target, HEAD, lineterminator="\n")
    rows.writeheader()
    rows.writerows(lines)
    return target.getvalue()
