"""The filler's own heat: its table, how it warms by contact and in the flame, and where the heat
comes from and goes."""

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from thermo.braze import brazes
from thermo.braze.filler.amount import amount
from thermo.braze.filler.flow import Filling
from thermo.braze.filler.heat import SPREAD_S, enthalpy_table
from thermo.braze.filler.lead import answer, flame
from thermo.braze.filler.mouth_gas import gas_at_mouth, jet_at_mouth
from thermo.braze.filler.walls import part_of
from thermo.braze.limits import LimitName
from thermo.braze.model import BrazeModel
from thermo.constants import SIGMA, ZERO_C_K
from thermo.flame import (
    Jet,
    Phase,
    Strategy,
    absorbed_fraction,
    churchill_bernstein_cylinder,
    default_strategies,
    effectiveness,
    phase_pose,
    spent_jet,
)
from thermo.heat import Readings, Step
from thermo.matter import constant

PLACES = ["mouth", "bottom", "bottom, half", "bottom, double", "through, tip", "fed"]
NAMES = [*PLACES, "mouth, short", "threaded, mouth", "off centre, fed short", "round, mouth"]
FLAME_PHASE = Phase("mouth")


def capacity():
    return constant("filler", "heat-capacity").value


def latent():
    return constant("filler", "latent-heat").value


def model_with(setup, place, mass=None, filler=None):
    """A braze model at rest, with so much filler [kg] at a place."""
    filler = setup.filler if filler is None else filler
    snip = replace(setup.snip, place=place)
    if mass is not None:
        section = math.pi * snip.wire_diameter**2 / 4
        snip = replace(snip, length=mass / filler.density / section)
    return BrazeModel(replace(setup, snip=snip, filler=filler), [setup.strategy], "quick")


@pytest.fixture(scope="module")
def models(earth):
    """A braze model at rest by the filler's place; each is made once."""
    return cache(lambda place: model_with(earth, place))


def level(braze_model, T_C):
    """Readings of a part at one temperature."""
    mesh = braze_model.mesh
    cells, links, pieces = mesh.cells, len(mesh.gap.area), mesh.patches.count
    sizes = (cells, links, links, pieces, braze_model.heat.covered, links)
    return Readings(*(np.full((n, 1), T_C) for n in sizes))


# -- the table


def test_table_is_the_arithmetic_of_any_text(earth):
    h, T = enthalpy_table(earth.filler)
    at = {C: float(np.interp(C, T, h)) for C in (20.0, 300.0, 619.9, 620.0, 655.1, 900.0)}
    assert at[300.0] - at[20.0] == pytest.approx(280.0 * capacity(), rel=1e-12)
    assert at[655.1] - at[620.0] == pytest.approx(35.1 * capacity() + latent(), rel=1e-12)
    assert at[900.0] - at[655.1] == pytest.approx(244.9 * capacity(), rel=1e-12)
    assert np.all(np.diff(h) > 0) and np.all(np.diff(T) > 0)


# -- by contact


@pytest.mark.parametrize(("place", "contact"), [("hole-bottom", 630.0), ("fed", 2000.0)])
@pytest.mark.parametrize("steps", [1, 7, 400])
def test_a_piece_against_a_part_of_one_temperature_follows_it_as_a_lump(
    earth, place, contact, steps
):
    """T = Tw - (Tw - T0) exp(-t / τ), τ = m c / hA: all of its skin touches. Where walls do not
    answer what is drawn, one step that foresaw nothing else is off by their answer alone."""
    braze_model = model_with(earth, place)
    supply, filler_state, readings = (
        braze_model.filler_heat,
        braze_model.filler_heat.start()[0],
        level(braze_model, 600.0),
    )
    filler_state.there, filler_state.walls = True, (0.0, 600.0)
    filling = Filling.empty(len(braze_model.mesh.gap.area), 1)
    supply._part = supply._part._replace(k=math.inf, section=math.inf, ball_heat=math.inf)
    patches = supply.mass / earth.filler.density / (earth.snip.wire_diameter / 4)
    lag = supply.mass * capacity() / (contact * patches)
    h = 2.0 * lag / steps
    for step in range(steps):
        supply.plan([filler_state], filling, readings, step * h, h)
        supply.advance([filler_state], readings, step * h, (step + 1) * h)
    expected = 600.0 - 580.0 * math.exp(-2.0)
    assert supply.temperature(filler_state) == pytest.approx(expected, abs=1e-6)


