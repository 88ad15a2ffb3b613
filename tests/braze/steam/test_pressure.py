"""Steam in a hole: open by integrating the flow, plugged and sealed by the water's own pressure."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp, trapezoid

from thermo.braze import Clamp
from thermo.braze.steam.damp import damp_in
from thermo.braze.steam.pressure import held, steam, vented
from thermo.matter import isochoric_pressure, steam_viscosity

ATMOSPHERE = 101325.0
R = 461.526
RATE = 10.0


@pytest.fixture(scope="module")
def shut(earth):
    return steam(earth, RATE)


def coated(setup, **changes):
    return replace(setup, coat=replace(setup.coat, **changes))


def jointed(setup, **changes):
    return replace(setup, joint=replace(setup.joint, **changes))


def rod_area(setup):
    return math.pi * setup.joint.rod_diameter**2 / 4


def test_what_is_told(earth, shut):
    assert shut.closed and shut.fluxed and not shut.dried
    assert shut.damp == damp_in(earth, shut.hole_share)
    assert shut.heating_rate == RATE
    assert shut.free_heat == pytest.approx(shut.damp.free * (4190.0 * 80.0 + 2256500.0))
    assert shut.bound_heat == pytest.approx(shut.damp.bound * 3.6e6)


@pytest.mark.parametrize("stand_off", [0.0, 1e-3])
def test_open_gap_by_integrating_its_flow(earth, stand_off):
    """-dp/dx = 12 µ q / (w c³ ρ), q gathering along the gap, from the bottom to the mouth."""
    joint = replace(earth.joint, stand_off=stand_off)
    way = vented(joint, damp_in(replace(earth, joint=joint), 0.5), RATE, 0.5)
    width = math.pi * (joint.hole_diameter + joint.rod_diameter) / 2
    left = 0.5 * (joint.hole_diameter - joint.rod_diameter) / 2
    below = joint.bottom_volume / (joint.bottom_volume + joint.annulus_volume)
    viscosity, kelvin = float(steam_viscosity(100.0)), 373.15

    def fall(x, p):
        q = way.rate * (below + (1 - below) * (1 - x / joint.insertion))
        return 12 * viscosity * q * R * kelvin / (width * left**3 * p)

    run = solve_ivp(fall, (0, joint.insertion), [ATMOSPHERE], rtol=1e-9)  # mouth to bottom
    assert way.excess == pytest.approx(run.y[0, -1] - ATMOSPHERE, rel=1e-5)
    assert way.force == pytest.approx(way.excess * rod_area(earth))
    assert way.reynolds == pytest.approx(2 * way.rate / (width * viscosity))
    assert way.vent_share == 0.0


def test_free_water_boils_as_heat_reaches_it(earth, shut):
    """Walls ahead by β t, heat through half of the paste on either side, until it is all gone."""
    joint, way = earth.joint, shut.open
    walls = math.pi * (joint.hole_diameter + joint.rod_diameter) * joint.insertion
    half = shut.hole_share * joint.clearance / 2
    t = np.linspace(0.0, way.boils_s, 2001)
    made = 0.6 * walls / half * RATE * t / 2256500.0
    assert trapezoid(made, t) == pytest.approx(shut.damp.free, rel=1e-6, abs=0)
    assert way.rate == pytest.approx(made[-1], rel=1e-6, abs=0)
    assert way.at_C == 100.0


def test_dried_flux_still_steams(earth):
    found = steam(coated(earth, dried=True), RATE)
    assert found.dried
    assert found.open.at_C == 300.0
    assert found.open.boils_s == 0.0
    assert found.open.rate == pytest.approx(found.damp.bound * RATE / 200.0, rel=1e-6, abs=0)
    assert 0.0 < found.open.excess < steam(earth, RATE).open.excess
    at_300 = next(state for state in found.sealed if state.T_C == 300.0)
    assert at_300.pressure > 50 * ATMOSPHERE
    assert [step.water for step in found.plan] == ["bound"]


def test_faster_heat_and_more_paste_press_harder(earth, shut):
    assert steam(earth, 2 * RATE).open.excess > 1.2 * shut.open.excess
    assert steam(earth, RATE, 0.8).open.excess > 2 * shut.open.excess
    still = steam(earth, 0.0).open
    assert still.excess == still.rate == 0.0
    assert math.isinf(still.boils_s)


def test_vent_lies_beside_the_gap(earth, shut):
    vented_ball = steam(jointed(earth, vent_diameter=0.5e-3), RATE)
    assert not vented_ball.closed
    way = vented_ball.open
    assert 0.5 < way.vent_share < 1.0
    squares = [(ATMOSPHERE + found.excess) ** 2 - ATMOSPHERE**2 for found in (shut.open, way)]
    assert squares[1] / squares[0] == pytest.approx(1 - way.vent_share, rel=0.05)
    narrow = steam(jointed(earth, vent_diameter=0.1e-3), RATE).open
    assert narrow.vent_share < way.vent_share
    assert way.excess < narrow.excess < shut.open.excess


def test_vent_conducts_as_a_bore(earth):
    joint = replace(earth.joint, vent_diameter=0.3e-3)
    way = vented(joint, damp_in(earth, 0.5), RATE, 0.5)
    bore = math.pi / 8 * 0.15e-3**4 / joint.vent_length
    width = math.pi * (joint.hole_diameter + joint.rod_diameter) / 2
    gap = width * (0.5 * joint.clearance) ** 3 / 12 / joint.insertion
    assert way.vent_share == pytest.approx(bore / (bore + gap))
    cut = 0.15e-3 / math.tan(math.radians(joint.point_angle / 2))  # of the drill point's tip
    far = math.sqrt(joint.ball_radius**2 - 0.15e-3**2)
    assert joint.vent_length == pytest.approx(far - joint.apex_z + cut)


def test_vent_shut_or_not_the_sealed_hole_is_the_same_bound(earth, shut):
    through = steam(jointed(earth, hole="through"), RATE)
    assert not through.closed
    assert through.open.excess == through.open.force == 0.0
    assert through.open.vent_share == 1.0
    pairs = zip(through.sealed, shut.sealed, strict=True)
    at_300 = next(pair for pair in pairs if pair[0].T_C == 300.0)
    assert at_300[0].pressure == pytest.approx(at_300[1].pressure)


def test_no_way_out(earth):
    assert steam(earth, RATE, 1.0).open is None
    assert steam(jointed(earth, hole="through"), RATE, 1.0).open is None
    assert steam(jointed(earth, rod_diameter=earth.joint.hole_diameter), RATE).open is None
    assert steam(jointed(earth, vent_diameter=0.5e-3), RATE, 1.0).open.vent_share == 1.0


def test_sealed_by_the_water_it_holds(earth, shut):
    damp, temperatures = shut.damp, [state.T_C for state in shut.sealed]
    assert temperatures == sorted(set(temperatures))
    assert temperatures[-1] == earth.filler.liquidus_C
    for state in shut.sealed:
        assert state.water == damp.released(state.T_C)
        expected = float(isochoric_pressure(state.T_C, state.water / damp.room))
        assert state.pressure == expected
        assert state.force == (expected - ATMOSPHERE) * rod_area(earth)
    pressures = [state.pressure for state in shut.sealed]
    assert pressures == sorted(pressures)
    assert pressures[0] == pytest.approx(ATMOSPHERE, rel=1e-3)


def test_energy_let_go_is_kinetic_in_the_rod(earth, shut):
    state = next(s for s in shut.sealed if s.T_C == 300.0)
    mass = earth.rod.density * earth.joint.rod_volume
    assert state.energy == pytest.approx(mass * state.speed**2 / 2)
    assert state.energy == shut.damp.work(300.0) > 0.0


def test_brim_full_it_passes_every_table_near_boiling(earth, shut):
    assert 90.0 < shut.brimful_C < 110.0
    full = damp_in(earth, 1.0)
    assert math.isfinite(full.pressure(shut.brimful_C - 0.1))
    assert math.isinf(full.pressure(shut.brimful_C))
    assert steam(coated(earth, thickness=0.0), RATE).brimful_C is None


def test_plugged_parts_when_steam_outweighs_what_holds(earth, shut):
    plugged = shut.plugged
    assert plugged.excess == pytest.approx(shut.holding.force / rod_area(earth))
    pressed = shut.damp.pressure(plugged.parts_C)
    assert pressed == pytest.approx(ATMOSPHERE + plugged.excess, abs=0.05 * 4000.0)
    dried = steam(coated(earth, dried=True), RATE).plugged
    assert dried.excess == plugged.excess
    assert plugged.parts_C < dried.parts_C < 110.0
    bare = steam(coated(earth, thickness=0.0), RATE).plugged
    assert bare.parts_C is None


def test_level_work_parts_at_the_boiling_point(earth):
    level = steam(replace(earth, attitude="level"), RATE)
    assert level.plugged.excess == 0.0
    assert level.plugged.parts_C == pytest.approx(99.97, abs=0.06)


CLAMP = Clamp(20e-3, 0.03)


@pytest.mark.parametrize(
    ("changes", "force", "words"),
    [
        ({}, "ball", "ball's weight"),
        ({"clamp": CLAMP}, "ball", "ball's weight"),
        ({"support": "brick-behind"}, "ball", "ball's weight"),
        ({"attitude": "ball-down", "support": "brick"}, "rod", "rod's weight"),
        ({"support": "brick"}, "rod", "rod's weight"),
        ({"support": "brick", "clamp": CLAMP}, None, "clamp"),
        ({"attitude": "ball-down"}, 0.0, "nothing"),
        ({"attitude": "level", "clamp": CLAMP}, 0.0, "nothing"),
        ({"support": "tweezers"}, None, "tweezers"),
    ],
)
def test_what_holds(earth, changes, force, words):
    setup = replace(earth, **changes)
    weights = {
        "ball": 9.80665 * earth.ball.density * earth.joint.ball_volume,
        "rod": 9.80665 * earth.rod.density * earth.joint.rod_volume,
    }
    holding = held(setup)
    assert holding.force == weights.get(force, force)
    assert words in holding.by
    if force is None:
        plugged = steam(setup, RATE).plugged
        assert plugged.excess is None and plugged.parts_C is None


def test_thread_does_not_hold_a_plain_rod(earth):
    plain, tapped = held(earth), held(jointed(earth, hole="threaded", thread_pitch=0.1e-3))
    assert tapped.by == plain.by == "the ball's weight"
    assert tapped.force == pytest.approx(plain.force, rel=0.01)


@pytest.mark.parametrize("rate", [-1.0, math.nan, math.inf])
def test_no_such_heating(earth, rate):
    with pytest.raises(ValueError, match="heating_rate_K_s"):
        steam(earth, rate)


@pytest.mark.parametrize("share", [-0.1, 1.1])
def test_no_such_share(earth, share):
    with pytest.raises(ValueError, match="hole_share"):
        steam(earth, RATE, share)
