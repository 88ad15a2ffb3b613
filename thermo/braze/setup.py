"""Everything one braze needs to know, in SI."""

from __future__ import annotations

from dataclasses import dataclass, field

from thermo.flame import Strategy, Torch
from thermo.matter import Filler, Flux, Solid
from thermo.shape import Joint


@dataclass(frozen=True)
class Coat:
    """Flux paste as brushed on.

    Parameters
    ----------
    thickness : float
        Thickness of the wet paste [m].
    water_fraction : float
        Share of free water in its mass [-].
    dried : bool
        True when the paste was dried before the flame is struck: no free water is left.
    """

    thickness: float
    water_fraction: float
    dried: bool = False


@dataclass(frozen=True)
class Clamp:
    """A clamp on the rod.

    Parameters
    ----------
    at : float
        Distance from the mouth of the hole to the clamp's near edge [m].
    conductance : float
        From the rod to the clamp, which stays at ambient [W/K].
    """

    at: float
    conductance: float


@dataclass(frozen=True)
class Snip:
    """The filler as it is given: cut from wire or sheet, and where it lies.

    Parameters
    ----------
    place : str
        "mouth", "hole-bottom", "rod-tip", or "fed" by hand when the gap can take it.
    azimuth : float
        Side it lies on [degrees].
    wire_diameter : float
        [m]
    sheet : float or None
        Thickness of sheet [m]; None for wire.
    length : float or None
        All the wire that is given [m]; None for as much as the joint takes.
    """

    place: str
    azimuth: float
    wire_diameter: float
    sheet: float | None = None
    length: float | None = None

    @property
    def central(self) -> bool:
        """True where it lies the same to all sides."""
        return self.place != "mouth"


@dataclass(frozen=True)
class Setup:
    """One joint, its materials, its torch and how the torch is held.

    Parameters
    ----------
    title : str
        Name of the case.
    joint : Joint
        Shape of ball, hole and rod.
    ball, rod : Solid
        Their metals.
    filler : Filler
        Its solidus and liquidus decide when the gap is ready.
    flux : Flux
        Its stages decide what is seen.
    coat : Coat
        Flux as brushed on ball, mouth and the rod's end.
    torch : Torch
        Source of heat; `Torch.off()`, the default, has no power.
    snip : Snip
        Where the filler lies.
    strategy : Strategy
        Phases of holding the torch; sides are azimuths of the case.
    ambient_C : float
        Temperature of the room [°C].
    support : str
        "free", "brick" (ball rests on it), "brick-behind" (behind the work) or "tweezers".
    attitude : str
        "ball-up", "ball-down" or "level".
    light : str
        "dim" or "bright": sets which colours can be seen.
    clamp : Clamp or None
        None when nothing grips the rod.
    second_filler : Filler or None
        Filler of the second ball's joint; None where the rod carries no second ball.
    stay_soft : tuple of str
        "ball", "rod": parts that must not harden again, to be drilled, tapped or bent afterwards.

    Examples
    --------
    All by hand, where `to_setup` has no case to start from:

    >>> from thermo import Coat, Joint, Phase, Setup, Snip, Strategy
    >>> from thermo import get_filler, get_flux, get_solid
    >>> setup = Setup(
    ...     title="brass moon",
    ...     joint=Joint(3e-3, "blind", 1.3e-3, 1.8e-3, 1.2e-3, 30e-3),
    ...     ball=get_solid("brass"),
    ...     rod=get_solid("carbon-steel"),
    ...     filler=get_filler("Ag 156"),
    ...     flux=get_flux("FH10"),
    ...     coat=Coat(thickness=0.3e-3, water_fraction=0.3),
    ...     snip=Snip("hole-bottom", azimuth=0.0, wire_diameter=0.5e-3),
    ...     strategy=Strategy("hold", [Phase(until="filled", longest=120.0)]),
    ... )
    >>> setup.torch
    <Torch: off>
    """

    title: str
    joint: Joint
    ball: Solid
    rod: Solid
    filler: Filler
    flux: Flux
    coat: Coat
    torch: Torch = field(default_factory=Torch.off, kw_only=True)
    snip: Snip
    strategy: Strategy
    ambient_C: float = 20.0
    support: str = "free"
    attitude: str = "ball-up"
    light: str = "dim"
    clamp: Clamp | None = None
    second_filler: Filler | None = None
    stay_soft: tuple[str, ...] = ()

    def __repr__(self) -> str:
        return (
            f"<Setup {self.title!r}: {self.joint!r}, {self.ball.name} on {self.rod.name}, "
            f"{self.filler!r}, {self.flux!r}, {self.torch!r}, {self.strategy!r}>"
        )
