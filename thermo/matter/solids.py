"""Metals of ball and rod, and bricks behind the work."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from types import MappingProxyType
from typing import Any

from numpy.typing import ArrayLike

from thermo.matter.curve import REFERENCE_C, Curve, Floats
from thermo.matter.records import Record, document, find

Property = float | Sequence[tuple[float, float]]
"""A constant, or (temperature in °C, value) in rising order."""
MOST_EXPANSION = 1e-3
"""No metal expands as much [1/K]: a thousandth and more is one of another unit (a judgement)."""
FAR_C = 1700.0


@dataclass(frozen=True, eq=False)
class Medium:
    """A solid that takes up and conducts heat. Density is that of the cold solid.

    Properties hold from 20 to 1200 °C and keep their end values outside.
    """

    name: str
    title: str
    records: Mapping[str, Record]
    curves: Mapping[str, Curve]

    @property
    def density(self) -> float:
        """Density at 20 °C [kg/m³]."""
        return self.records["density"].value

    def conductivity(self, T: ArrayLike) -> Floats:
        """Thermal conductivity k(T) [W/(m K)], T in °C, any shape."""
        return self.curves["conductivity"].value(T)

    def heat_capacity(self, T: ArrayLike) -> Floats:
        """Specific heat c(T) [J/(kg K)], T in °C, any shape."""
        return self.curves["heat_capacity"].value(T)

    def enthalpy(self, T: ArrayLike) -> Floats:
        """ρ ∫ c dT from 20 °C [J/m³], exact and strictly rising."""
        return self.density * self.curves["heat_capacity"].integral(T)

    def conductivity_integral(self, T: ArrayLike) -> Floats:
        """∫ k dT from 20 °C [W/m], exact (Kirchhoff's transform)."""
        return self.curves["conductivity"].integral(T)


@dataclass(frozen=True, eq=False)
class Solid(Medium):
    """A metal, with the temperatures it must not pass."""

    @classmethod
    def custom(
        cls,
        name: str,
        *,
        density: float,
        heat_capacity: Property,
        conductivity: Property,
        melts_C: float,
        emissivity: float | None = None,
        expansion: float = 0.0,
        source: str = "given by the user",
    ) -> Solid:
        """Make a metal of one's own.

        Parameters
        ----------
        name : str
        density : float
            At 20 °C [kg/m³].
        heat_capacity, conductivity : float or sequence of (temperature, value)
            A constant, or a table by rising °C, straight between its points and constant outside
            [J/(kg K)], [W/(m K)]. Heat of a transformation is a peak of the heat capacity.
        melts_C : float
            Solidus [°C]; where it is reached, the braze is over.
        emissivity : float, optional
            Of the bare surface, the same at all temperatures; None for that of steel by the
            hottest it has been [-].
        expansion : float
            Mean linear expansion from 20 °C; 0 for a metal that stays as wide as it is [1/K].
        source : str
            Where the numbers come from.

        Raises
        ------
        ValueError
            If a number cannot be.

        References
        ----------
        The example's brass: CW508L and Incropera, as `brazeclock list solids` tells of them.

        Examples
        --------
        >>> from thermo import Solid
        >>> metal = Solid.custom(
        ...     "own brass",
        ...     density=8440.0,
        ...     heat_capacity=377.0,
        ...     conductivity=[(20.0, 116.0), (400.0, 150.0)],
        ...     melts_C=902.0,
        ...     emissivity=0.6,
        ... )
        >>> metal
        <Solid own brass: 8440 kg/m³, melts at 902 °C>
        >>> float(metal.conductivity(210.0))
        133.0
        """
        if not name.strip():
            raise ValueError("name is empty; give the metal one")
        if emissivity is not None and not 0.0 < emissivity <= 1.0:
            raise ValueError(f"emissivity = {emissivity}: must lie above 0 and up to 1")
        if not 0.0 <= expansion < MOST_EXPANSION:
            raise ValueError(
                f"expansion = {expansion}: must be 0 or more and below {MOST_EXPANSION:g} per K"
            )
        numbers = {
            "density": (_positive("density", density, "kg/m³"), "kg/m3"),
            "melts_C": (_positive("melts_C", melts_C, "°C"), "°C"),
        }
        if emissivity is not None:
            numbers["emissivity"] = (emissivity, "-")
        records = {
            key: Record(value, unit, None, None, source, source)
            for key, (value, unit) in numbers.items()
        }
        far = [0.0, expansion * (FAR_C - REFERENCE_C)]
        curves = {
            "heat_capacity": _own("heat_capacity", heat_capacity, "J/(kg K)", source),
            "conductivity": _own("conductivity", conductivity, "W/(m K)", source),
            "elongation": Curve.through(
                [REFERENCE_C, FAR_C], far, unit="-", source=source, provenance=source
            ),
        }
        return cls(name, name, MappingProxyType(records), MappingProxyType(curves))

    def __repr__(self) -> str:
        return f"<Solid {self.name}: {self.density:g} kg/m³, melts at {self.melts_C:g} °C>"

    @property
    def emissivity(self) -> float | None:
        """Emissivity of the bare surface [-]; None for that of steel, as it oxidises."""
        return self._limit("emissivity")

    def elongation(self, T: ArrayLike) -> Floats:
        """Change of length over length at 20 °C, ΔL/L(T) [-]."""
        return self.curves["elongation"].value(T)

    @property
    def melts_C(self) -> float:
        """Solidus [°C]."""
        return self.records["melts_C"].value

    @property
    def grain_growth_C(self) -> float | None:
        """Above this the grain coarsens: caution [°C]; None where not known."""
        return self._limit("grain_growth_C")

    @property
    def overheated_C(self) -> float | None:
        """Above this the metal is spoilt: fail [°C]; None where not known."""
        return self._limit("overheated_C")

    @property
    def scaling_C(self) -> float | None:
        """Above this bare metal scales in air [°C]; None where not known."""
        return self._limit("scaling_C")

    @property
    def ac1_C(self) -> float | None:
        """Above this the steel hardens again on cooling [°C]; None where it does not harden."""
        return self._limit("ac1_C")

    def _limit(self, name: str) -> float | None:
        record = self.records.get(name)
        return record.value if record else None


def _own(key: str, given: Property, unit: str, source: str) -> Curve:
    """A property of a metal of one's own; ValueError where it cannot be."""
    if isinstance(given, int | float):
        given = ((REFERENCE_C, given), (FAR_C, given))
    points = [(float(T), _positive(key, value, unit)) for T, value in given]
    T, values = zip(*points, strict=True) if points else ((), ())
    if len(T) < 2 or not all(a < b for a, b in pairwise(T)) or not math.isfinite(T[0] + T[-1]):
        raise ValueError(
            f"{key} = {given}: give a number, or two points (°C, {unit}) or more by rising °C"
        )
    return Curve.through(T, values, unit=unit, source=source, provenance=source)


def _positive(key: str, value: float, unit: str) -> float:
    if not 0.0 < value < math.inf:
        raise ValueError(f"{key} = {value}: must be above 0 and finite, in {unit}")
    return float(value)


def solid_names() -> list[str]:
    """Names of the metals."""
    return list(document("solids.toml")["metals"])


def brick_names() -> list[str]:
    """Names of the bricks."""
    return list(document("solids.toml")["bricks"])


def get_solid(name: str) -> Solid:
    """Look up a metal; case, spaces and hyphens do not matter.

    Raises
    ------
    UnknownName
        No such metal.
    """
    return _solid(find("solid", name, solid_names()))


def get_brick(name: str) -> Medium:
    """Look up a firebrick: "light" or "firm".

    Raises
    ------
    UnknownName
        No such brick.
    """
    return _brick(find("brick", name, brick_names()))


@cache
def _solid(name: str) -> Solid:
    return Solid(name, *_parts("metals", name))


@cache
def _brick(name: str) -> Medium:
    return Medium(name, *_parts("bricks", name))


def _parts(group: str, name: str) -> tuple[str, Mapping[str, Record], Mapping[str, Curve]]:
    data = document("solids.toml")
    entry = data[group][name]
    records: dict[str, Record] = {}
    curves: dict[str, Curve] = {}
    for key, content in entry.items():
        if key in ("conductivity", "heat_capacity", "elongation"):
            curves[key] = _curve(content)
        elif key != "title":
            shared = isinstance(content, str)
            records[key] = Record.of(data["limits"][content] if shared else content)
    return entry["title"], MappingProxyType(records), MappingProxyType(curves)


@cache
def _curve(key: str) -> Curve:
    entry: dict[str, Any] = document("solids.toml")["curves"][key]
    spread = None
    if "low_percent" in entry:
        spread = (entry["low_percent"] / 100, entry["high_percent"] / 100)
    about = {name: entry[name] for name in ("unit", "source", "provenance")}
    if "table" in entry:
        T, values = zip(*entry["table"], strict=True)
        return Curve.through(T, values, spread=spread, **about)
    return Curve.from_pieces(entry["pieces"], spread=spread, **about)
