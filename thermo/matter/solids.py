"""Metals of ball and rod, and bricks behind the work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

from numpy.typing import ArrayLike

from thermo.matter.curve import Curve, Floats
from thermo.matter.records import Record, document, find


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