def test_filler_that_lies_remembers_its_hottest_and_what_wets_does_not(earth):
    braze_model = model_with(earth, "hole-bottom")
    supply, links = braze_model.filler_heat, len(braze_model.mesh.gap.area)
    (filler_state,), filling = supply.start(), Filling.empty(links, 1)

    def led(walls_C, t):
        supply.plan([filler_state], filling, level(braze_model, walls_C), t, 1.0)
        supply.advance([filler_state], level(braze_model, walls_C), t, t + 1.0)
        return supply.temperature(filler_state)

    up, down = led(500.0, 0.0), led(300.0, 1.0)
    assert up > down
    assert filler_state.hottest == up
    filling.share[:] = 0.5
    assert led(700.0, 2.0) > up
    assert filler_state.hottest == up


def test_walls_that_answer_what_is_drawn_give_no_more_than_contact_lets_through(earth):
    """Drawn evenly, P = K (T_walls - T) whatever answer was foreseen."""
    braze_model = model_with(earth, "hole-bottom")
    supply, filler_state, readings = (
        braze_model.filler_heat,
        braze_model.filler_heat.start()[0],
        level(braze_model, 600.0),
    )
    filler_state.mass, filler_state.walls = (
        1.0,
        (0.0, 600.0),
    )  # so heavy that it keeps its temperature
    start = filler_state.enthalpy = supply.line.enthalpy(400.0)
    filler_state.drawn = supply._dry[0] * 200.0
    supply.advance([filler_state], readings, 0.0, 2.0)
    assert (filler_state.enthalpy - start) / 2.0 == pytest.approx(filler_state.drawn, rel=1e-3)


@pytest.mark.parametrize("place", ["hole-bottom", "mouth", "fed"])
@given(
    walls=st.floats(-20.0, 900.0),
    then=st.floats(-20.0, 900.0),
    T=st.floats(-20.0, 1100.0),
    drawn=st.floats(-100.0, 100.0),
    mass=st.floats(1e-9, 1e-3),
    ahead=st.floats(1e-3, 100.0),
    share=st.floats(0.01, 1.01),
    wet=st.booleans(),
)
@example(  # foreseen so ill that radiation, a chord to -1000 °C, turned round
    walls=0.0, then=0.0, T=0.0, drawn=-79.0, mass=1e-9, ahead=85.0, share=1.0, wet=False
)
def test_filler_never_leaves_what_surrounds_it_and_its_heat_is_booked(
    models, place, walls, then, T, drawn, mass, ahead, share, wet
):
    """For any step, mass, contact and gas, however ill the draw was chosen."""
    braze_model = models(place)
    supply, filling = braze_model.filler_heat, Filling.empty(len(braze_model.mesh.gap.area), 1)
    filler_state = supply.start()[0]
    supply.hold(0, FLAME_PHASE, 0.0)
    if wet:
        filling.share[~braze_model.mesh.gap.floor] = 0.3
    filler_state.there, filler_state.mass, filler_state.drawn = True, mass, drawn
    filler_state.enthalpy = start = supply.line.enthalpy(T)
    supply.plan([filler_state], filling, level(braze_model, walls), 0.0, ahead)
    filler_state.drawn += drawn
    stored = supply.stored(filler_state)
    supply.advance([filler_state], level(braze_model, then), 0.0, share * ahead)
    around = [T, walls, then]
    if filler_state.shading:
        around += [20.0, flame(supply._gas[0], 0.0)[1]]
    assert min(around) - 1e-6 <= supply.temperature(filler_state) <= max(around) + 1e-6
    booked = filler_state.gained - filler_state.lost + filler_state.drawn * share * ahead
    turned = abs(filler_state.gained) + filler_state.lost + abs(filler_state.drawn * share * ahead)
    turned += mass * abs(filler_state.enthalpy - start)
    assert supply.stored(filler_state) - stored == pytest.approx(booked, abs=1e-11 * turned + 1e-12)


