"""What leading filler through some time begins with and comes to: tuples of numbers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

SUBSTEP_S = 0.5  # in the flame


class Points(NamedTuple):
    """Temperature against enthalpy as a line through points, first and last piece drawn out.

    Attributes
    ----------
    h, T : tuple of float
        Increasing [J/kg], [°C].
    capacity : tuple of float
        Of each piece [J/kgK].
    low, high : tuple of float
        Where each piece ends; the first and the last do on one side only [J/kg].
    """

    h: tuple[float, ...]
    T: tuple[float, ...]
    capacity: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]


class Body(NamedTuple):
    """The filler of a column as some time begins, and what is round it.

    Attributes
    ----------
    mass, enthalpy : float
        [kg], [J/kg]
    contact : float
        With the walls [W/K].
    drawn : float
        Heat drawn from them [W].
    area : float
        Of the walls under it [m²].
    wall, walls : float
        Temperature of the walls as the time begins, and as it ends [°C].
    exposed : float
        Surface in the flame; 0 out of it [m²].
    radiates : float
        Surface times emissivity times σ [W/K⁴].
    """

    mass: float
    enthalpy: float
    contact: float
    drawn: float
    area: float
    wall: float
    walls: float
    exposed: float
    radiates: float


class Part(NamedTuple):
    """What the filler lies on.

    Attributes
    ----------
    k, diffusivity : float
        Of the mean metal [W/mK], [m²/s].
    section : float
        Of the rod [m²].
    ball_heat : float
        Heat capacity of the ball [J/K].
    ambient : float
        Temperature of the room [°C].
    """

    k: float
    diffusivity: float
    section: float
    ball_heat: float
    ambient: float


class Gas(NamedTuple):
    """What it feels of the torch through time.

    Attributes
    ----------
    since, period : float
        Of a turn or sweep; infinite where the torch is held still [s].
    steady : float
        For how long it is as good as straight in time [s].
    table : sequence of (h, T)
        Coefficient [W/m²K] and gas temperature [°C], over a turn or one for all times.
    """

    since: float
    period: float
    steady: float
    table: Sequence[tuple[float, float]]


class Led(NamedTuple):
    """Filler as it is led through some time.

    Attributes
    ----------
    enthalpy, T : float
        [J/kg], [°C]
    hottest : float
        At the end of any part of the time [°C].
    touched, gained, lost : float
        Heat from the walls, from the flame, and radiated to the room, so far [J].
    softens, molten, overheats : float
        When these levels were passed upwards first; not a number before [s].
    """

    enthalpy: float
    T: float
    hottest: float
    touched: float
    gained: float
    lost: float
    softens: float
    molten: float
    overheats: float
