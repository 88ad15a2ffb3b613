"""Loads of one's own: a furnace and a coil; when they go away, what they are booked as."""

from dataclasses import replace
from functools import partial

import numpy as np
import pytest

import thermo
from thermo.braze import Unfilled, braze
from thermo.braze.filler.preforms import inside
from thermo.braze.model import BrazeModel
from thermo.braze.simulation import Simulation
from thermo.heat import March

HOT_C = 780.0
FURNACE = (thermo.GreyLoss(0.8, HOT_C), thermo.LinearLoss(40.0, HOT_C))


def baked(setup, until="filled", longest=900.0):
    hold = thermo.Strategy("furnace", [thermo.Phase(until=until, longest=longest)])
    return replace(setup, torch=thermo.Torch.off(), strategy=hold)


@pytest.fixture(scope="module")
def small():
    return thermo.to_setup(thermo.case_from_options(3.0, 1.2, "pocket"))


def test_an_engineers_brass_ball_in_a_furnace():
    """Only by what `import thermo` and the docstrings tell."""
    brass = thermo.Solid.custom(
        "own brass",
        density=8440.0,
        heat_capacity=377.0,
        conductivity=[(20.0, 116.0), (400.0, 150.0)],
        melts_C=902.0,
        emissivity=0.6,
        expansion=20e-6,
    )
    for rod in (brass, thermo.get_solid("carbon-steel")):
        setup = thermo.Setup(
            title="brass moon",
            joint=thermo.Joint(4e-3, "blind", 1.6e-3, 2.2e-3, 1.5e-3, 20e-3),
            ball=brass,
            rod=rod,
            filler=thermo.get_filler("Ag 156"),
            flux=thermo.get_flux("FH10"),
            coat=thermo.Coat(thickness=0.3e-3, water_fraction=0.3),
            snip=thermo.Snip("hole-bottom", azimuth=0.0, wire_diameter=0.5e-3),
            strategy=thermo.Strategy("furnace", [thermo.Phase(until="filled", longest=900.0)]),
        )
        result = thermo.run_braze(setup, "quick", loads=FURNACE, room=False)
        name = thermo.StageName
        order = [name.FLUX_DRY, name.FLUX_CLEAR, name.SOLIDUS, name.LIQUIDUS, name.FILLED]
        times = [result.stage(each).time_s for each in (*order, name.FLAME_OFF, name.SOLID)]
        assert None not in times
        assert times == sorted(times)
        assert result.limit(thermo.LimitName.BALL_HOT).ok
        assert abs(result.energy.residual) < 1e-9
        hottest = max(x.value for x in result.limits if x.name == thermo.LimitName.BALL_HOT)
        assert setup.filler.liquidus_C < hottest < HOT_C
        assert "filled" in repr(result)


def test_a_furnace_is_a_loss_below_nothing_and_goes_when_the_flame_would(small):
    result = braze(baked(small, until=20.0, longest=20.0), "quick", loads=FURNACE, room=False)
    assert result.off_s == pytest.approx(20.0, abs=1e-6)
    t, hot = result.stations["time_s"], result.stations["ball_front_C"]
    assert np.all(np.diff(hot[t <= 20.0]) > 0.0)
    assert np.all(np.diff(hot[t > 21.0]) < 0.0)  # a little later: the coat is hotter than the ball
    assert result.energy.in_J == 0.0


def test_left_long_enough_it_comes_to_the_furnaces_temperature_not_to_the_rooms(small):
    gentle = [thermo.GreyLoss(0.8, 400.0), thermo.LinearLoss(100.0, 400.0)]
    setup = baked(small, until=300.0, longest=300.0)
    alone = braze(setup, "quick", loads=gentle, room=False)
    assert alone.stations["gap_min_C"].max() == pytest.approx(400.0, abs=1.0)
    both = braze(setup, "quick", loads=gentle)
    assert both.stations["gap_min_C"].max() < 390.0


def test_what_is_too_cold_is_not_told_of_a_torch(small):
    gentle = [thermo.LinearLoss(100.0, 400.0)]
    result = braze(baked(small, until=60.0, longest=60.0), "quick", loads=gentle, room=False)
    assert result.unfilled is Unfilled.TOO_COLD
    assert "torch" not in result.stage("filled").reason
    assert "K short" in result.stage("filled").reason


def test_a_coil_beside_the_room_is_heat_in(small):
    """A load that need be nothing but what the protocol asks for."""

    class Coil:
        gain, moving = True, False

        def terms(self, t, patches):
            power = np.where(patches.piece_body == 0, 6e5, 0.0)[:, None]
            return power, np.zeros((1, 1)), np.zeros((1, 1))

        def at(self, t, normal, body):
            return None

    result = braze(baked(small, until=5.0, longest=5.0), "quick", loads=[Coil()])
    area = small.joint.sphere_area
    assert result.stations["gap_min_C"].max() > 200.0
    assert result.energy.in_J == pytest.approx(6e5 * area * 5.0, rel=0.02)
    assert abs(result.energy.residual) < 1e-9


def test_filler_at_the_mouth_does_not_radiate_to_a_room_it_is_not_in(small):
    assert not inside(small.snip)
    setup, lost = baked(small, until=20.0, longest=20.0), []
    for room in (False, True):
        model = BrazeModel(setup, [setup.strategy], "quick", loads=FURNACE, room=room)
        simulation = Simulation(model, partial(March, tolerance_K=0.8))
        while simulation.columns[0].off is None:
            simulation.advance()
        lost.append(model.history.filler_states[0].lost)
    assert lost[0] == 0.0
    assert lost[1] > 0.0


def test_emissivity_of_ones_own_metal_is_what_the_bare_rod_radiates_by(small):
    """The rod beyond the coat; steel, oxidised, radiates by 0.8."""
    plain = thermo.get_solid("carbon-steel")

    def own(e):
        return thermo.Solid.custom(
            "own", density=7850.0, heat_capacity=600.0, conductivity=40.0,
            melts_C=plain.melts_C, emissivity=e,
        )  # fmt: skip

    ends = []
    for e in (0.05, 0.95):
        hold = thermo.Strategy("hold", [thermo.Phase(until=15.0, longest=15.0)])
        result = braze(replace(small, rod=own(e), strategy=hold), "quick")
        ends.append(result.value_at("rod_10mm_C", 15.0))
    assert ends[0] > ends[1] + 3.0