def test_what_cells_give_is_what_the_filler_draws(earth):
    """By halves from either wall, on the floor's links before it flows, in the gap after."""
    braze_model = model_with(earth, "hole-bottom")
    mesh, supply, filler_state = (
        braze_model.mesh,
        braze_model.filler_heat,
        braze_model.filler_heat.start()[0],
    )
    gap, filling = mesh.gap, Filling.empty(len(mesh.gap.area), 1)
    readings = level(braze_model, 600.0)
    source = supply.plan([filler_state], filling, readings, 0.0, 0.1)
    assert mesh.volume @ source[:, 0] == pytest.approx(-filler_state.drawn, rel=1e-12)
    assert filler_state.drawn > 0.0
    touched = np.flatnonzero(source[:, 0])
    assert set(touched) == set(gap.ball[gap.floor]) | set(gap.rod[gap.floor])
    given = mesh.volume * source[:, 0]
    assert given[mesh.body == 0].sum() == pytest.approx(given[mesh.body == 1].sum(), rel=1e-12)
    filling.share[~gap.floor] = 0.3
    source = supply.plan([filler_state], filling, readings, 0.0, 0.1)
    assert mesh.volume @ source[:, 0] == pytest.approx(-filler_state.drawn, rel=1e-12)
    assert set(gap.rod[~gap.floor]) <= set(np.flatnonzero(source[:, 0]))


def test_no_wall_gives_heat_to_filler_that_is_hotter(earth):
    """Each place gives as it is hotter than the filler, and takes as it is colder."""
    braze_model = model_with(earth, "hole-bottom")
    mesh, supply, filler_state = (
        braze_model.mesh,
        braze_model.filler_heat,
        braze_model.filler_heat.start()[0],
    )
    gap, nothing = mesh.gap, Filling.empty(len(mesh.gap.area), 1)
    level_walls = level(braze_model, 100.0)
    hole, rod = level_walls.hole.copy(), level_walls.rod.copy()
    hole[gap.floor], rod[gap.floor] = 300.0, 90.0
    readings = replace(level_walls, hole=hole, rod=rod)
    for filler_C, body in ((100.0, 0), (200.0, 1)):  # the mean of the walls lies between
        filler_state.enthalpy = supply.line.enthalpy(filler_C)
        given = mesh.volume * supply.plan([filler_state], nothing, readings, 0.0, 0.1)[:, 0]
        assert (filler_state.drawn > 0.0) == (body == 0)
        assert given[mesh.body == body].sum() == pytest.approx(-filler_state.drawn, rel=1e-12)
        assert np.all(given[mesh.body != body] == 0.0)
    rod[gap.floor] = 150.0
    filler_state.enthalpy = supply.line.enthalpy(100.0)
    given = (
        mesh.volume
        * supply.plan([filler_state], nothing, replace(readings, rod=rod), 0.0, 0.1)[:, 0]
    )
    assert given[mesh.body == 0].sum() == pytest.approx(4.0 * given[mesh.body == 1].sum())


@pytest.mark.parametrize("step", [1e-5, 1e-3, 0.05])
def test_what_filler_owes_it_draws_over_a_while_however_short_the_steps(earth, step):
    """Heat owed from a long step that was not foreseen, paid back within a step that it makes
    short itself, would be drawn ever more quickly."""
    braze_model = model_with(earth, "hole-bottom")
    supply, filler_state = braze_model.filler_heat, braze_model.filler_heat.start()[0]
    filler_state.enthalpy, filler_state.owed = supply.line.enthalpy(400.0), 0.5
    filler_state.walls = 1.0, 400.0
    readings = level(braze_model, 400.0)
    supply.plan(
        [filler_state], Filling.empty(len(braze_model.mesh.gap.area), 1), readings, 1.0 + step, step
    )
    assert filler_state.drawn == pytest.approx(0.5 / SPREAD_S, rel=1e-6)


# -- in the flame


def flame_at(braze_model, phase):
    """Film coefficient, gas temperature and heated area of filler at the mouth."""
    setup = braze_model.setup
    h, gas = gas_at_mouth(setup, Jet(setup.torch, setup.ambient_C), phase, 0.0, 0.0)
    patches = braze_model.filler_heat.mass / setup.filler.density / (setup.snip.wire_diameter / 4)
    return h, gas, patches * constant("filler", "exposed-share").value


def in_the_flame(braze_model, phase, step, until):
    """A piece that touches nothing."""
    filler_state = braze_model.filler_heat.start()[0]
    filler_state.contact, readings = 1e-15, level(braze_model, 20.0)
    braze_model.filler_heat.hold(0, phase, 0.0)
    for t in np.arange(0.0, until, step):
        braze_model.filler_heat.advance([filler_state], readings, float(t), float(t + step))
    return filler_state


