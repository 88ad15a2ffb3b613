"""No surface, and no filler, leaves the span between the room and the hottest gas."""

from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermo.braze.model import BrazeModel
from thermo.braze.reasons import LONGEST_COOLING_S
from thermo.braze.setup import Coat
from thermo.braze.simulation import Simulation
from thermo.files import case_from_options, read_case, to_setup
from thermo.flame import default_strategies
from thermo.heat import March
from thermo.matter import get_solid

SLACK_K = 0.05
UNTIL_S = 3.0


class Spanned(Simulation):
    """A course that keeps the coldest and hottest of part, coat, walls and filler in every step."""

    low, high = np.inf, -np.inf

    def _take(self, step):
        readings = super()._take(step)
        walls, ends = self.braze_model.fill_paths.walls(readings)
        every = [
            readings.cells,
            readings.metal,
            readings.layer,
            readings.hole,
            readings.rod,
            walls,
            ends,
        ]
        self._widen(np.concatenate([x.ravel() for x in every]))
        return readings

    def _carry(self, step, readings, values):
        super()._carry(step, readings, values)
        supply = self.braze_model.filler_heat
        self._widen(
            np.array(
                [
                    supply.temperature(filler_state)
                    for filler_state in self.braze_model.history.filler_states
                ]
            )
        )

    def _widen(self, T_C):
        self.low, self.high = min(self.low, T_C.min()), max(self.high, T_C.max())


def spanned(setup, until_s):
    simulation = Spanned(
        BrazeModel(setup, [setup.strategy], "quick"), partial(March, tolerance_K=0.8)
    )
    while simulation.march.t < until_s and not simulation.columns[0].done:
        simulation.advance()
    return simulation


def within(setup, slack_K=SLACK_K, until_s=UNTIL_S):
    held(spanned(setup, until_s), setup, slack_K)


def held(simulation, setup, slack_K=SLACK_K):
    torch = setup.torch
    assert simulation.low >= setup.ambient_C - slack_K
    assert simulation.high <= torch.tip_temperature_C * torch.gas_temperature_factor


LEGAL = {
    "ball": st.floats(1.5, 14.0),
    "rod": st.floats(0.25, 0.5),
    "torch": st.sampled_from(["pocket", "pencil", "hand"]),
    "metal": st.sampled_from(["100Cr6", "stainless", "brass"]),
    "coat": st.sampled_from([0.01, 0.02, 0.05, 0.3, 2.0]) | st.just(0.0),
    "water": st.floats(0.0, 0.8),
    "dried": st.booleans(),
    "room": st.floats(-30.0, 60.0),
    "way": st.sampled_from(list(default_strategies())),
    "support": st.sampled_from(["free", "brick", "brick-behind"]),
    "place": st.sampled_from(["mouth", "hole-bottom", "fed"]),
    "wire": st.floats(0.1, 1.0),
    "sheet": st.none() | st.floats(0.02, 0.1),
}


@settings(deadline=None, max_examples=14)
@given(draw=st.fixed_dictionaries(LEGAL))
def test_no_surface_leaves_the_span_of_room_and_gas(draw):
    rod = max(round(draw["ball"] * draw["rod"], 3), 0.5)
    setup = to_setup(case_from_options(draw["ball"], rod, draw["torch"]))
    within(
        replace(
            setup,
            ball=get_solid(draw["metal"]),
            coat=Coat(draw["coat"] * 1e-3, draw["water"], draw["dried"]),
            ambient_C=draw["room"],
            strategy=default_strategies()[draw["way"]],
            support=draw["support"],
            snip=replace(
                setup.snip,
                place=draw["place"],
                wire_diameter=draw["wire"] * 1e-3,
                sheet=draw["sheet"] and draw["sheet"] * 1e-3,
            ),
        ),
    )


@pytest.mark.parametrize("torch", ["pocket", "pencil", "hand"])
def test_flux_that_dries_at_once_keeps_the_metal_under_it_warm(torch):
    """11 mm of stainless under dried flux, whose contact falls to a tenth within one step."""
    setup = to_setup(case_from_options(11, 4, torch))
    within(replace(setup, ball=get_solid("stainless"), coat=Coat(3e-4, 0.3, dried=True)))


@pytest.mark.parametrize("place", ["mouth", "hole-bottom", "fed"])
def test_a_whole_braze_stays_within_the_span(place):
    """2 mm of steel in some seconds of flame: thin filler melts, flows and freezes."""
    setup = to_setup(case_from_options(2.0, 0.8, "pencil"))
    setup = replace(setup, snip=replace(setup.snip, place=place, sheet=3e-5))
    simulation = Spanned(
        BrazeModel(setup, [setup.strategy], "quick"), partial(March, tolerance_K=0.8)
    )
    while simulation.columns[0].off is None:
        simulation.advance()
    assert "filled" in simulation.columns[0].reached
    assert None not in simulation.cool([("part_max_C", 60.0)], LONGEST_COOLING_S)
    held(simulation, setup)


ON_A_COLD_ROD = """
[ball]
diameter_mm = 5.666
material = "carbon-steel"
hole = "through"
hole_diameter_mm = 0.6963
[rod]
diameter_mm = 0.3
material = "stainless"
length_mm = 2.77
stand_off_mm = 1.401
far_end = "clamp"
[clamp]
at_mm = 1.15
[torch]
kind = "pencil"
[filler]
place = "rod-tip"
form = "sheet"
sheet_mm = 0.1814
[flux]
coat_mm = 0.0
"""
"""Filler on the tip of a needle that a clamp keeps cold, in a hole that is hotter."""

FED_THIN = """
[ball]
diameter_mm = 3.104
material = "silver-steel"
hole = "threaded"
thread_pitch_mm = 0.198
hole_diameter_mm = 1.536
hole_depth_mm = 2.47
[rod]
diameter_mm = 0.9104
material = "carbon-steel"
eccentricity = 0.999
[torch]
kind = "pocket"
tip_temperature_C = 2007.0
nozzle_mm = 0.7454
[filler]
alloy = "Ag 156"
place = "fed"
form = "sheet"
sheet_mm = 0.05633
[flux]
type = "FB3-F"
coat_mm = 1.0
dried = true
[setting]
ambient_C = 41.35
support = "brick-behind"
attitude = "ball-down"
"""
"""Cold sheet, touched to a mouth that is small and far hotter."""


@pytest.mark.parametrize(
    ("text", "until_s"), [(ON_A_COLD_ROD, 1.0), (FED_THIN, 14.0)], ids=["needle", "fed"]
)
def test_filler_cools_no_wall_below_the_room(tmp_path, text, until_s):
    path = tmp_path / "case.toml"
    path.write_text(text)
    within(to_setup(read_case(path)), until_s=until_s)
