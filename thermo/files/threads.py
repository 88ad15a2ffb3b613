"""Metric threads, and which of them a plain rod goes into with the usual gap."""

from __future__ import annotations

import math

from thermo.shape import thread_radius

THREAD_DEPTH = 1.25 * math.sin(math.radians(60))
"""Major less minor diameter over the pitch, basic profile of ISO 68-1."""
SAME_MM = 0.005
COARSE = {
    **dict.fromkeys((1.0, 1.1, 1.2), 0.25),
    1.4: 0.3,
    **dict.fromkeys((1.6, 1.8), 0.35),
    2.0: 0.4,
    **dict.fromkeys((2.2, 2.5), 0.45),
    3.0: 0.5,
    3.5: 0.6,
    4.0: 0.7,
    4.5: 0.75,
    5.0: 0.8,
    **dict.fromkeys((6.0, 7.0), 1.0),
    **dict.fromkeys((8.0, 9.0), 1.25),
    **dict.fromkeys((10.0, 11.0), 1.5),
    12.0: 1.75,
}
"""Coarse pitches by nominal diameter [mm] (from memory of ISO 261)."""
FINE = {
    **dict.fromkeys((1.0, 1.1, 1.2, 1.4, 1.6, 1.8), (0.2,)),
    **dict.fromkeys((2.0, 2.2), (0.25,)),
    **dict.fromkeys((2.5, 3.0, 3.5), (0.35,)),
    **dict.fromkeys((4.0, 4.5, 5.0, 5.5), (0.5,)),
    **dict.fromkeys((6.0, 7.0), (0.75,)),
    **dict.fromkeys((8.0, 9.0, 11.0), (1.0, 0.75)),
    10.0: (1.25, 1.0, 0.75),
    12.0: (1.5, 1.25, 1.0),
}
"""Fine pitches by nominal diameter [mm] (from memory of ISO 261)."""


def thread_for(
    rod: float, usual: tuple[float, float], nominal: float | None, pitch: float | None
) -> tuple[float, float] | None:
    """Nominal diameter and pitch of the thread that suits a rod best [mm].

    Threads that leave a usual gap come first, of these the coarse ones, then the narrowest gap. The
    gap is a mean over the basic profile (ISO 68-1); a tapped hole is wider by its tolerance
    (ISO 965-1).

    Parameters
    ----------
    rod : float
        Diameter [mm].
    usual : tuple of float
        Least and most usual gap per side [mm].
    nominal, pitch : float or None
        As far as they are given [mm]; with neither only a thread of a usual gap will do.

    Returns
    -------
    tuple of float or None
        None where there is none that the rod goes into.
    """
    sizes = [(d, p, False) for d, p in COARSE.items()]
    sizes += [(d, p, True) for d, pitches in FINE.items() for p in pitches]
    found = []
    for d, p, fine in sizes:
        if d - THREAD_DEPTH * p <= rod or not (_is(nominal, d) and _is(pitch, p)):
            continue
        gap = thread_radius(d, p) - rod / 2
        fits = usual[0] <= gap <= usual[1]
        if fits or nominal is not None or pitch is not None:
            found.append((not fits, fine, gap, d, p))
    return min(found)[-2:] if found else None


def roomier(rod: float, nominal: float) -> tuple[float, float] | None:
    """A thread that a rod goes into, as near as may be to one that it does not [mm].

    Parameters
    ----------
    rod : float
        Diameter [mm].
    nominal : float
        Of the thread that is too narrow [mm].

    Returns
    -------
    tuple of float or None
        Nominal diameter and pitch: the coarsest of the same diameter, or else of the next wider
        one that the rod goes into; None where it goes into none.
    """
    sizes = [*COARSE.items(), *((d, p) for d, pitches in FINE.items() for p in pitches)]
    wide = [(d, -p) for d, p in sizes if d > nominal - SAME_MM and d - THREAD_DEPTH * p > rod]
    diameter, pitch = min(wide, default=(0.0, 0.0))
    return (diameter, -pitch) if wide else None


def _is(given: float | None, size: float) -> bool:
    """True where a size is given as nearly as inches are written, or is not given [mm]."""
    return given is None or abs(given - size) < SAME_MM
