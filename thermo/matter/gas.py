"""Air, products of flames, flames and the torches that make them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike

from thermo.constants import ZERO_C_K
from thermo.matter.curve import Curve, Floats
from thermo.matter.records import Record, find, table

GAS_CONSTANT = 8.314462618  # J/(mol K), exact since 2019
ATMOSPHERE = 101325.0  # Pa
COLUMNS = (
    "viscosity_Pa_s",
    "conductivity_W_mK",
    "cp_frozen_J_kgK",
    "cp_equilibrium_J_kgK",
)


@dataclass(frozen=True, eq=False)
class Gas:
    """A gas at 1 atm, from 0 to 2100 °C (acetylene-air 2300, hydrogen-air 2200).

    Outside, transport and heat capacity keep end values.

    Transport and `heat_capacity` are for the products of complete burning, not split up by heat;
    `enthalpy` counts what splits up (it matters above 1500 °C).
    """

    name: str
    molar_mass: float
    curves: Mapping[str, Curve]
    source: str
    provenance: str

    def density(self, T: ArrayLike) -> Floats:
        """ρ = p M / (R T), ideal gas at 1 atm [kg/m³], T in °C, any shape."""
        kelvin = np.asarray(T, dtype=float) + ZERO_C_K
        return ATMOSPHERE * self.molar_mass / (GAS_CONSTANT * kelvin)

    def viscosity(self, T: ArrayLike) -> Floats:
        """Dynamic viscosity [Pa s]."""
        return self.curves["viscosity_Pa_s"].value(T)

    def conductivity(self, T: ArrayLike) -> Floats:
        """Thermal conductivity [W/(m K)]."""
        return self.curves["conductivity_W_mK"].value(T)

    def heat_capacity(self, T: ArrayLike) -> Floats:
        """Specific heat at constant pressure, composition frozen [J/(kg K)]."""
        return self.curves["cp_frozen_J_kgK"].value(T)

    def prandtl(self, T: ArrayLike) -> Floats:
        """Pr = c μ / k, composition frozen [-]."""
        return self.heat_capacity(T) * self.viscosity(T) / self.conductivity(T)

    def enthalpy(self, T: ArrayLike) -> Floats:
        """∫ c dT from 20 °C, gas in chemical equilibrium [J/kg]."""
        return self.curves["cp_equilibrium_J_kgK"].integral(T)


@dataclass(frozen=True, eq=False)
class Flame:
    """A fuel burning with just enough oxidant.

    Parameters
    ----------
    lower_heating_value : float
        Heat of burning, water as steam [J/kg of fuel].
    oxidant_per_fuel : float
        Oxidant for complete burning [kg/kg].
    adiabatic_C : float
        Temperature without losses [°C]: a ceiling, which a hand torch does not reach.
    gas : Gas
        Its products.
    usual : bool
        Whether cone, gas and air of the usual kinds of torch may stand for one that burns it: a
        judgement, no source.
    caution : str
        What can hurt with this fuel above all others (common practice); may be empty.
    """

    fuel: str
    oxidant: str
    lower_heating_value: float
    oxidant_per_fuel: float
    adiabatic_C: float
    gas: Gas
    usual: bool
    caution: str
    source: str
    provenance: str


@dataclass(frozen=True)
class TorchKind:
    """A usual kind of torch; every number is a record, since torches differ.

    Parameters
    ----------
    fuel_rate, bore, cone_length : Record
        Fuel burnt [kg/s], bore of the burner tube [m], length of the bright inner cone [m].
    tip_temperature_C : Record
        Gas just beyond the cone [°C].
    primary_air : Record
        Share of the air for complete burning drawn in at the burner [-].
    """

    name: str
    title: str
    fuel: str
    oxidant: str
    fuel_rate: Record
    bore: Record
    cone_length: Record
    tip_temperature_C: Record
    primary_air: Record

    def fuel_rate_of(self, flame: Flame) -> tuple[float, float, float]:
        """Usual, least and most of a fuel that burns with the heat of the kind's own [kg/s]."""
        own = get_flame(self.fuel, self.oxidant).lower_heating_value
        share = own / flame.lower_heating_value
        low, high = self.fuel_rate.range
        return share * self.fuel_rate.value, share * low, share * high


def gas_names() -> list[str]:
    """Names of the gases."""
    return list(dict.fromkeys(row["gas"] for row in table("gases.csv")))


def get_gas(name: str) -> Gas:
    """Look up a gas: "air", or the products of a flame, such as "propane-air".

    Raises
    ------
    UnknownName
        No such gas.
    """
    return _gas(find("gas", name, gas_names()))


@cache
def _gas(name: str) -> Gas:
    rows = [row for row in table("gases.csv") if row["gas"] == name]
    T = [float(row["T_C"]) for row in rows]
    first = rows[0]
    curves = {
        column: Curve.through(T, [float(row[column]) for row in rows], degree=3)
        for column in COLUMNS
    }
    return Gas(
        name=name,
        molar_mass=float(first["molar_mass_kg_mol"]),
        curves=MappingProxyType(curves),
        source=first["source"],
        provenance=first["provenance"],
    )


def flame_names() -> list[str]:
    """Names of the flames, "fuel-oxidant"."""
    return [f"{row['fuel']}-{row['oxidant']}" for row in table("flames.csv")]


def get_flame(fuel: str, oxidant: str = "air") -> Flame:
    """Look up a flame by fuel and oxidant.

    Raises
    ------
    UnknownName
        No such fuel, or not with this oxidant.
    """
    find("oxidant", oxidant, dict.fromkeys(row["oxidant"] for row in table("flames.csv")))
    find("fuel", fuel, dict.fromkeys(row["fuel"] for row in table("flames.csv")))
    return _flame(find("flame", f"{fuel}-{oxidant}", flame_names()))


@cache
def _flame(name: str) -> Flame:
    row = next(r for r in table("flames.csv") if f"{r['fuel']}-{r['oxidant']}" == name)
    return Flame(
        fuel=row["fuel"],
        oxidant=row["oxidant"],
        lower_heating_value=float(row["lower_heating_value_J_kg"]),
        oxidant_per_fuel=float(row["oxidant_per_fuel"]),
        adiabatic_C=float(row["adiabatic_C"]),
        gas=_gas(row["gas"]),
        usual=row["usual"] == "yes",
        caution=row["caution"],
        source=row["source"],
        provenance=row["provenance"],
    )


def torch_kinds() -> list[str]:
    """Names of the usual kinds of torch."""
    return list(dict.fromkeys(row["kind"] for row in table("torches.csv")))


def get_torch_kind(name: str) -> TorchKind:
    """Look up a kind of torch: "pocket", "pencil" or "hand".

    Raises
    ------
    UnknownName
        No such kind.
    """
    kind = find("torch", name, torch_kinds())
    rows = [row for row in table("torches.csv") if row["kind"] == kind]
    records = {row["name"]: Record.of(row) for row in rows}
    first = rows[0]
    return TorchKind(kind, first["title"], first["fuel"], first["oxidant"], **records)
