"""The brushed-on flux coat as a layer of its own: water, puffing, melting."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thermo.braze.setup import Coat
from thermo.heat import Layer
from thermo.matter import Flux, constant
from thermo.shape import Joint, Patches

Floats = NDArray[np.float64]

BOILING_C = 100.0
BOIL_WIDTH_K = 2.0  # free water boils off over this range, so that T(E) keeps rising
DRY_C = BOILING_C + BOIL_WIDTH_K
COATED_ROD = 1.5  # rod diameters below the mouth that get flux (common practice, no source)
LIFE_AT_C = 700.0
HIGHEST_C = 1600.0
POINTS = 4096


def flux_layer(
    coat: Coat,
    flux: Flux,
    joint: Joint,
    patches: Patches,
    columns: int,
    shares: Floats | float = 1.0,
) -> Layer | None:
    """Layer of flux on the ball, the mouth and the rod's end; None where no flux is brushed on.

    Parameters
    ----------
    coat : Coat
    flux : Flux
    joint : Joint
    patches : Patches
    columns : int
        Runs marched side by side.
    shares : float or (m,) array
        Of the coat's thickness, in all of them or each [-].
    """
    if coat.thickness <= 0:
        return None
    pieces = coated_pieces(joint, patches)
    mass = constant("coat", "density").value * coat.thickness
    enthalpy, temperature = _table(coat, flux)
    return Layer(
        pieces=pieces,
        mass=np.full((len(pieces), columns), mass) * shares,
        enthalpy=enthalpy,
        temperature=temperature,
        conductance=layer_conductance(temperature, flux),
    )


def coated_pieces(joint: Joint, patches: Patches) -> NDArray[np.int64]:
    """Pieces that flux is brushed on: the ball and the rod's end."""
    lowest = joint.mouth_z - COATED_ROD * joint.rod_diameter
    near = (patches.piece_body == 1) & (patches.centre[:, 2] > lowest)
    return np.flatnonzero((patches.piece_body == 0) | near)


def layer_conductance(hottest_C: Floats, flux: Flux) -> Floats:
    """Conductance from flux to metal by the hottest the flux has been.

    Wet paste, then a puffed crust, then molten glass that wets the metal; between milky and clear
    the conductance rises geometrically.

    Parameters
    ----------
    hottest_C : array
        Any shape [°C].
    flux : Flux

    Returns
    -------
    array
        Of the same shape [W/m²K].
    """
    levels = [constant("coat", f"conductance-{s}").value for s in ("wet", "puffed", "molten")]
    marks = [BOILING_C, DRY_C, flux.stages["milky"].value, flux.stages["clear"].value]
    logs = np.log([levels[0], levels[1], levels[1], levels[2]])
    return np.asarray(np.exp(np.interp(hottest_C, marks, logs)))


def spending(T_C: Floats) -> Floats:
    """Pace at which flux is spent, as a share of its life [1/s].

    2^((T - 700 °C) / doubling) / life at 700 °C, life and doubling of the table of constants.

    Parameters
    ----------
    T_C : array
        Any shape [°C].

    Validity: an order of magnitude; no measured life was found. Source: common practice.
    """
    life, doubling = (constant("coat", name).value for name in ("life", "life-halved-by"))
    return np.asarray(np.exp2((T_C - LIFE_AT_C) / doubling) / life)


def water_shares(coat: Coat, flux: Flux) -> tuple[float, float]:
    """Free water and water bound in boric acid, of the mass of paste as brushed on [-]."""
    if not flux.boric:
        return coat.water_fraction, 0.0
    acid = (1.0 - coat.water_fraction) * constant("coat", "boric-acid-share").value
    return coat.water_fraction, acid * constant("bound-water", "share").value


def _table(coat: Coat, flux: Flux) -> tuple[Floats, Floats]:
    """Enthalpy per kg of wet paste from 20 °C and temperature, uniform in enthalpy.

    Free water boils at 100 °C, boric compounds give off theirs up to about 300 °C, the dry rest
    melts between its milky and its clear stage. Vapour leaves with the enthalpy it has.
    """
    water, bound = water_shares(coat, flux)
    rest = 1.0 - water - bound
    milky, clear = flux.stages["milky"].value, flux.stages["clear"].value
    ends = constant("bound-water", "ends").value
    latents = [
        (BOILING_C, DRY_C, water * constant("water", "latent-heat").value),
        (DRY_C, ends, bound * constant("bound-water", "latent-heat").value),
        (milky, clear, rest * constant("coat", "latent-heat").value),
    ]
    dry, molten = (constant("coat", f"heat-capacity-{s}").value for s in ("dry", "molten"))
    T = np.unique(np.concatenate([np.linspace(-40.0, HIGHEST_C, 4000), *[s[:2] for s in latents]]))
    slope = np.interp(T, [milky, clear], [dry, molten])
    heat = rest * np.concatenate([[0.0], np.cumsum((slope[1:] + slope[:-1]) / 2 * np.diff(T))])
    if coat.dried:
        latents = latents[1:]
    else:
        heat += water * constant("water", "heat-capacity").value * np.minimum(T, BOILING_C)
    for low, high, latent in latents:
        heat += latent * np.interp(T, [low, high], [0.0, 1.0])
    heat -= np.interp(20.0, T, heat)
    grid = np.linspace(heat[0], heat[-1], POINTS)
    return grid, np.interp(grid, heat, T)