def test_a_piece_in_the_flame_melts_as_a_lump_without_radiation(earth):
    """Closed form: t = τ ln((Tg - T0) / (Tg - T)), τ = m c / h A; through the melting range c has
    the latent heat besides."""
    braze_model = model_with(earth, "mouth")
    braze_model.filler_heat.in_room = False
    h, gas, area = flame_at(braze_model, FLAME_PHASE)
    low, high = earth.filler.solidus_C, earth.filler.liquidus_C
    lag = braze_model.filler_heat.mass * capacity() / (h * area)
    softens = lag * math.log((gas - 20.0) / (gas - low))
    melting = lag * (1 + latent() / capacity() / (high - low))
    molten = softens + melting * math.log((gas - low) / (gas - high))
    top = earth.filler.brazing_top_C
    overheats = molten + lag * math.log((gas - high) / (gas - top))
    filler_state = in_the_flame(braze_model, FLAME_PHASE, softens / 200, 2.0 * overheats)
    assert filler_state.overheats == pytest.approx(overheats, rel=0.01)
    assert filler_state.softens == pytest.approx(softens, rel=0.01)
    assert filler_state.molten == pytest.approx(molten, rel=0.01)


def test_a_piece_in_the_flame_melts_when_an_ode_solver_says(earth):
    """With its radiation; heat gained less heat lost is what is in it."""
    braze_model = model_with(earth, "mouth")
    supply = braze_model.filler_heat
    h, gas, area = flame_at(braze_model, FLAME_PHASE)
    glow = constant("emissivity", "flux").value * SIGMA
    table = enthalpy_table(earth.filler)

    def heating(t, q):
        T = np.interp(q[0], *table)
        gained = area * h * (gas - T)
        lost = area * glow * ((T + ZERO_C_K) ** 4 - (20.0 + ZERO_C_K) ** 4)
        return [(gained - lost) / supply.mass, gained, lost]

    def at(T_C):
        return float(np.interp(T_C, *table[::-1]))

    marks = [
        lambda t, q, C=C: q[0] - at(C) for C in (earth.filler.solidus_C, earth.filler.liquidus_C)
    ]
    start = [at(20.0), 0.0, 0.0]
    exact = solve_ivp(heating, (0.0, 60.0), start, events=marks, rtol=1e-8, max_step=0.05)
    filler_state = in_the_flame(braze_model, FLAME_PHASE, 0.02, 60.0)
    assert filler_state.softens == pytest.approx(exact.t_events[0][0], rel=0.01)
    assert filler_state.molten == pytest.approx(exact.t_events[1][0], rel=0.01)
    stored = supply.stored(filler_state)
    assert filler_state.gained - filler_state.lost == pytest.approx(stored, rel=1e-12)
    assert filler_state.gained == pytest.approx(exact.y[1, -1], rel=0.01)
    assert filler_state.lost == pytest.approx(exact.y[2, -1], rel=0.01)


def test_only_a_piece_at_the_mouth_feels_the_flame_and_less_of_it_in_the_lee(earth):
    for place in ("hole-bottom", "rod-tip", "fed"):
        assert not model_with(earth, place).filler_heat.start()[0].shading
    jet = Jet(earth.torch, earth.ambient_C)
    near, far = (gas_at_mouth(earth, jet, Phase("mouth"), 0.0, a) for a in (0.0, math.pi))
    assert near[0] > 1.5 * far[0] > 0.0


@pytest.mark.parametrize("rate", [20.0, 3.0, 0.3, 1e-3, 1e-9])
@pytest.mark.parametrize("motion", ["hold", "round", "sweep"])
def test_part_and_filler_take_no_more_than_the_jet_brings_past_them(earth, rate, motion):
    torch = replace(earth.torch, fuel_rate=rate / 3.6e6)
    phase = Phase("mouth", motion=motion, distance=earth.torch.cone_length)
    setup = replace(earth, torch=torch, strategy=Strategy("held", (phase,)))
    braze_model = model_with(setup, "mouth")
    supply, filler_state = braze_model.filler_heat, braze_model.filler_heat.start()[0]
    exposure, area = braze_model.flames.exposure(0, phase), braze_model.mesh.patches.area
    supply.hold(0, phase, 0.0)
    for t in (0.0, 0.5, 1.0):  # poses tabulated for both
        part = absorbed_fraction(exposure, area, t) * torch.fuel_power
        h, gas_C = flame(supply._gas[0], t)
        warmed = supply._exposed * supply._area * h * (gas_C - supply.temperature(filler_state))
        assert warmed > 0.0
        N, passing = exposure.jet_met(t)
        assert part == pytest.approx(passing * float(effectiveness(N)), rel=0.01)
        assert part + warmed <= passing * (1 + 1e-6)


