"""What a surface radiates and the colours it shows."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from thermo.matter.curve import Floats
from thermo.matter.records import constant, number, table

Light = Literal["dim", "bright"]


def oxidised_emissivity(hottest_C: ArrayLike) -> Floats:
    """Emissivity of bare steel by the hottest it has been, since oxide stays.

    Bright up to about 300 °C, fully dark from about 600 °C, straight between.

    Parameters
    ----------
    hottest_C : array
        Highest temperature so far [°C], any shape.

    Returns
    -------
    array
        Emissivity [-].

    Validity: steel in air or in a flame's outer gas, seconds to minutes; not under flux.
    Source: end values read (see the table of constants); the ramp is common practice, no source.
    """
    ramp = [constant("oxidation", name).value for name in ("starts", "complete")]
    ends = [constant("emissivity", name).value for name in ("bright", "oxidised")]
    emissivity: Floats = np.interp(np.asarray(hottest_C, dtype=float), ramp, ends)
    return emissivity


@dataclass(frozen=True)
class Colour:
    """A colour of hot or tempered steel, as a band of one published table.

    `to_C` is None where the table gives a single temperature or an open end; `light` is "" where
    the table does not say in what light it was seen.
    """

    table: str
    name: str
    from_C: float
    to_C: float | None
    light: str
    source: str
    provenance: str


def heat_colours() -> tuple[Colour, ...]:
    """Colours of glowing steel, from all tables; they differ by up to 150 K."""
    return tuple(colour for colour in _colours() if colour.table != "temper")


def temper_colours() -> tuple[Colour, ...]:
    """Colours of the thin oxide on clean steel, held for minutes in air."""
    return tuple(colour for colour in _colours() if colour.table == "temper")


def colour_at(T_C: float, light: Light) -> Colour | None:
    """Colour of glowing steel as seen in dim or bright light; None while it does not glow.

    Between two bands the lower is returned, above the last band the last.

    Raises
    ------
    ValueError
        `light` is neither "dim" nor "bright".
    """
    if light not in ("dim", "bright"):
        raise ValueError(f'light is "dim" or "bright", not {light!r}')
    seen = [colour for colour in heat_colours() if colour.light == light and colour.from_C <= T_C]
    return seen[-1] if seen else None


@cache
def _colours() -> tuple[Colour, ...]:
    return tuple(
        Colour(
            table=row["table"],
            name=row["name"],
            from_C=float(row["from_C"]),
            to_C=number(row["to_C"]),
            light=row["light"],
            source=row["source"],
            provenance=row["provenance"],
        )
        for row in table("colours.csv")
    )
