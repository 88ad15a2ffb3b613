"""Filler led through some time by the walls under it, the flame at the mouth and the room."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from thermo.braze.filler.lump import Line, Lump
from thermo.braze.filler.mouth_gas import MouthGas
from thermo.braze.filler.state import FillerState
from thermo.braze.filler.walls import Walls
from thermo.constants import SIGMA, ZERO_C_K
from thermo.matter import constant

SUBSTEP_S = 0.5  # in the flame
ALIKE_K = 0.5  # radiation by a mean so near that found is as good (judged)


@dataclass(slots=True)
class Led:
    """Filler as it is led through some time.

    Attributes
    ----------
    enthalpy, T : float
        [J/kg], [°C]
    hottest : float
        At the end of any part of the time [°C].
    touched, gained, lost : float
        Heat from the walls, from the flame, and radiated to the room, so far [J].
    reached : dict
        When levels were passed upwards first [s].
    """

    enthalpy: float
    T: float
    hottest: float = -math.inf
    touched: float = 0.0
    gained: float = 0.0
    lost: float = 0.0
    reached: dict[str, float] = field(default_factory=dict)


class Leading:
    """Leads filler through a time.

    Parameters
    ----------
    line : Line
        The filler's temperature against its enthalpy.
    levels : mapping of str to float
        What is told when it is passed upwards [J/kg].
    exposed : float
        Filler in the flame, as far as it lies there [m²].
    ambient_C : float
        [°C]
    walls : Walls

    Attributes
    ----------
    in_room : bool
        True while filler at the mouth radiates to the room; what else than the flame heats it there
        is left out, and it follows the walls that it lies on.
    """

    def __init__(
        self,
        line: Line,
        levels: Mapping[str, float],
        exposed: float,
        ambient_C: float,
        walls: Walls,
    ) -> None:
        self._line, self._levels, self._exposed = line, levels, exposed
        self._ambient_C, self._walls = ambient_C, walls
        self._lowest = min(levels.values())
        self._radiates = constant("emissivity", "flux").value * SIGMA
        self.in_room = True

    def lead(
        self,
        filler_state: FillerState,
        t0: float,
        t1: float,
        walls: float,
        gas: MouthGas | None,
        coarser: float = 1.0,
    ) -> Led:
        """Lead filler through a step, by walls that come to a temperature.

        The walls are read with what has been drawn; as far as the filler takes more or less, they
        answer within the step, by `answer` in K/W. Out of the flame one part is exact.

        Parameters
        ----------
        filler_state : FillerState
            As the step begins; stays as it is.
        t0, t1 : float
            [s]
        walls : float
            Under it as the step ends [°C].
        gas : MouthGas or None
            Of the flame at the mouth; None while there is none.
        coarser : float
            Parts of the step in the flame, in those that are fine enough [-].
        """
        led = Led(filler_state.enthalpy, self._line.temperature(filler_state.enthalpy))
        answer, wall = self._walls.answer(filler_state.area, t1 - t0), filler_state.walls[1]
        if not filler_state.shading:
            self._lead_beside(filler_state, led, answer, t0, t1, (wall, walls))
            return led
        longest = SUBSTEP_S if gas is None else gas.steady_s(SUBSTEP_S)
        count = max(math.ceil((t1 - t0) / (coarser * longest)), 1)
        time, rise = (t1 - t0) / count, (walls - wall) / count
        flame = self._felt(gas, t0)
        for k in range(count):
            t, around = t0 + k * time, (wall + k * rise, wall + (k + 1) * rise)
            then = self._felt(gas, t + time)
            self._lead_in_flame(filler_state, led, answer, t, time, around, flame, then)
            flame = then
        return led

    def _lead_beside(
        self,
        filler_state: FillerState,
        led: Led,
        answer: float,
        t0: float,
        t1: float,
        walls: tuple[float, float],
    ) -> None:
        """Lead filler on out of the flame: all its heat is the walls'."""
        before, lift = led.enthalpy, filler_state.drawn * answer
        pull = 1.0 / (1.0 / filler_state.contact + answer)
        lump = Lump(self._line, filler_state.mass)
        h, passed = lump.near(before, pull, walls[0] + lift, walls[1] + lift, t1 - t0)
        self._hold(led, h, min(led.T, *walls), max(led.T, *walls))
        led.touched += filler_state.mass * (led.enthalpy - before)
        self._note(led, before, t0, t1, passed)

    def _lead_in_flame(
        self,
        filler_state: FillerState,
        led: Led,
        answer: float,
        t: float,
        time: float,
        walls: tuple[float, float],
        flame: tuple[float, float],
        then: tuple[float, float],
    ) -> None:
        """Lead filler on by the mean of each coefficient, radiation's the chord's to the room.

        Where it is hotter than the walls, they lie in its shadow and do not answer.
        """
        before, ambient, mass = led.enthalpy, self._ambient_C, filler_state.mass
        (first, last), (h0, gas0), (h1, gas1) = walls, flame, then
        exposed, wall, lump = self._exposed, (first + last) / 2, Lump(self._line, mass)
        around = led.T, first, last, gas0, gas1, ambient
        low, high, film = min(around), max(around), exposed * (h0 + h1) / 2
        mean, radiates = led.T + (last - first) / 2, exposed * self._radiates * self.in_room
        for _ in range(2):
            guess, shaded = mean, mean > wall
            contact, lift = filler_state.contact, 0.0
            if not shaded:
                contact, lift = 1.0 / (1.0 / contact + answer), filler_state.drawn * answer
            glow = radiates * _chord(min(max(mean, low), high), ambient)
            pull, room = contact + film + glow, glow * ambient
            begin = (contact * (first + lift) + film * gas0 + room) / pull
            end = (contact * (last + lift) + film * gas1 + room) / pull
            h, passed = lump.near(before, pull, begin, end, time)
            self._hold(led, h, low, high)
            rise = mass * (led.enthalpy - before)
            mean = (begin + end) / 2 - rise / (pull * time)
            if abs(mean - guess) < ALIKE_K and (mean > wall) == shaded:
                break
        touched = contact * (wall + lift - mean) * time
        shadow = min(touched, 0.0)
        led.touched += touched - shadow
        led.gained += film * ((gas0 + gas1) / 2 - mean) * time + shadow
        led.lost += glow * (mean - ambient) * time
        self._note(led, before, t, t + time, passed)

    def _hold(self, led: Led, h: float, low: float, high: float) -> None:
        """Bring filler to an enthalpy, held between the temperatures that surround it.

        However ill the walls' answer was foreseen, it does not leave that.
        """
        led.enthalpy, led.T = h, self._line.temperature(h)
        if not low <= led.T <= high:
            led.T = min(max(led.T, low), high)
            led.enthalpy = self._line.enthalpy(led.T)

    def _note(
        self, led: Led, before: float, t0: float, t1: float, passed: list[tuple[float, float]]
    ) -> None:
        """Note how hot it is, and the levels passed upwards from t0 on, or at last by t1."""
        led.hottest = max(led.hottest, led.T)
        if led.enthalpy < self._lowest:
            return
        times = {level: t0 + after for after, level in passed}
        for name, level in self._levels.items():
            if before < level <= led.enthalpy:
                led.reached.setdefault(name, times.get(level, t1))

    def _felt(self, gas: MouthGas | None, t: float) -> tuple[float, float]:
        """Coefficient at the filler [W/m²K], and gas temperature there [°C]."""
        return (0.0, self._ambient_C) if gas is None else gas.at(t)


def _chord(T: float, ambient: float) -> float:
    """Slope of T⁴ (in kelvin) between two temperatures in °C [K³]."""
    a, b = T + ZERO_C_K, ambient + ZERO_C_K
    return (a * a + b * b) * (a + b)
