"""Metals, fillers, fluxes, gases and surfaces: numbers with their sources."""

from thermo.matter.curve import Curve
from thermo.matter.filler import Filler, filler_names, get_filler, suggested_filler_names
from thermo.matter.flux import Flux, flux_names, flux_stages, get_flux
from thermo.matter.gas import (
    Flame,
    Gas,
    TorchKind,
    flame_names,
    gas_names,
    get_flame,
    get_gas,
    get_torch_kind,
    torch_kinds,
)
from thermo.matter.records import Record, Source, UnknownName, constant, constants, sources
from thermo.matter.solids import Medium, Solid, brick_names, get_brick, get_solid, solid_names
from thermo.matter.surface import (
    Colour,
    colour_at,
    heat_colours,
    oxidised_emissivity,
    temper_colours,
)
from thermo.matter.water import (
    expansion_work,
    isochoric_pressure,
    latent_heat,
    saturation_pressure,
    saturation_temperature,
    steam_viscosity,
    steam_volume,
    water_density,
)

__all__ = [
    "Colour",
    "Curve",
    "Filler",
    "Flame",
    "Flux",
    "Gas",
    "Medium",
    "Record",
    "Solid",
    "Source",
    "TorchKind",
    "UnknownName",
    "brick_names",
    "colour_at",
    "constant",
    "constants",
    "expansion_work",
    "filler_names",
    "flame_names",
    "flux_names",
    "flux_stages",
    "gas_names",
    "get_brick",
    "get_filler",
    "get_flame",
    "get_flux",
    "get_gas",
    "get_solid",
    "get_torch_kind",
    "heat_colours",
    "isochoric_pressure",
    "latent_heat",
    "oxidised_emissivity",
    "saturation_pressure",
    "saturation_temperature",
    "solid_names",
    "sources",
    "steam_viscosity",
    "steam_volume",
    "suggested_filler_names",
    "temper_colours",
    "torch_kinds",
    "water_density",
]
