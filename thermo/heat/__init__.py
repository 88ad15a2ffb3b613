"""Heat in ball, rod and gap: conduction, surface, march and ledger."""

from thermo.heat.conditions import Contact
from thermo.heat.history import History
from thermo.heat.layer import Layer, Sink
from thermo.heat.loads import CosineLobeFlux, GreyLoss, LinearLoss, Load
from thermo.heat.march import March, MarchError, Step, march
from thermo.heat.model import HeatModel, Readings
from thermo.heat.solids import ConstantSolid, SolidLike

__all__ = [
    "ConstantSolid",
    "Contact",
    "CosineLobeFlux",
    "GreyLoss",
    "HeatModel",
    "History",
    "Layer",
    "LinearLoss",
    "Load",
    "March",
    "MarchError",
    "Readings",
    "Sink",
    "SolidLike",
    "Step",
    "march",
]
