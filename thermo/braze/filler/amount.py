"""How much filler a joint wants: gap, bottom and fillet, cold and at the filler's liquidus."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from thermo.braze.setup import Setup
from thermo.matter import constant
from thermo.shape import Joint, fillets


@dataclass(frozen=True)
class Volumes:
    """Room for filler [m³].

    Attributes
    ----------
    annulus : float
        Gap round the rod, mouth to tip.
    bottom : float
        Beyond the rod's tip: stand-off and drill point.
    fillet : float
        All fillets of the usual leg.
    """

    annulus: float
    bottom: float
    fillet: float

    @property
    def total(self) -> float:
        """All three [m³]."""
        return self.annulus + self.bottom + self.fillet


@dataclass(frozen=True)
class Amount:
    """What a joint takes.

    Attributes
    ----------
    cold : Volumes
        At 20 °C.
    hot : Volumes
        With ball and rod at the filler's liquidus.
    largest_fillet : float
        Fillets of the largest leg that still stands, hot [m³].
    clearance_hot : float
        Gap per side at the liquidus, rod central [m]; below 0 where the rod jams.
    seats : tuple of str
        Where the usual fillets end, see `Fillet`; one at the mouth, one more where the rod goes
        through.
    leg : float
        Their height along the rod, cold [m].
    stays_hollow : bool
        True where filler that comes from the mouth leaves the bottom hollow: it shuts gas and flux
        in a closed hole, and stops at the rod's edge where the hole goes through.
    """

    cold: Volumes
    hot: Volumes
    largest_fillet: float
    clearance_hot: float
    seats: tuple[str, ...]
    leg: float
    stays_hollow: bool

    @property
    def least(self) -> float:
        """What just fills gap and bottom, hot [m³]."""
        return self.hot.annulus + self.hot.bottom

    @property
    def aim(self) -> float:
        """With fillets of the usual leg besides, hot [m³]."""
        return self.hot.total

    @property
    def most(self) -> float:
        """With fillets of the largest leg: what is more runs out over the ball, hot [m³]."""
        return self.least + self.largest_fillet

    @property
    def hollow(self) -> float:
        """Gap and usual fillets, should the bottom stay hollow, hot [m³]."""
        return self.hot.annulus + self.hot.fillet

    @property
    def hollow_most(self) -> float:
        """Gap and largest fillets, should the bottom stay hollow, hot [m³]."""
        return self.hot.annulus + self.largest_fillet

    @property
    def marks(self) -> tuple[float, float, float]:
        """What fills the joint, is right, is the most it holds; as the bottom is, hot [m³]."""
        if self.stays_hollow:
            return self.hot.annulus, self.hollow, self.hollow_most
        return self.least, self.aim, self.most


@dataclass(frozen=True)
class Poured:
    """Where a volume of molten filler goes [m³].

    Attributes
    ----------
    annulus, bottom, fillet : float
        What stays in the gap, beyond the rod's tip, and in the fillets.
    over : float
        What runs out over the ball.
    """

    annulus: float
    bottom: float
    fillet: float
    over: float


def amount(setup: Setup) -> Amount:
    """Filler that one joint takes.

    Hot, the hole is wider by the ball's elongation, the rod by its own, and all lengths are longer
    by the ball's. The filler's own expansion is not known: molten filler is taken to fill what it
    fills cold, which errs by some per cent toward too much.

    Parameters
    ----------
    setup : Setup

    Returns
    -------
    Amount

    Source: geometry; elongations of the metals' records; legs assumed.
    """
    cold = setup.joint
    hot, clearance = _grown(setup)
    usual, largest = (constant("fillet", f"{name}-leg").value for name in ("usual", "largest"))
    fillets_cold = fillets(cold, usual * cold.rod_diameter)
    return Amount(
        cold=_volumes(cold, usual),
        hot=_volumes(hot, usual),
        largest_fillet=_fillets(hot, largest),
        clearance_hot=clearance,
        seats=tuple(fillet.seat for fillet in fillets_cold),
        leg=fillets_cold[0].leg,
        stays_hollow=_stays_hollow(setup),
    )


def poured(
    found: Amount,
    volume: float,
    held: float | None = None,
    *,
    bottom: bool | None = None,
    mouth: bool = True,
) -> Poured:
    """Where so much molten filler goes: the narrow gap first, then bottom, fillet, and over.

    Parameters
    ----------
    found : Amount
    volume : float
        [m³]
    held : float, optional
        What the gap has taken, as much as it holds by default [m³].
    bottom : bool, optional
        Whether the bottom takes what the gap leaves; by default where it does not stay hollow.
    mouth : bool
        False where nothing comes out of the gap at its mouth: the parts then fall short of the
        whole by what is shut in.

    Returns
    -------
    Poured

    Source: the narrower a gap, the harder it draws (Young and Laplace); that a bottom which filler
    gets into fills before the fillet supposes that gas and flux can leave it.
    """
    annulus = min(volume, found.hot.annulus) if held is None else held
    room = found.hot.bottom if (not found.stays_hollow if bottom is None else bottom) else 0.0
    at_bottom = min(volume - annulus, room)
    left = volume - annulus - at_bottom if mouth else 0.0
    fillet = min(left, found.largest_fillet)
    return Poured(annulus, at_bottom, fillet, left - fillet)


def _stays_hollow(setup: Setup) -> bool:
    """Filler from the mouth comes to a bottom that gas does not leave, or that is open behind."""
    joint = setup.joint
    from_mouth = setup.snip.place in ("mouth", "fed")
    return from_mouth and joint.bottom_volume > 0 and (joint.closed or joint.hole == "through")


def _volumes(joint: Joint, leg: float) -> Volumes:
    return Volumes(joint.annulus_volume, joint.bottom_volume, _fillets(joint, leg))


def _fillets(joint: Joint, leg: float) -> float:
    """All fillets of a leg in rod diameters [m³]."""
    return math.fsum(fillet.volume for fillet in fillets(joint, leg * joint.rod_diameter))


def _grown(setup: Setup) -> tuple[Joint, float]:
    """Joint at the filler's liquidus, and its gap per side [m]; below 0 the joint has none."""
    cold, at_C = setup.joint, setup.filler.liquidus_C
    ball, rod = (1 + float(solid.elongation(at_C)) for solid in (setup.ball, setup.rod))
    drilled = replace(
        cold,
        ball_diameter=cold.ball_diameter * ball,
        hole_diameter=cold.hole_diameter * ball,
        hole_depth=cold.hole_depth * ball,
        flat_diameter=cold.flat_diameter * ball,
        thread_pitch=cold.thread_pitch * ball,
        vent_diameter=cold.vent_diameter * ball,
        stand_off=cold.stand_off * ball,
    )
    room, width = 2 * drilled.hole_radius, cold.rod_diameter * rod
    return replace(drilled, rod_diameter=min(width, room)), (room - width) / 2