def test_wire_beside_the_part_is_dimmed_as_the_part_is(earth):
    weak = replace(earth, torch=replace(earth.torch, fuel_rate=2.0 / 3.6e6))
    phase = Phase("mouth")
    braze_model, jet = model_with(weak, "mouth"), Jet(weak.torch, weak.ambient_C)
    exposure = braze_model.flames.exposure(0, phase)
    bare, gas = gas_at_mouth(weak, jet, phase, 0.0, 0.0)
    N, passing = exposure.jet_met(0.0)
    dimmed, same = jet_at_mouth(weak, jet, exposure, 0.0, 0.0)
    assert same == gas
    assert dimmed == pytest.approx(bare * float(spent_jet(N)), rel=1e-9)
    assert dimmed < 0.9 * bare
    area = 0.2 * passing / (bare * (gas - 20.0))
    both, _ = jet_at_mouth(weak, jet, exposure, 0.0, 0.0, area)
    left = passing * (1.0 - float(effectiveness(N)))
    assert both * area * (gas - 20.0) == pytest.approx(
        min(0.2 * passing * float(spent_jet(N + 0.2)), left), rel=1e-9
    )


def test_a_shadow_passes_nothing_on_and_a_cold_bead_still_draws(earth):
    """In the flame, filler hotter than the part gives it nothing; colder, it draws."""
    braze_model = model_with(earth, "mouth")
    mesh, supply, filling = (
        braze_model.mesh,
        braze_model.filler_heat,
        Filling.empty(len(braze_model.mesh.gap.area), 1),
    )
    filler_state = supply.start()[0]
    assert filler_state.shading
    source = supply.plan([filler_state], filling, level(braze_model, 300.0), 0.0, 0.1)
    assert mesh.volume @ source[:, 0] == pytest.approx(-filler_state.drawn, rel=1e-12)
    supply.advance([filler_state], level(braze_model, 300.0), 0.0, 0.1)
    filler_state.enthalpy, filler_state.owed = supply.line.enthalpy(720.0), 0.0
    source = supply.plan([filler_state], filling, level(braze_model, 300.0), 0.1, 0.1)
    assert filler_state.drawn == 0.0 and not source.any()
    before, booked = filler_state.enthalpy, filler_state.gained - filler_state.lost
    supply.advance([filler_state], level(braze_model, 300.0), 0.1, 0.2)
    booked = filler_state.gained - filler_state.lost - booked
    assert supply.mass * (filler_state.enthalpy - before) == pytest.approx(booked, rel=1e-9)
    assert booked < -0.05 * supply._dry[0] * 400.0  # what goes on into the part is not the flame's
    filling.share[~mesh.gap.floor] = 0.1  # it has wetted the gap: its surface is the part's own
    source = supply.plan([filler_state], filling, level(braze_model, 300.0), 0.2, 0.1)
    assert not filler_state.shading
    assert mesh.volume @ source[:, 0] == pytest.approx(-filler_state.drawn, rel=1e-12)
    assert filler_state.drawn < 0.0


def test_thin_wire_is_at_its_balance_between_walls_and_flame_at_the_end_of_any_step(earth):
    """So light that it holds no heat: K (Tw - T) + h A (Tg - T) = A e σ (T⁴ - Ta⁴) at once."""
    braze_model = model_with(earth, "mouth")
    supply, filler_state = braze_model.filler_heat, braze_model.filler_heat.start()[0]
    h, gas, area = flame_at(braze_model, FLAME_PHASE)
    glow = area * constant("emissivity", "flux").value * SIGMA
    supply.hold(0, FLAME_PHASE, 0.0)
    filler_state.mass, filler_state.walls = 1e-12, (0.0, 260.0)
    supply.advance([filler_state], level(braze_model, 300.0), 0.0, 1.7)
    T = supply.temperature(filler_state)
    contact, film = supply._dry[0] * (300.0 - T), h * area * (gas - T)
    lost = glow * ((T + ZERO_C_K) ** 4 - (20.0 + ZERO_C_K) ** 4)
    assert contact + film - lost == pytest.approx(0.0, abs=1.0 * h * area)  # a kelvin
    assert 300.0 < T < gas


