"""The torch and its jet of hot gas."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from thermo.flame.convection import Array
from thermo.matter import Flame, get_flame, get_torch_kind

_CORE_FADE = 0.3
"""Share of the cone's length over which its cool centre fades out at the tip (assumed)."""
LEAST_CONE = 1e-3
"""Length at which a cone that shortens is no cone any more (a judgement) [m]."""
_COLDEST_EXCESS = 0.01
"""Excess of the centre line over ambient at which the table ends [K]."""


@dataclass(frozen=True)
class Torch:
    """A hand torch: what it burns, how fast, and the shape of its flame.

    Parameters
    ----------
    flame : Flame
        Fuel and oxidant, their heat and the properties of the burnt gas.
    fuel_rate : float
        Fuel burnt [kg/s]; 0 is a torch that is off.
    bore : float
        Inner diameter of the burner's mouth [m].
    tip_temperature_C : float
        Gas temperature at the tip of the inner cone [°C].
    primary_air : float
        Oxidant mixed in before the mouth over the stoichiometric amount [-].
    cone_length : float
        Inner cone, from the burner's mouth to its tip [m].
    efficiency : float
        Share of the fuel's power carried by the jet, 0.8 to 1; the rest is radiated or unburnt
        (common practice, no source) [-].
    spread : float
        Growth of the jet's width per length [-]; round jets 0.094 to 0.102 (half-width; from
        memory of Pope, Turbulent Flows, Table 5.1), small slow flames differ: fit it.
    gas_temperature_factor, transfer_factor : float
        Corrections fitted to a maker's own torch, on `tip_temperature_C` and on the heat
        transfer coefficient [-].

    Raises
    ------
    ValueError
        If a number cannot be.
    """

    flame: Flame
    fuel_rate: float
    bore: float
    tip_temperature_C: float
    primary_air: float
    cone_length: float
    efficiency: float = 0.9
    spread: float = 0.10
    gas_temperature_factor: float = 1.0
    transfer_factor: float = 1.0

    def __post_init__(self) -> None:
        if not 0.0 <= self.fuel_rate < math.inf:
            raise ValueError(f"fuel rate is {self.fuel_rate} kg/s; give 0 (torch off) or more")
        if not 0.0 <= self.primary_air < math.inf:
            raise ValueError(f"primary air is {self.primary_air}; give a share of 0 or more")
        if not 0.0 < self.efficiency <= 1.0:
            raise ValueError(f"efficiency is {self.efficiency}; give a share in (0, 1]")
        for name in (
            "bore",
            "tip_temperature_C",
            "cone_length",
            "spread",
            "gas_temperature_factor",
            "transfer_factor",
        ):
            value = getattr(self, name)
            if not 0.0 < value < math.inf:
                raise ValueError(f"{name} is {value}; give a number above 0")

    @classmethod
    def of_kind(cls, name: str) -> Torch:
        """Torch with the usual values of its kind.

        Parameters
        ----------
        name : str
            "pocket", "pencil" or "hand".

        Returns
        -------
        Torch
            Middle values; their ranges and provenance stand with the kind itself.

        Examples
        --------
        >>> from thermo import Torch
        >>> Torch.of_kind("pocket")
        <Torch: 20 g/h of butane, 254 W>
        """
        kind = get_torch_kind(name)
        return cls(
            flame=get_flame(kind.fuel, kind.oxidant),
            fuel_rate=kind.fuel_rate.value,
            bore=kind.bore.value,
            tip_temperature_C=kind.tip_temperature_C.value,
            primary_air=kind.primary_air.value,
            cone_length=kind.cone_length.value,
        )

    def __repr__(self) -> str:
        if self.fuel_rate == 0.0:
            return "<Torch: off>"
        rate = 3.6e6 * self.fuel_rate
        return f"<Torch: {rate:.3g} g/h of {self.flame.fuel}, {self.fuel_power:.0f} W>"

    @classmethod
    def off(cls) -> Torch:
        """No torch: a pocket torch that burns nothing, for a part that other loads heat.

        Examples
        --------
        >>> from thermo import Torch
        >>> Torch.off()
        <Torch: off>
        """
        return replace(cls.of_kind("pocket"), fuel_rate=0.0)

    @property
    def fuel_power(self) -> float:
        """Fuel rate times lower heating value [W]."""
        return self.fuel_rate * self.flame.lower_heating_value

    @property
    def mixture_rate(self) -> float:
        """Fuel and the oxidant mixed in before the mouth [kg/s]."""
        return self.fuel_rate * (1.0 + self.primary_air * self.flame.oxidant_per_fuel)

    def cone_with(self, mixture_rate: float, bore: float) -> float:
        """Inner cone of the same burning velocity at another flow of mixture and another mouth.

        A laminar flame front burns with one velocity S across itself, so that its area goes with
        the flow of mixture: of a cone on the mouth's radius r,

        π r √(r² + L²) = V / S

        Parameters
        ----------
        mixture_rate : float
            Fuel and oxidant through the mouth [kg/s].
        bore : float
            Inner diameter of the mouth [m].

        Returns
        -------
        float
            Length L [m]; 0 where the flow feeds no more than a flat front over the mouth.

        Notes
        -----
        For a slender cone L goes as flow over bore. S is held as the torch's own values imply it,
        though it changes with fuel and with the share of air; laminar flow. Source: the cone
        method of burning velocity (Gouy), from memory of Glassman, Combustion, ch. 4.
        """
        own, r = 0.5 * self.bore, 0.5 * bore
        area = own * math.hypot(own, self.cone_length)
        slant = area * mixture_rate / self.mixture_rate / r
        return math.sqrt(max(slant**2 - r**2, 0.0))

    def turned(self, share: float) -> Torch:
        """The same torch with its valve at a share of the fuel, its cone longer or shorter.

        Parameters
        ----------
        share : float
            Of the fuel burnt now, above 0; the torch must burn some [-].

        Returns
        -------
        Torch
            Its cone no shorter than `LEAST_CONE`.
        """
        cone = self.cone_with(share * self.mixture_rate, self.bore)
        return replace(self, fuel_rate=share * self.fuel_rate, cone_length=max(cone, LEAST_CONE))


