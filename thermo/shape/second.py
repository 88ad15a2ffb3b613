r"""A ball already on the rod's far end, as one cell.

It is taken as solid, the rod in it and the filler round it included, and of one temperature. Where
the rod enters, the flow spreads out from the rod's section. For a uniform flux through a cap of a
sphere the drop from the cap's mean to the sphere's mean is a series of Legendre polynomials. For
rods of 0.15 to 0.6 of the ball it is within 12 % of

.. math:: R = \frac{1}{4 k a} ,

the constriction of a half-space under an isothermal disc of the rod's radius a (Carslaw & Jaeger,
Conduction of Heat in Solids, 2nd ed., 8.2). A stack of discs, each even across, would get 40 to
70 % of it. Loss from the surface leaves the ball even: Biot number h R / k about 0.005.
"""

from __future__ import annotations

import math

import numpy as np

from thermo.shape.joint import Joint
from thermo.shape.meridian import Meridian

ZONES = 12  # of equal area on its surface
SURFACE = 0.2  # of its radius: mean below surface under a uniform flux q, q R / 5 k


def second_section(joint: Joint) -> Meridian:
    """Meridian section of the second ball: one cell, one sector."""
    R, at = joint.second_ball_diameter / 2, joint.second_ball_z
    volume = joint.second_ball_volume
    below = math.pi * joint.rod_radius**4 / (4 * volume)  # the cap cut off at the mouth
    return Meridian(
        boxes=np.array([[0.0, R, at - R, joint.far_z]]),
        label=np.array([0]),
        volume=np.array([volume / (2 * math.pi)]),
        radius=np.array([2 / 3 * R]),
        height=np.array([at - below]),
        section=np.array([math.pi * R**2 / 2]),
        sectors=np.array([1]),
        faces=[],
    )


def spreading_depth(joint: Joint) -> float:
    """Length of a rod that resists as much as the constriction, πa²k/(4ka) = πa/4 [m]."""
    return math.pi * joint.rod_radius / 4