def test_gas_at_the_mouth_is_read_at_its_film_between_gas_and_wire_of_500_degrees(earth):
    """Churchill & Bernstein with properties at (T + 500 °C) / 2, in front of the ball."""
    jet, wire = Jet(earth.torch, earth.ambient_C), earth.snip.wire_diameter
    h, T = gas_at_mouth(earth, jet, FLAME_PHASE, 0.0, 0.0)
    pose = phase_pose(FLAME_PHASE, earth.joint, earth.torch, 0.0)
    along = earth.joint.hole_radius + wire / 2
    at, speed = jet.at(pose.start - along, abs(earth.joint.mouth_z - pose.aim_z))
    film = (float(at) + 500.0) / 2
    reynolds = float(speed * wire * jet.gas.density(film) / jet.gas.viscosity(film))
    nusselt = churchill_bernstein_cylinder(reynolds, float(jet.gas.prandtl(film)))
    expected = earth.torch.transfer_factor * nusselt * jet.gas.conductivity(film) / wire
    assert pytest.approx(float(at), rel=1e-12) == T
    assert h == pytest.approx(float(expected), rel=1e-9)


def test_filler_at_the_mouth_takes_its_heat_from_the_mouth_on_its_own_side(earth):
    braze_model = model_with(earth, "mouth", 4e-6)
    gap = braze_model.mesh.gap
    source = braze_model.filler_heat.plan(
        braze_model.filler_heat.start(),
        Filling.empty(len(gap.area), 1),
        level(braze_model, 300.0),
        0.0,
        0.1,
    )
    touched = set(np.flatnonzero(source[:, 0]))
    first = ~gap.floor & np.isclose(gap.z, gap.z[~gap.floor].min(), atol=1e-9)
    near = first & np.isclose(gap.azimuth, np.abs(gap.azimuth[first]).min(), atol=1e-9)
    under = set(gap.ball[first]) | set(gap.rod[first])
    assert set(gap.ball[near]) | set(gap.rod[near]) <= touched <= under


def felt(braze_model, phase, t, degrees):
    """What a piece at the mouth, beside the part, feels on a side."""
    supply, exposure = braze_model.filler_heat, braze_model.flames.exposure(0, phase)
    jet = Jet(braze_model.setup.torch, braze_model.setup.ambient_C)
    area = supply._exposed * supply._area
    return jet_at_mouth(braze_model.setup, jet, exposure, t, math.radians(degrees), area)


@pytest.mark.parametrize("degrees", [0.0, 90.0, 180.0])
def test_a_piece_at_the_mouth_feels_the_flame_on_its_own_side(earth, degrees):
    setup = replace(earth, snip=replace(earth.snip, place="mouth", azimuth=degrees))
    braze_model = BrazeModel(setup, [earth.strategy], "quick")
    supply = braze_model.filler_heat
    supply.hold(0, FLAME_PHASE, 0.0)
    expected = felt(braze_model, FLAME_PHASE, 0.0, degrees)
    assert flame(supply._gas[0], 3.0) == pytest.approx(expected, rel=1e-12)


def test_a_torch_that_goes_round_is_felt_as_it_passes(earth):
    """Turn after turn, from when it began, on the piece's own side."""
    phase = Phase("mouth", motion="round", period=3.0)
    strategy = Strategy("round", (phase,))
    snip = replace(earth.snip, place="mouth", azimuth=60.0)
    setup = replace(earth, snip=snip, strategy=strategy)
    braze_model = BrazeModel(setup, [strategy], "quick")
    supply = braze_model.filler_heat
    supply.hold(0, phase, 1.0)
    for turn, part in ((0, 5), (0, 17), (1, 30), (2, 44)):
        passed = part / 48 * 3.0
        expected = felt(braze_model, phase, passed, 60.0)
        found = flame(supply._gas[0], 1.0 + 3.0 * turn + passed)
        assert found == pytest.approx(expected, rel=1e-9)
    filler_state, readings = supply.start()[0], level(BrazeModel(setup, [strategy], "quick"), 20.0)
    filler_state.mass, simulation = 1e-9, []
    for step in range(24):
        supply.advance([filler_state], readings, 1.0 + step / 8, 1.0 + (step + 1) / 8)
        simulation.append(supply.temperature(filler_state))
    nearest = int(np.argmax([flame(supply._gas[0], 1.0 + (k + 1) / 8)[0] for k in range(24)]))
    assert int(np.argmax(simulation)) == pytest.approx(nearest, abs=1)
    assert max(simulation) > 1.5 * min(simulation)


