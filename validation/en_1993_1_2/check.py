"""Our steels, and a lumped ball on a rod in the standard fire."""

from __future__ import annotations

from numpy.typing import ArrayLike

from thermo.matter import Solid, get_solid
from validation.checks import Computed, Floats, Row
from validation.parts import lumped_joint
from validation.standard_fire import in_the_fire


def conductivity(row: Row) -> Computed:
    """P01."""
    return {"conductivity": get_solid("carbon-steel").conductivity(row.along)}


def heat_capacity(row: Row) -> Computed:
    """P02."""
    return {"specific heat": get_solid("carbon-steel").heat_capacity(row.along)}


def enthalpy(row: Row) -> Computed:
    """P03."""
    steel = get_solid("carbon-steel")
    return {"enthalpy": steel.enthalpy(row.along) / steel.density / 1e3}


def elongation(row: Row) -> Computed:
    """P05."""
    return {"elongation": get_solid("carbon-steel").elongation(row.along)}


def stainless(row: Row) -> Computed:
    """P07."""
    steel = get_solid("stainless")
    return {
        "conductivity": steel.conductivity(row.along),
        "specific heat": steel.heat_capacity(row.along),
    }


class Lumped:
    """A steel of given density that conducts so well that a body of it is lumped."""

    def __init__(self, steel: Solid, density: float, factor: float) -> None:
        self._steel, self._density, self._factor = steel, density, factor

    def conductivity(self, T_C: ArrayLike) -> Floats:
        """Thermal conductivity [W/mK]."""
        return self._factor * self._steel.conductivity(T_C)

    def conductivity_integral(self, T_C: ArrayLike) -> Floats:
        """∫ k dT [W/m]."""
        return self._factor * self._steel.conductivity_integral(T_C)

    def enthalpy(self, T_C: ArrayLike) -> Floats:
        """Enthalpy per volume [J/m³]."""
        return self._density / self._steel.density * self._steel.enthalpy(T_C)


def bare_steel(row: Row) -> Computed:
    """F08."""
    given, found = row.inputs, {}
    for per_metre in given["per_metre"]:
        joint = lumped_joint(per_metre)
        metal = Lumped(get_solid("carbon-steel"), given["density"], 1000.0 * joint.ball_diameter)
        found[f"{per_metre} 1/m"] = in_the_fire(
            joint, metal, given["film"], given["emissivity"], 60.0 * row.along
        )
    return found


ROWS = {
    "P01": conductivity,
    "P02": heat_capacity,
    "P03": enthalpy,
    "P05": elongation,
    "P07": stainless,
    "F08": bare_steel,
}
