"""Metal that melts in the flame ends the braze, it does not end the run."""

import numpy as np
import pytest

from thermo.braze import braze
from thermo.braze.run import brazes
from thermo.files import read_case, to_setup
from thermo.flame import default_strategies
from thermo.matter import get_solid

CASE = """
[ball]
diameter_mm = 6
[rod]
diameter_mm = 0.3
material = "{metal}"
[torch]
kind = "hand"
tip_temperature_C = 2400
transfer_factor = {transfer}
[[strategy]]
name = "along the rod"
[[strategy.phase]]
aim = "rod"
side = "filler"
distance_mm = 25
motion = "hold"
until = "filled"
max_s = 60
"""


@pytest.fixture
def thin(tmp_path):
    """A 0.3 mm rod in the middle of a flame hotter than any metal bears."""

    def setup(metal, transfer):
        path = tmp_path / "thin.toml"
        path.write_text(CASE.format(metal=metal, transfer=transfer))
        return to_setup(read_case(path))

    return setup


@pytest.mark.parametrize(("metal", "transfer"), [("carbon-steel", 5.0), ("brass", 1.0)])
def test_the_flame_leaves_when_the_rod_melts(thin, metal, transfer):
    found = braze(thin(metal, transfer), "quick")
    melts = get_solid(metal).melts_C
    stages = {stage.name: stage for stage in found.stages}
    off, rod = stages["flame-off"].time_s, found.stations["rod_max_C"]
    limit = next(limit for limit in found.limits if limit.name == "rod too hot")
    assert limit.time_s is not None and limit.time_s <= off
    assert melts <= rod.max() < melts + 60.0
    assert np.interp(off, found.stations["time_s"], rod) >= melts
    assert f"the rod itself melts at {off:.1f} s ({melts:.0f} °C)" in stages["filled"].reason
    assert "hold it farther off" in stages["filled"].reason
    assert abs(found.energy.residual) < 1e-9


def test_a_way_that_melts_the_rod_does_not_stop_the_others(thin):
    setup = thin("carbon-steel", 5.0)
    fill_paths = default_strategies()
    chosen = [fill_paths[name] for name in ("near side", "rod first", "far side")]
    for found in brazes(setup, chosen, "quick"):
        assert found.stations["rod_max_C"].max() < 1700.0


def test_metal_below_its_melting_keeps_its_flame(earth_braze):
    assert "melts" not in " ".join(stage.reason for stage in earth_braze.stages)
