"""How filler is led through some time: by numbers alone, for one column or, compiled, for many.

Nothing here but tuples and numbers, so that numba compiles it as it stands (`compiled_leads`). It
is not imported until many columns ask for it. What is compiled is kept on disk until this file is
changed: all that is called stands here.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from thermo.braze.filler.body import Body, Gas, Led, Part, Points
from thermo.constants import ZERO_C_K

Floats = NDArray[np.float64]

ALIKE_K = 0.5  # radiation by a mean so near that found is as good (judged)
HALVINGS = 50  # to find when a point of the line is passed
MOST_PASSAGES = 100  # of points, or turns, in one go
NOTHING_K = 1e-9


Levels = tuple[float, float, float]
Passed = list[tuple[float, float]]


def piece(points: Points, h: float) -> int:
    """Which piece holds an enthalpy; at a point, the one above."""
    k = 1
    while k < len(points.h) - 1 and h >= points.h[k]:
        k += 1
    return k - 1


def temperature(points: Points, h: float) -> float:
    """At an enthalpy [°C]."""
    k = piece(points, h)
    return points.T[k] + (h - points.h[k]) / points.capacity[k]


def enthalpy(points: Points, T: float) -> float:
    """At a temperature [J/kg]."""
    k = 1
    while k < len(points.T) - 1 and points.T[k] <= T:
        k += 1
    k -= 1
    return points.h[k] + (T - points.T[k]) * points.capacity[k]


def near(
    points: Points, mass: float, h: float, pull: float, begin: float, end: float, time: float
) -> tuple[float, Passed]:
    """As `Lump.near`."""
    rate, gone = (end - begin) / time, 0.0
    passed: Passed = []
    for _ in range(MOST_PASSAGES):
        k = piece(points, h)
        off = begin + rate * gone - points.T[k] - (h - points.h[k]) / points.capacity[k]
        if k > 0 and h == points.h[k] and (off if off != 0.0 else rate) < 0.0:
            k -= 1  # at a point, the piece it goes to
        slope = points.capacity[k]
        lag, left = mass * slope / pull, time - gone
        if off * rate < 0.0 and abs(off) >= NOTHING_K:  # it may meet what it nears, and turn
            left = min(left, lag * math.log1p(-off / (rate * lag)))
        rise = slope * neared(left, lag, off, rate)
        if points.low[k] <= h + rise <= points.high[k]:
            gone, h = gone + left, h + rise
            if gone >= time:
                break
            continue
        edge = points.low[k] if rise < 0.0 else points.high[k]
        gone += when((edge - h) / slope, left, lag, off, rate)
        h = edge
        passed.append((gone, edge))
    return h, passed


def neared(t: float, lag: float, off: float, rate: float) -> float:
    """What a lump with a lag has risen by after a time, for what was so far off and moves [K]."""
    share = -math.expm1(-t / lag)
    return off * share + rate * (t - lag * share)


def when(rise: float, latest: float, lag: float, off: float, rate: float) -> float:
    """When it has come to a rise that it will have passed at the latest [s]."""
    low, high = 0.0, latest
    for _ in range(HALVINGS):
        t = (low + high) / 2
        if abs(neared(t, lag, off, rate)) >= abs(rise):
            high = t
        else:
            low = t
    return high


def chord(T: float, ambient: float) -> float:
    """Slope of T⁴ (in kelvin) between two temperatures in °C [K³]."""
    a, b = T + ZERO_C_K, ambient + ZERO_C_K
    return (a * a + b * b) * (a + b)


def flame(gas: Gas, t: float) -> tuple[float, float]:
    """Coefficient [W/m²K] and gas temperature [°C] at a time."""
    table = gas.table
    if len(table) == 1:
        return table[0][0], table[0][1]
    place = (t - gas.since) / gas.period % 1.0 * (len(table) - 1)
    k = min(int(place), len(table) - 2)
    first, after, share = table[k], table[k + 1], place - k
    return first[0] + share * (after[0] - first[0]), first[1] + share * (after[1] - first[1])


def answer(part: Part, area: float, time: float) -> float:
    """What walls cool by under filler for a heat drawn from them for a time [K/W].

    That of a disc of radius a, evenly heated: 2 √(α t / π) / (π a² k) at first, 8 / (3 π² k a)
    in the end (Yovanovich, Handbook of Heat Transfer, ch. 3); it nears the latter as an
    exponential does (assumed), with the time at which the two are equal. With it the rod cools
    as a thin bar drawn from at one place, √(α t / π) / (k A) both ways (Carslaw & Jaeger,
    Conduction of Heat in Solids, 2.9), and the ball as a whole, t / C. Each gives half the
    heat, and the mean of both walls counts: a quarter of either. Too much only slows what
    filler takes within a step; too little makes heavy filler on a thin rod swing.
    """
    radius = math.sqrt(area / math.pi)
    lag = 16.0 * radius**2 / (9.0 * math.pi * part.diffusivity)
    disc = 8.0 / (3.0 * math.pi**2 * part.k * radius) * -math.expm1(-time / lag)
    rod = math.sqrt(part.diffusivity * time / math.pi) / (part.k * part.section)
    return disc + (rod + time / part.ball_heat) / 4.0


def lead(
    points: Points,
    levels: Levels,
    part: Part,
    body: Body,
    gas: Gas,
    t0: float,
    t1: float,
    coarser: float,
) -> Led:
    """Lead filler through some time, by walls that come to a temperature.

    The walls are read with what has been drawn; as far as the filler takes more or less, they
    answer within the time. Out of the flame one part is exact.

    Parameters
    ----------
    points : Points
    levels : tuple of float
        Enthalpies at which it softens, is molten and overheats [J/kg].
    part : Part
    body : Body
    gas : Gas
    t0, t1 : float
        [s]
    coarser : float
        In parts so many times as long as usual, in the flame.
    """
    nan, T = math.nan, temperature(points, body.enthalpy)
    led = Led(body.enthalpy, T, -math.inf, 0.0, 0.0, 0.0, nan, nan, nan)
    answers = answer(part, body.area, t1 - t0)
    if body.exposed <= 0.0:
        return beside(points, levels, led, body, answers, (t0, t1))
    count = max(math.ceil((t1 - t0) / (coarser * gas.steady)), 1)
    time, rise = (t1 - t0) / count, (body.walls - body.wall) / count
    now = flame(gas, t0)
    for k in range(count):
        t, first, last = t0 + k * time, body.wall + k * rise, body.wall + (k + 1) * rise
        then = flame(gas, t + time)
        led = in_flame(
            points, levels, part.ambient, led, body, answers, (t, time), (first, last), now, then
        )
        now = then
    return led


def beside(
    points: Points,
    levels: Levels,
    led: Led,
    body: Body,
    answers: float,
    span: tuple[float, float],
) -> Led:
    """Lead filler on out of the flame: all its heat is the walls'."""
    before, lift = led.enthalpy, body.drawn * answers
    pull = 1.0 / (1.0 / body.contact + answers)
    begin, end = body.wall + lift, body.walls + lift
    h, passed = near(points, body.mass, before, pull, begin, end, span[1] - span[0])
    low, high = min(led.T, body.wall, body.walls), max(led.T, body.wall, body.walls)
    h, T = held(points, h, low, high)
    heats = led.touched + body.mass * (h - before), led.gained, led.lost
    return noted(levels, led, (h, T), heats, span, passed)


