"""One braze: flux, filler and limits on top of the heat model."""

from thermo.braze.setup import Clamp, Coat, Setup

__all__ = ["Clamp", "Coat", "Setup"]
