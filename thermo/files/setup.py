"""From a case, in the maker's units, to what one braze needs, in SI."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermo.constants import MM
from thermo.files.tables import Case, PhaseTable
from thermo.flame import Phase, Strategy, StrategyName, Torch, default_strategies
from thermo.matter import Filler, Flux, get_filler, get_flame, get_flux, get_solid
from thermo.shape import Joint

if TYPE_CHECKING:
    from thermo.braze import Setup, Snip

FIRST_STRATEGY = StrategyName.NEAR
LEAST_COAT_MM = 0.01
"""A thinner coat is none: 15 g of paste on a square metre, which takes under 5 % of the heat of the
smallest ball (1 mm) and answers in 3 ms or less once molten (calculated from the tabled density,
heat and conductance), far under the 0.1 s to which a time is told (a judgement, no source)."""
GRAMS_PER_HOUR = 1e-3 / 3600


def to_setup(case: Case, strategy: Strategy | None = None) -> Setup:
    """Everything one braze needs to know, in SI.

    Parameters
    ----------
    case : Case
        As read.
    strategy : Strategy, optional
        How the torch is held; by default the case's own first one, else "near side".

    Returns
    -------
    Setup

    Examples
    --------
    >>> from thermo import case_from_options, strategies_of, to_setup
    >>> case = case_from_options(6.0, 2.4, "pocket")
    >>> to_setup(case).joint
    <Joint: 6 mm ball, blind hole 2.5 x 3.6 mm, rod 2.4 x 40 mm>
    >>> to_setup(case, strategies_of(case)["mouth"]).strategy
    <Strategy 'mouth': hold on mouth until filled>
    """
    from thermo.braze import Clamp, Coat, Setup  # brings the heat model: reading does without

    clamp = case.clamp
    brushed = case.flux.coat_mm if case.flux.coat_mm >= LEAST_COAT_MM else 0.0
    coat = Coat(brushed * MM, case.flux.water_fraction, case.flux.dried)
    return Setup(
        title=case.title,
        joint=joint_of(case),
        ball=get_solid(case.ball.material),
        rod=get_solid(case.rod.material),
        filler=filler_of(case),
        flux=flux_of(case),
        coat=coat,
        torch=torch_of(case),
        snip=snip_of(case),
        strategy=strategy or strategies_of(case)[_first(case)],
        ambient_C=case.setting.ambient_C,
        support=case.setting.support,
        attitude=case.setting.attitude,
        light=case.setting.light,
        clamp=None if clamp is None else Clamp(clamp.at_mm * MM, clamp.conductance_W_K),
        second_filler=second_filler_of(case),
        stay_soft=tuple(
            part for part, table in (("ball", case.ball), ("rod", case.rod)) if table.stay_soft
        ),
    )


def strategies_of(case: Case) -> dict[str, Strategy]:
    """Our named strategies and the case's own; one of a name of ours replaces it."""
    azimuth = case.filler.azimuth_deg
    own = {
        table.name: Strategy(table.name, tuple(_phase(phase, azimuth) for phase in table.phase))
        for table in case.strategy
    }
    return default_strategies(azimuth) | own


def joint_of(case: Case) -> Joint:
    """Shape of ball, hole and rod; ValueError where they do not fit."""
    ball, rod, second = case.ball, case.rod, case.second_ball
    return Joint(
        ball_diameter=ball.diameter_mm * MM,
        hole=ball.hole,
        hole_diameter=ball.hole_diameter_mm * MM,
        hole_depth=ball.hole_depth_mm * MM,
        rod_diameter=rod.diameter_mm * MM,
        rod_length=rod.length_mm * MM,
        flat_diameter=ball.flat_diameter_mm * MM,
        point_angle=ball.point_angle_deg,
        thread_pitch=ball.thread_pitch_mm * MM,
        vent_diameter=ball.vent_diameter_mm * MM,
        stand_off=rod.stand_off_mm * MM,
        eccentricity=rod.eccentricity,
        second_ball_diameter=0.0 if second is None else second.diameter_mm * MM,
    )


def filler_of(case: Case) -> Filler:
    """The named alloy, or one of the case's own melting range."""
    filler = case.filler
    if filler.alloy is not None:
        return get_filler(filler.alloy)
    if filler.solidus_C is None or filler.liquidus_C is None:
        raise ValueError("the filler needs an alloy, or solidus_C and liquidus_C")
    return Filler.custom(filler.solidus_C, filler.liquidus_C)


def snip_of(case: Case) -> Snip:
    """What the filler is cut from, how much is given, and where it lies."""
    from thermo.braze import Snip

    filler = case.filler
    return Snip(
        place=filler.place,
        azimuth=filler.azimuth_deg,
        wire_diameter=filler.wire_diameter_mm * MM,
        sheet=None if filler.sheet_mm is None else filler.sheet_mm * MM,
        length=None if isinstance(filler.length_mm, str) else filler.length_mm * MM,
    )


def second_filler_of(case: Case) -> Filler | None:
    """Filler of the second ball's joint; None where there is no second ball."""
    second = case.second_ball
    if second is None:
        return None
    return filler_of(case) if second.filler is None else get_filler(second.filler)


def flux_of(case: Case) -> Flux:
    """The named flux, or one of the case's own working range."""
    flux = case.flux
    if flux.type is not None:
        return get_flux(flux.type)
    if flux.range_C is None:
        raise ValueError("the flux needs a type or range_C")
    return Flux.custom(*flux.range_C)


def torch_of(case: Case) -> Torch:
    """The torch; whatever the case left open is that of its kind."""
    torch = case.torch
    return Torch(
        flame=get_flame(torch.fuel),
        fuel_rate=torch.fuel_rate_g_per_h * GRAMS_PER_HOUR,
        bore=torch.nozzle_mm * MM,
        tip_temperature_C=torch.tip_temperature_C,
        primary_air=torch.primary_air,
        cone_length=torch.cone_mm * MM,
        gas_temperature_factor=torch.gas_temperature_factor,
        transfer_factor=torch.transfer_factor,
    )


def _first(case: Case) -> str:
    return case.strategy[0].name if case.strategy else FIRST_STRATEGY


def _phase(phase: PhaseTable, filler_azimuth: float) -> Phase:
    """One phase in SI; its side is counted from the filler's."""
    words = {"filler": 0.0, "opposite": 180.0}
    side = words[phase.side] if isinstance(phase.side, str) else phase.side
    return Phase(
        aim=phase.aim if isinstance(phase.aim, str) else phase.aim * MM,
        side=side + filler_azimuth,
        distance=None if isinstance(phase.distance_mm, str) else phase.distance_mm * MM,
        motion=phase.motion,
        period=phase.period_s,
        until=phase.until,
        longest=phase.max_s,
    )