def test_as_much_filler_is_given_as_the_hot_joint_takes(earth):
    """Cold, the joint holds another volume; what is given has the hot one."""
    braze_model = model_with(earth, "hole-bottom")
    found = amount(braze_model.setup)
    assert abs(found.hot.total / found.cold.total - 1.0) > 1e-3
    assert braze_model.filler_heat.mass == pytest.approx(
        earth.filler.density * found.hot.total, rel=1e-12
    )


@pytest.mark.parametrize(
    ("spent", "hottest_C", "coat", "flows"),
    [
        (0.99, 800.0, 0.3e-3, True),
        (1.0, 800.0, 0.3e-3, False),
        (0.0, 100.0, 0.3e-3, False),
        (0.0, 800.0, 0.0, False),
    ],
)
def test_filler_flows_where_flux_has_gone_clear_and_is_not_spent(
    earth, spent, hottest_C, coat, flows
):
    """Hot walls and molten filler besides; nowhere without flux."""
    braze_model = model_with(replace(earth, coat=replace(earth.coat, thickness=coat)), "mouth")
    history, filler_state = braze_model.history, braze_model.history.filler_states[0]
    history.now[:], history.gap[:], history.spent_gap[:], history.ready[:] = (
        800.0,
        hottest_C,
        spent,
        0.0,
    )
    filler_state.enthalpy, filler_state.molten = braze_model.filler_heat.line.enthalpy(800.0), 0.0
    step = Step(8.0, 9.0, *[braze_model.start()] * 4)
    braze_model._feed(step, level(braze_model, 800.0), 0.1)
    assert history.filling.share.any() == flows


# -- through a whole braze


@pytest.mark.parametrize("name", NAMES)
def test_heat_drawn_from_the_cells_is_the_heat_in_the_filler(run_of, name):
    """Step by step through heating and cooling, the flame's share and the shadow booked apart."""
    simulation = run_of(name).simulation
    supply, filler_state = (
        simulation.braze_model.filler_heat,
        simulation.braze_model.history.filler_states[0],
    )
    own = supply.stored(filler_state) - filler_state.gained + filler_state.lost
    turned = np.abs([taken for _, taken in simulation.bookings]).sum()
    np.testing.assert_allclose(simulation.taken, own, atol=1e-12 * turned, rtol=0.0)
    assert turned > 0.1


@pytest.mark.parametrize("name", NAMES)
def test_ledger_closes_with_filler_that_melts_flows_and_freezes(run_of, name):
    result = run_of(name).braze
    assert result.filler.first_s is not None
    assert result.stage("solid").time_s is not None
    assert abs(result.energy.residual) <= 1e-9


def test_ledger_closes_in_every_column_of_a_batch(earth):
    chosen = default_strategies()
    found = brazes(earth, [chosen[n] for n in ("near side", "mouth", "round")], "quick")
    assert all(run.filler.first_s is not None for run in found)
    assert max(abs(run.energy.residual) for run in found) <= 1e-9


@pytest.mark.parametrize("name", ["mouth", "bottom", "fed"])
def test_latent_heat_is_given_back_on_freezing(run_of, name):
    """At the end, solid, the filler holds its sensible heat alone; the part got the rest."""
    simulation = run_of(name).simulation
    supply, filler_state = (
        simulation.braze_model.filler_heat,
        simulation.braze_model.history.filler_states[0],
    )
    T = supply.temperature(filler_state)
    solidus = simulation.braze_model.setup.filler.solidus_C
    assert solidus > T
    sensible = supply.mass * capacity() * (T - 20.0)
    assert supply.stored(filler_state) + filler_state.owed == pytest.approx(sensible, rel=1e-9)
    after = [taken[0] for t, taken in simulation.bookings if t > simulation.columns[0].off_s]
    assert sum(after) < -supply.mass * latent()


