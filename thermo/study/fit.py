"""Joints of other sizes, refused where the parts do not fit."""

from __future__ import annotations

from dataclasses import replace

from thermo.braze import Setup
from thermo.constants import MM
from thermo.files.checks import LEAST_WALL_MM, under_the_rod, wall_beyond
from thermo.shape import Joint

LEAST_WALL = LEAST_WALL_MM * MM


class Misfit(ValueError):
    """Parts that do not fit; the message names rod or ball and says why."""


def fitted(what: str, model: Joint, **changes: float) -> Joint:
    """A joint after a model with other sizes.

    Parameters
    ----------
    what : str
        What to call it in a message, such as "a rod of 2 mm".
    model : Joint
    **changes : float
        Values to set instead of the model's [m].

    Returns
    -------
    Joint

    Raises
    ------
    Misfit
        It cannot exist, or it leaves less wall than a case may.
    """
    try:
        joint = replace(model, **changes)  # type: ignore[arg-type]  # only lengths are changed
    except ValueError as fault:
        name, _, text = str(fault).partition(": ")
        raise Misfit(f"{what}: {text or name}") from None
    hole = joint.hole_diameter
    if hole >= joint.ball_diameter - 2 * LEAST_WALL:
        raise Misfit(
            f"{what}: its hole of {hole / MM:.3g} mm must leave {LEAST_WALL_MM:g} mm of wall per "
            f"side of the ball ({joint.ball_diameter / MM:g} mm); give a thinner rod"
        )
    if joint.hole != "through" and wall_beyond(joint) < LEAST_WALL:
        raise Misfit(
            f"{what}: its hole leaves {wall_beyond(joint) / MM:.2f} mm of the ball's far wall, a "
            f"blind hole needs {LEAST_WALL_MM:g} mm; give a thinner rod or drill less deep"
        )
    return joint


def laid(what: str, setup: Setup) -> Setup:
    """The same setup; Misfit where its filler cannot lie under the rod."""
    for problem in under_the_rod(setup):
        raise Misfit(problem.line(what))
    return setup
