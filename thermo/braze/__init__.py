"""One braze: flux, filler and limits on top of the heat model."""

from thermo.braze.filler.amount import Amount, Poured, Volumes, amount, poured
from thermo.braze.filler.preforms import Preforms, cut, stand_off
from thermo.braze.reasons import Unfilled
from thermo.braze.result import Braze, Consequence, Energy, Leeway, Limit, Stage
from thermo.braze.run import BrazeError, braze, brazes, members, reckoned
from thermo.braze.setup import Clamp, Coat, Setup, Snip
from thermo.braze.work import Work

__all__ = [
    "Amount",
    "Braze",
    "BrazeError",
    "Clamp",
    "Coat",
    "Consequence",
    "Energy",
    "Leeway",
    "Limit",
    "Poured",
    "Preforms",
    "Setup",
    "Snip",
    "Stage",
    "Unfilled",
    "Volumes",
    "Work",
    "amount",
    "braze",
    "brazes",
    "cut",
    "members",
    "poured",
    "reckoned",
    "stand_off",
]
