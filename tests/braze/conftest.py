"""The orrery's 6 mm joint, small mesh, brazed with filler at every place."""

from dataclasses import dataclass, replace
from functools import cache, partial
from pathlib import Path

import numpy as np
import pytest

from thermo.braze import Braze, Setup, amount, braze
from thermo.braze.conclude import conclude
from thermo.braze.model import BrazeModel
from thermo.braze.reasons import LONGEST_COOLING_S
from thermo.braze.simulation import Simulation
from thermo.braze.stages import WASH_BELOW_C
from thermo.files import read_case, to_setup
from thermo.flame import default_strategies
from thermo.heat import March

CASES = Path(__file__).parents[2] / "cases"


@pytest.fixture(scope="session")
def earth() -> Setup:
    return to_setup(read_case(CASES / "earth-6mm.toml"))


@pytest.fixture(scope="session")
def earth_braze(earth):
    return braze(earth, "quick")


@pytest.fixture(scope="session")
def cold(earth):
    """The same joint under a torch of no power."""
    return replace(earth, torch=replace(earth.torch, fuel_rate=0.0))


class Booked(Simulation):
    """A course that books what the filler is told to take from the cells, step by step."""

    def __init__(self, braze_model, engine):
        super().__init__(braze_model, engine)
        self.bookings = []

    def _take(self, step):
        model = self.braze_model.heat
        taken = -(model.mesh.volume @ model.source) * (step.t1 - step.t0)
        self.bookings.append((step.t1, taken))
        return super()._take(step)

    def cool(self, marks, longest):
        off = self.columns[0].off_s
        self.bookings = [(t, taken) for t, taken in self.bookings if t <= off]
        return super().cool(marks, longest)

    @property
    def taken(self):
        """Heat taken from the cells by now, (m,) [J]."""
        return np.sum([taken for _, taken in self.bookings], axis=0)


@dataclass
class Run:
    """One braze, and the course it took."""

    simulation: Booked
    braze: Braze


def followed(setup):
    """Heat, take the flame away, cool: as `braze` does, with every step booked."""
    braze_model = BrazeModel(setup, [setup.strategy], "quick")
    simulation = Booked(braze_model, partial(March, tolerance_K=0.8))
    simulation.heat()
    heating, solidus = simulation.trace, setup.filler.solidus_C
    marks = [("gap_max_C", solidus), ("part_max_C", WASH_BELOW_C)]
    ends = dict(zip(("solid", "wash"), simulation.cool(marks, LONGEST_COOLING_S), strict=True))
    return Run(simulation, conclude(simulation, 0, heating, ends))


def with_filler(setup, place, share=None, **joint):
    """Another joint, its filler at a place, a share of what it takes or as much as that."""
    snip = replace(setup.snip, place=place)
    setup = replace(setup, snip=snip, joint=replace(setup.joint, **joint))
    if share is None:
        return setup
    section = np.pi * snip.wire_diameter**2 / 4
    return replace(setup, snip=replace(snip, length=share * amount(setup).aim / section))


THROUGH = {"hole": "through", "hole_depth": 0.0, "point_angle": 180.0}
THREADED = {"hole": "threaded", "hole_diameter": 2.8e-3, "thread_pitch": 0.45e-3}
LAID = {
    "mouth": lambda earth: with_filler(earth, "mouth"),
    "mouth, short": lambda earth: with_filler(earth, "mouth", 0.1),
    "threaded, mouth": lambda earth: with_filler(earth, "mouth", **THREADED),
    "mouth, open recess": lambda earth: with_filler(earth, "mouth", **THROUGH, stand_off=0.5e-3),
    "bottom": lambda earth: with_filler(earth, "hole-bottom"),
    "bottom, half": lambda earth: with_filler(earth, "hole-bottom", 0.5),
    "bottom, double": lambda earth: with_filler(earth, "hole-bottom", 2.0),
    "through, tip": lambda earth: with_filler(earth, "rod-tip", **THROUGH),
    "fed": lambda earth: with_filler(earth, "fed"),
    "off centre, fed short": lambda earth: with_filler(earth, "fed", 0.2, eccentricity=0.7),
    "round, mouth": lambda earth: replace(earth, strategy=default_strategies()["round"]),
}


@pytest.fixture(scope="session")
def run_of(earth):
    """A braze by its name in `LAID`; each is run once."""
    return cache(lambda name: followed(LAID[name](earth)))
