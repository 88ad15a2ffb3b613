"""The torch: its jet, how it is held and moved, and what it does to the surface."""

from thermo.flame.convection import (
    churchill_bernstein_cylinder,
    churchill_chu_cylinder_free,
    churchill_sphere_free,
    cylinder_shape,
    effectiveness,
    free_convection_cylinder,
    free_convection_sphere,
    radiative_coefficient,
    sibulkin_cylinder_front,
    sibulkin_sphere_front,
    spent_jet,
    sphere_shape,
    whitaker_sphere,
)
from thermo.flame.exposure import Exposure, Rings, absorbed_fraction, local_exposure
from thermo.flame.motion import (
    OBSERVABLES,
    Phase,
    Pose,
    Strategy,
    StrategyName,
    default_strategies,
    phase_pose,
)
from thermo.flame.torch import LEAST_CONE, Jet, Torch

__all__ = [
    "LEAST_CONE",
    "OBSERVABLES",
    "Exposure",
    "Jet",
    "Phase",
    "Pose",
    "Rings",
    "Strategy",
    "StrategyName",
    "Torch",
    "absorbed_fraction",
    "churchill_bernstein_cylinder",
    "churchill_chu_cylinder_free",
    "churchill_sphere_free",
    "cylinder_shape",
    "default_strategies",
    "effectiveness",
    "free_convection_cylinder",
    "free_convection_sphere",
    "local_exposure",
    "phase_pose",
    "radiative_coefficient",
    "sibulkin_cylinder_front",
    "sibulkin_sphere_front",
    "spent_jet",
    "sphere_shape",
    "whitaker_sphere",
]