def in_flame(
    points: Points,
    levels: Levels,
    ambient: float,
    led: Led,
    body: Body,
    answers: float,
    span: tuple[float, float],
    walls: tuple[float, float],
    flame: tuple[float, float],
    then: tuple[float, float],
) -> Led:
    """Lead filler on by the mean of each coefficient, radiation's the chord's to the room.

    Where it is hotter than the walls, they lie in its shadow and do not answer.
    """
    before, mass, (t, time) = led.enthalpy, body.mass, span
    (first, last), (h0, gas0), (h1, gas1) = walls, flame, then
    wall = (first + last) / 2
    low = min(led.T, first, last, gas0, gas1, ambient)
    high = max(led.T, first, last, gas0, gas1, ambient)
    film, mean = body.exposed * (h0 + h1) / 2, led.T + (last - first) / 2
    passed = [(0.0, before)]  # so that its kind is known; each round finds its own
    h, T, contact, lift, glow = before, led.T, body.contact, 0.0, 0.0
    for _ in range(2):
        guess, shaded = mean, mean > wall
        contact, lift = body.contact, 0.0
        if not shaded:
            contact, lift = 1.0 / (1.0 / contact + answers), body.drawn * answers
        glow = body.radiates * chord(min(max(mean, low), high), ambient)
        pull, room = contact + film + glow, glow * ambient
        begin = (contact * (first + lift) + film * gas0 + room) / pull
        end = (contact * (last + lift) + film * gas1 + room) / pull
        h, passed = near(points, mass, before, pull, begin, end, time)
        h, T = held(points, h, low, high)
        rise = mass * (h - before)
        mean = (begin + end) / 2 - rise / (pull * time)
        if abs(mean - guess) < ALIKE_K and (mean > wall) == shaded:
            break
    touched = contact * (wall + lift - mean) * time
    shadow = min(touched, 0.0)
    gained = film * ((gas0 + gas1) / 2 - mean) * time + shadow
    lost = led.lost + glow * (mean - ambient) * time
    heats = led.touched + (touched - shadow), led.gained + gained, lost
    return noted(levels, led, (h, T), heats, (t, t + time), passed)


