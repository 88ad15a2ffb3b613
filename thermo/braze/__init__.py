"""One braze: flux, filler and limits on top of the heat model."""

from thermo.braze.result import Braze, Energy, Leeway, Limit, Stage
from thermo.braze.run import BrazeError, braze, brazes
from thermo.braze.setup import Clamp, Coat, Setup, Snip

__all__ = [
    "Braze",
    "BrazeError",
    "Clamp",
    "Coat",
    "Energy",
    "Leeway",
    "Limit",
    "Setup",
    "Snip",
    "Stage",
    "braze",
    "brazes",
]