@pytest.mark.parametrize("name", ["mouth", "bottom"])
def test_wet_filler_has_the_temperature_of_the_walls(run_of, name):
    simulation = run_of(name).simulation
    result, supply = run_of(name).braze, simulation.braze_model.filler_heat
    T = supply.temperature(simulation.braze_model.history.filler_states[0])
    low, high = (result.stations[k][-1] for k in ("gap_min_C", "gap_max_C"))
    assert low - 10.0 < T < high + 60.0  # a step of cooling behind them


def test_freezing_filler_holds_up_the_cooling(run_of):
    """Latent heat of twice the filler takes longer to leave."""
    half, whole = (run_of(name).braze for name in ("bottom, half", "bottom"))
    waits = [run.stage("solid").time_s - run.stage("flame-off").time_s for run in (half, whole)]
    assert waits[1] > waits[0] + 0.2


@pytest.mark.parametrize("name", ["bottom", "bottom, double"])
def test_surplus_runs_off_with_its_heat_and_the_rest_stays(run_of, name):
    run = run_of(name)
    simulation, filler = run.simulation, run.braze.filler
    filler_state, density = (
        simulation.braze_model.history.filler_states[0],
        simulation.braze_model.setup.filler.density,
    )
    assert (filler.poured.over > 0.0) == (name == "bottom, double")
    assert filler_state.mass == pytest.approx(density * (filler.supply - filler.poured.over))
    per_kg = capacity() * (simulation.braze_model.setup.filler.liquidus_C - 20.0) + latent()
    assert filler_state.lost >= density * filler.poured.over * per_kg
    assert filler_state.lost <= density * filler.poured.over * (per_kg + 60.0 * capacity())


def test_wire_is_brought_at_its_cue_and_not_before(earth, run_of):
    """Cold until all round the mouth is above liquidus; then it draws, melts, and flows."""
    run = run_of("fed")
    cue = run.braze.stage("liquidus").seen_s
    first = next(t for t, taken in run.simulation.bookings if taken[0] > 0.0)
    assert cue < first <= cue + 0.6
    assert cue < run.braze.filler.softens_s < run.braze.filler.molten_s
    assert run.braze.filler.first_s > cue
    early = replace(earth.strategy.phases[0], until=40.0, longest=40.0)
    setup = replace(earth, strategy=Strategy("too short", (early,)))
    never = brazes(
        replace(setup, snip=replace(earth.snip, place="fed")), [setup.strategy], "quick"
    )[0]
    assert never.filler.softens_s is None
    assert never.filler.waiting == pytest.approx(never.filler.supply, rel=1e-12)


def test_a_bead_is_told_overheated_when_it_passes_its_top_and_not_when_it_melts(run_of):
    run = run_of("mouth").braze
    (bead,) = (limit for limit in run.limits if limit.name == LimitName.BEAD)
    assert not bead.ok
    assert run.filler.molten_s + 0.5 < bead.time_s < run.filler.first_s


@pytest.mark.parametrize("time", [1e-3, 0.5, 2.0])
def test_walls_answer_as_a_disc_a_bar_and_a_whole_ball(earth, time):
    """8 / (3 π² k a) (1 - exp(-t / τ)), and a quarter each of √(α t / π) / (k A) and t / C."""
    at_C, joint, area = earth.filler.liquidus_C, earth.joint, 3e-6
    solids = earth.ball, earth.rod
    k = np.mean([float(solid.conductivity(at_C)) for solid in solids])
    per_K = np.mean([float(solid.enthalpy(at_C)) for solid in solids]) / (at_C - 20.0)
    a, diffusivity = math.sqrt(area / math.pi), k / per_K
    steady, early = 8.0 / (3.0 * math.pi**2 * k * a), 2.0 / (math.pi * a**2 * k)
    lag = (steady / early) ** 2 * math.pi / diffusivity  # where 2 √(α t / π) / (π a² k) is steady
    disc = steady * (1.0 - math.exp(-time / lag))
    bar = math.sqrt(diffusivity * time / math.pi) / (k * math.pi * joint.rod_diameter**2 / 4)
    ball = time / (per_K * joint.ball_volume)  # as drilled
    assert answer(part_of(earth), area, time) == pytest.approx(disc + (bar + ball) / 4, rel=1e-9)
