import math

import pytest

from thermo.files import case_from_options, read_case, strategies_of, to_setup
from thermo.flame import default_strategies


def test_smallest_case_in_si():
    setup = to_setup(case_from_options(6, 2.4, "pocket"))
    joint = setup.joint
    assert joint.ball_diameter == pytest.approx(6e-3)
    assert joint.rod_length == pytest.approx(40e-3)
    assert joint.clearance == pytest.approx(0.05e-3)
    assert joint.point_angle == 118
    assert joint.insertion == pytest.approx(3.6e-3 - 3e-3 + math.sqrt(9 - 1.25**2) * 1e-3)
    assert (setup.ball.name, setup.rod.name) == ("100Cr6", "carbon-steel")
    assert (setup.filler.iso, setup.flux.name) == ("Ag 156", "FH10")
    assert (setup.coat.thickness, setup.coat.water_fraction) == pytest.approx((3e-4, 0.3))
    assert setup.torch.fuel_rate == pytest.approx(20e-3 / 3600)
    assert setup.torch.fuel_power == pytest.approx(20e-3 / 3600 * 45.72e6)
    assert setup.strategy == default_strategies()["near side"]
    assert setup.clamp is None
    assert (setup.support, setup.attitude, setup.light) == ("free", "ball-up", "dim")


def test_every_value_of_a_case_reaches_the_setup(read):
    setup = to_setup(
        read(
            ball=[
                "diameter_mm = 8",
                'material = "carbon-steel"',
                'hole = "threaded"',
                "hole_diameter_mm = 3",
                "hole_depth_mm = 4",
                "flat_diameter_mm = 4",
                "point_angle_deg = 140",
                "thread_pitch_mm = 0.5",
                "vent_diameter_mm = 0.8",
            ],
            rod=[
                "diameter_mm = 2.3",
                "length_mm = 50",
                'material = "brass"',
                "stand_off_mm = 0.5",
                "eccentricity = 0.4",
                'far_end = "clamp"',
            ],
            clamp=["at_mm = 30", "conductance_W_K = 0.05"],
            filler=["solidus_C = 600", "liquidus_C = 640"],
            flux=["range_C = [560, 790]", "coat_mm = 0.5", "water_fraction = 0.1", "dried = true"],
            torch=[
                'kind = "hand"',
                'fuel = "butane"',
                "fuel_rate_g_per_h = 90",
                "nozzle_mm = 11",
                "cone_mm = 17",
                "tip_temperature_C = 1650",
                "primary_air = 0.55",
                "gas_temperature_factor = 0.9",
                "transfer_factor = 1.2",
            ],
            setting=[
                "ambient_C = 5",
                'support = "brick"',
                'attitude = "level"',
                'light = "bright"',
            ],
        )
    )
    joint = setup.joint
    assert (joint.hole, joint.point_angle, joint.eccentricity) == ("threaded", 140, 0.4)
    assert (joint.hole_diameter, joint.hole_depth, joint.flat_diameter) == pytest.approx(
        (3e-3, 4e-3, 4e-3)
    )
    assert (joint.thread_pitch, joint.vent_diameter, joint.stand_off) == pytest.approx(
        (0.5e-3, 0.8e-3, 0.5e-3)
    )
    assert (joint.rod_diameter, joint.rod_length) == pytest.approx((2.3e-3, 50e-3))
    assert (setup.ball.name, setup.rod.name) == ("carbon-steel", "brass")
    assert (setup.clamp.at, setup.clamp.conductance) == pytest.approx((30e-3, 0.05))
    assert (setup.filler.solidus_C, setup.filler.liquidus_C) == (600, 640)
    assert (setup.flux.low_C, setup.flux.high_C) == (560, 790)
    assert (setup.coat.thickness, setup.coat.water_fraction) == pytest.approx((5e-4, 0.1))
    assert setup.coat.dried
    torch = setup.torch
    assert torch.flame.fuel == "butane"
    assert (torch.fuel_rate, torch.bore) == pytest.approx((90e-3 / 3600, 11e-3))
    assert (torch.cone_length, torch.tip_temperature_C) == pytest.approx((17e-3, 1650))
    assert torch.primary_air == 0.55
    assert (torch.gas_temperature_factor, torch.transfer_factor) == (0.9, 1.2)
    assert setup.ambient_C == 5
    assert (setup.support, setup.attitude, setup.light) == ("brick", "level", "bright")


OWN = """
[filler]
azimuth_deg = 90
[[strategy]]
name = "own"
[[strategy.phase]]
aim = -1.5
side = "opposite"
distance_in = 1
motion = "sweep"
period_s = 3
until = "flux-clear"
max_s = 60
[[strategy.phase]]
aim = "mouth"
side = -20
distance = "cone-tip"
until = 12
[[strategy]]
name = "near side"
[[strategy.phase]]
until = 5
"""


def test_own_strategies(write):
    path = write()
    path.write_text(path.read_text() + OWN)
    case = read_case(path)
    first, second = to_setup(case).strategy.phases
    assert to_setup(case).strategy.name == "own"
    assert first.aim == pytest.approx(-1.5e-3)
    assert (first.side, second.side) == (270, 70)
    assert (first.distance, second.distance) == (pytest.approx(25.4e-3), None)
    assert (first.motion, first.period, first.until, first.longest) == (
        "sweep",
        3,
        "flux-clear",
        60,
    )
    assert (second.aim, second.until, second.longest) == ("mouth", 12, 12)
    known = strategies_of(case)
    assert set(known) == {*default_strategies(), "own"}
    assert known["near side"].phases[0].until == 5
    assert known["far side"] == default_strategies(90)["far side"]
    assert to_setup(case, known["round"]).strategy.name == "round"


@pytest.mark.parametrize(("given", "brushed"), [("0.009", 0.0), ("0.01", 1e-5)])
def test_a_coat_thinner_than_the_least_is_none(read, given, brushed):
    assert to_setup(read(flux=[f"coat_mm = {given}"])).coat.thickness == pytest.approx(brushed)