def held(points: Points, h: float, low: float, high: float) -> tuple[float, float]:
    """An enthalpy and its temperature, held between the temperatures that surround the filler.

    However ill the walls' answer was foreseen, it does not leave that.
    """
    T = temperature(points, h)
    if not low <= T <= high:
        T = min(max(T, low), high)
        h = enthalpy(points, T)
    return h, T


def noted(
    levels: Levels,
    led: Led,
    state: tuple[float, float],
    heats: tuple[float, float, float],
    span: tuple[float, float],
    passed: Passed,
) -> Led:
    """Filler led on, with how hot it is, and the levels passed upwards, or at last by the end."""
    h, T = state
    times = [led.softens, led.molten, led.overheats]
    for k in range(3):
        if led.enthalpy < levels[k] <= h and math.isnan(times[k]):
            times[k] = span[1]
            for after, edge in passed:
                if edge == levels[k]:
                    times[k] = span[0] + after
    return Led(
        h, T, max(led.hottest, T), heats[0], heats[1], heats[2], times[0], times[1], times[2]
    )


def _lead_all(
    points: Points,
    levels: Levels,
    part: Part,
    bodies: Floats,
    gases: Floats,
    tables: Floats,
    span: tuple[float, float, float],
) -> Floats:
    """Lead the filler of many columns: rows of `Body`, of `Gas` and its table; rows of `Led`."""
    found = np.empty((len(bodies), 9))
    for i in range(len(bodies)):
        b, g = bodies[i], gases[i]
        body = Body(b[0], b[1], b[2], b[3], b[4], b[5], b[6], b[7], b[8])
        gas = Gas(g[0], g[1], g[2], tables[i])
        led = lead(points, levels, part, body, gas, span[0], span[1], span[2])
        for k in range(9):
            found[i, k] = led[k]
    return found


CALLED: tuple[Callable[..., Any], ...] = (
    *(piece, temperature, enthalpy, near, neared, when, chord),
    *(flame, answer, lead, beside, in_flame, held, noted),
)


@cache
def compiled_leads() -> Callable[..., Floats] | None:
    """`lead` for many columns at once, compiled with all that it calls; None without numba."""
    try:
        from thermo.heat.fused import callee, compiled
    except ImportError:
        return None
    for called in CALLED:
        callee(called)
    return compiled(_lead_all, kept=True)


def stacked(gases: Sequence[Gas]) -> tuple[Floats, Floats]:
    """Times and tables of the gas of many columns, (m, 3) and (m, k, 2)."""
    rows = max(len(gas.table) for gas in gases)
    tables = [gas.table if len(gas.table) == rows else [gas.table[0]] * rows for gas in gases]
    return np.array([gas[:3] for gas in gases]), np.array(tables)