class Jet:
    """Round jet of burnt gas that keeps the torch's power and momentum.

    From the cone's tip on, with distance s along the axis and r from it,

    u = U(s) exp(-(r/b)²), T - Ta = D(s) exp(-(r/b)²), b = b_tip + spread (s - cone_length)

    and U, D follow at every s from the two integrals over the cross section,
    ∫ρ u² dA = momentum and ∫ρ u (h(T) - h(Ta)) dA = power. At the tip D is given, which fixes
    b_tip. Before the tip the gas is still burning: there the hot sheath narrows to the bore
    round a core of fresh cool mixture, and the integrals are not kept.

    Parameters
    ----------
    torch : Torch
        Source of fuel, air and momentum.
    ambient_C : float
        Temperature of the room [°C].

    Raises
    ------
    ValueError
        If the flame is not hotter than the room.

    Notes
    -----
    Entrained air is given the properties of burnt gas (heat capacity 7-12 % high), the cold
    mixture their density (4 % low for propane in air). With hydrogen both are rough: heat capacity
    of entrained air 23-36 % high, density of the mixture 31 % high and its speed as much too low.
    Buoyancy and the body's own effect on
    the jet are left out. Velocity and temperature share one width. Shape of the profile: Pope,
    Turbulent Flows (2000) section 5.1; the core is a stated shape, common practice, no source.
    """

    def __init__(self, torch: Torch, ambient_C: float = 20.0) -> None:
        self.torch = torch
        self.ambient_C = ambient_C
        self.gas = torch.flame.gas
        self.power = torch.efficiency * torch.fuel_power
        self._tip_excess = torch.tip_temperature_C * torch.gas_temperature_factor - ambient_C
        if self._tip_excess <= 1.0:
            raise ValueError(
                f"the flame's tip is at {ambient_C + self._tip_excess:.0f} °C and the room at "
                f"{ambient_C:.0f} °C; give a hotter flame"
            )
        self._mixture = torch.mixture_rate
        self._per_length = float(self.gas.density(ambient_C)) * 0.25 * math.pi * torch.bore**2
        self._mouth_speed = self._mixture / self._per_length
        self.momentum = self._mixture * self._mouth_speed
        if self.power > 0.0:
            self._tabulate()

    def at(self, s: ArrayLike, r: ArrayLike) -> tuple[Array, Array]:
        """Gas temperature and speed of the undisturbed jet.

        Parameters
        ----------
        s : array
            Distance from the burner's mouth along the axis [m].
        r : array
            Distance from the axis [m].

        Returns
        -------
        gas_T_C, speed : array
            Temperature [°C] and speed along the axis [m/s]; room temperature and 0 behind the
            mouth (s < 0) and for a torch of no power.
        """
        s, r = np.broadcast_arrays(np.asarray(s, dtype=float), np.asarray(r, dtype=float))
        if self.power == 0.0:
            return np.full(s.shape, self.ambient_C), np.zeros(s.shape)
        width, speed, excess = self._axis(s)
        profile = np.where(s < 0.0, 0.0, np.exp(-((r / width) ** 2)))
        heat = excess * profile * (1.0 - self._core(s, r))
        return self.ambient_C + heat, speed * profile

    def width(self, s: ArrayLike) -> Array:
        """Radius b [m] at which speed and excess temperature have fallen to 1/e, shape of s."""
        return self._axis(np.asarray(s, dtype=float))[0]

    def _tabulate(self) -> None:
        """Tabulate width, speed and excess of the axis, from the tip outward.

        With y = exp(-(r/b)²), power = π b² U E(D) and momentum = π b² U² M(D), where
        E = ∫₀¹ ρ (h - ha) dy and M = ∫₀¹ ρ y dy. So every excess D has its b and U in closed form.
        """
        excess = np.geomspace(self._tip_excess, _COLDEST_EXCESS, 400)
        nodes, weights = np.polynomial.legendre.leggauss(32)
        y, dy = 0.5 * (nodes + 1.0), 0.5 * weights
        T_C = self.ambient_C + np.outer(excess, y)
        density = self.gas.density(T_C)
        heat = self.gas.enthalpy(T_C) - self.gas.enthalpy(self.ambient_C)
        E, M = (density * heat) @ dy, (density * y) @ dy
        width = self.power / self._mixture / E * np.sqrt(M * self._per_length / math.pi)
        self._log_width = np.log(width)
        self._log_excess = np.log(excess)
        self._log_speed = np.log(self.power / (math.pi * width**2 * E))

    def _axis(self, s: Array) -> tuple[Array, Array, Array]:
        """Width [m], speed [m/s] and excess temperature [K] of the hot jet on its axis."""
        cone, mouth_radius = self.torch.cone_length, 0.5 * self.torch.bore
        tip_width, tip_speed = math.exp(self._log_width[0]), math.exp(self._log_speed[0])
        before = np.clip(1.0 - s / cone, 0.0, 1.0)
        width = tip_width + self.torch.spread * np.maximum(s - cone, 0.0)
        log_width = np.log(width)
        speed = np.exp(np.interp(log_width, self._log_width, self._log_speed))
        excess = np.exp(np.interp(log_width, self._log_width, self._log_excess))
        return (
            width + before * (mouth_radius - tip_width),
            speed + before * (self._mouth_speed - tip_speed),
            excess,
        )

    def _core(self, s: Array, r: Array) -> Array:
        """Share of the excess temperature missing in the fresh gas before the tip [-]."""
        before = np.clip(1.0 - s / self.torch.cone_length, 0.0, 1.0)
        x = np.minimum(before / _CORE_FADE, 1.0)
        radius = np.maximum(0.5 * self.torch.bore * before, 1e-9)
        return np.asarray(x * x * (3.0 - 2.0 * x) * np.exp(-((r / radius) ** 2)))
