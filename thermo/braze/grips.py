"""What holds the rod and draws heat from it: a clamp, tweezers."""

from __future__ import annotations

import numpy as np

from thermo.braze.setup import Setup
from thermo.heat import Sink
from thermo.matter import constant
from thermo.shape import Mesh

TWEEZERS_AT = 0.5  # of the rod's length from the mouth (assumed)


def grips(setup: Setup, mesh: Mesh) -> list[Sink]:
    """Clamp and tweezers as conductances from the two cells on the rod's axis beside them.

    Parameters
    ----------
    setup : Setup
    mesh : Mesh

    Returns
    -------
    list of Sink
        To the surroundings.
    """
    joint = setup.joint
    held = [] if setup.clamp is None else [(setup.clamp.at, setup.clamp.conductance)]
    if setup.support == "tweezers":
        held.append((TWEEZERS_AT * joint.rod_length, constant("contact", "clamp").range[0]))
    on_axis = np.hypot(mesh.full_centre[:, 0], mesh.full_centre[:, 1]) < 1e-9
    axis = np.flatnonzero((mesh.full_body == 1) & on_axis)
    axis = axis[np.argsort(mesh.full_centre[axis, 2])]
    sinks = []
    for at, conductance in held:
        place = np.interp(joint.mouth_z - at, mesh.full_centre[axis, 2], np.arange(len(axis)))
        below = min(int(place), len(axis) - 2)
        shares = ((below, 1.0 - (place - below)), (below + 1, place - below))
        for k, share in shares:
            cell = int(mesh.fold[axis[k]])
            sinks.append(Sink(cell, conductance * share, setup.ambient_C))
    return sinks
