"""A second ball's joint during a braze: how hot it gets, and when it lets go."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from thermo.braze import Clamp, Coat, braze, brazes
from thermo.braze.coat import flux_layer
from thermo.braze.limits import LimitName
from thermo.braze.monitors import SECOND
from thermo.braze.surroundings import RoomLoss
from thermo.files import read_case, to_setup
from thermo.flame import default_strategies, free_convection_sphere
from thermo.matter import Filler, get_gas, get_solid
from thermo.shape import build_mesh

CASES = Path(__file__).parents[2] / "cases"


@pytest.fixture(scope="module")
def two():
    return to_setup(read_case(CASES / "earth-6mm-counterweight.toml"))


@pytest.fixture(scope="module")
def two_braze(two):
    return braze(two, "quick")


def apart(setup, spacing, **changes):
    """The same with its balls so far apart, and other changes."""
    joint = replace(setup.joint, rod_length=setup.joint.room(spacing))
    return replace(setup, joint=joint, **changes)


def limit_of(run):
    return next(limit for limit in run.limits if limit.name == LimitName.NEIGHBOUR)


def hottest_C(run):
    return float(run.stations["second_joint_C"].max())


def test_the_second_joint_is_watched_only_where_there_is_one(two_braze, earth_braze):
    for name in SECOND:
        assert np.isfinite(two_braze.stations[name]).all()
        assert name not in earth_braze.stations
    assert LimitName.NEIGHBOUR not in [limit.name for limit in earth_braze.limits]
    hot, cold = (two_braze.stations[name] for name in SECOND)
    assert np.all(hot >= cold)
    assert 2.0 < (hot - cold).max() < 30.0  # the constriction's drop at a few watts


def test_ledger_closes(two_braze):
    assert abs(two_braze.energy.residual) < 1e-9


def test_the_limit_is_the_hottest_against_its_own_fillers_solidus(two, two_braze):
    limit = limit_of(two_braze)
    assert limit.value == hottest_C(two_braze)
    assert (limit.limit, limit.ok) == (two.second_filler.solidus_C, True)
    other = braze(replace(two, second_filler=Filler.custom(500.0, 700.0)), "quick")
    assert limit_of(other).limit == 500.0


def test_nearer_is_hotter_and_far_away_is_as_good_as_free(two, earth):
    runs = [braze(apart(two, mm * 1e-3), "quick") for mm in (15, 20, 40, 100)]
    hottest = [hottest_C(run) for run in runs]
    assert hottest == sorted(hottest, reverse=True)
    assert hottest[0] > hottest[2] + 150.0
    long = replace(earth.joint, rod_length=runs[-1].setup.joint.rod_length)
    free = braze(replace(earth, joint=long), "quick")
    warm, alone = (
        np.interp(40.0, run.stations["time_s"], run.stations["gap_min_C"])
        for run in (runs[-1], free)
    )
    assert alone > 500.0
    assert warm == pytest.approx(alone, abs=0.5)
    assert hottest[-1] < 60.0


def test_it_is_hottest_after_the_flame_is_gone(two_braze):
    t, C = two_braze.stations["time_s"], two_braze.stations["second_joint_C"]
    assert t[np.argmax(C)] > two_braze.stage("flame-off").time_s + 5.0


def test_a_joint_that_lets_go_on_cooling_is_told_with_its_time(two, two_braze):
    """Solidus between what it has when the flame goes and what it gets after."""
    t, C = (two_braze.stations[name] for name in ("time_s", "second_joint_C"))
    off = two_braze.stage("flame-off").time_s
    level = (float(np.interp(off, t, C)) + C.max()) / 2
    late = braze(replace(two, second_filler=Filler.custom(level, level + 50.0)), "quick")
    limit = limit_of(late)
    assert not limit.ok
    assert off < limit.time_s < t[np.argmax(C)]
    at = np.interp(limit.time_s, late.stations["time_s"], late.stations["second_joint_C"])
    assert at == pytest.approx(level, abs=0.1)


def test_a_short_brass_arm_lets_the_neighbour_go(two):
    """Brass carries four times what steel does: the leeway ends with the second joint."""
    near = braze(apart(two, 10e-3, rod=get_solid("brass")), "quick")
    limit = limit_of(near)
    assert limit.value > limit.limit
    assert limit.time_s is not None
    assert near.leeway.closed_by == LimitName.NEIGHBOUR


def test_a_clamp_beside_it_keeps_the_second_joint_cooler(two, two_braze):
    clamp = Clamp(at=two.joint.rod_length - 1e-3, conductance=0.03)
    held = braze(replace(two, clamp=clamp), "quick")
    assert hottest_C(held) < hottest_C(two_braze) - 50.0
    assert held.stage("filled").time_s > two_braze.stage("filled").time_s + 5.0


@pytest.mark.parametrize("accuracy", ["normal"])
def test_the_mesh_hardly_moves_it(two, two_braze, accuracy):
    fine = braze(two, accuracy)
    assert hottest_C(fine) == pytest.approx(hottest_C(two_braze), abs=5.0)


def test_half_and_whole_circle_agree(two, two_braze):
    around = default_strategies()["near side"]
    turned = replace(around, phases=(*around.phases, replace(around.phases[0], side=90.0)))
    whole = brazes(two, [turned], "quick")[0]
    assert not whole.mesh.mirrored
    off = whole.stage("flame-off").time_s
    halved = np.interp(50.0, two_braze.stations["time_s"], two_braze.stations["second_joint_C"])
    assert off > 50.0
    assert np.interp(
        50.0, whole.stations["time_s"], whole.stations["second_joint_C"]
    ) == pytest.approx(halved, abs=0.5)


def test_fipy_agrees(two):
    short = replace(two.strategy.phases[0], until=12.0, longest=12.0)
    setup = apart(two, 12e-3, strategy=replace(two.strategy, phases=(short,)))
    ours, theirs = (braze(setup, "quick", engine=engine) for engine in ("march", "fipy"))
    assert hottest_C(ours) > 100.0
    assert hottest_C(theirs) == pytest.approx(hottest_C(ours), abs=0.5)
    assert abs(theirs.energy.residual) < 1e-9


def test_no_flux_is_brushed_on_the_second_ball(two):
    setup = apart(two, 7.6e-3)
    mesh = build_mesh(setup.joint, "quick", mirrored=True)
    layer = flux_layer(Coat(0.3e-3, 0.3), setup.flux, setup.joint, mesh.patches, 1)
    assert mesh.patches.centre[mesh.patches.piece_body == 2, 2].max() > (
        setup.joint.mouth_z - 1.5 * setup.joint.rod_diameter
    )
    assert set(mesh.patches.piece_body[layer.pieces]) == {0, 1}


def test_free_convection_is_that_of_its_own_size_and_temperature(two):
    joint = replace(two.joint, second_ball_diameter=4e-3)
    patches = build_mesh(joint, "quick", mirrored=True).patches
    room = RoomLoss(joint, patches, np.array([], dtype=np.int64), 20.0, 1)
    outside = np.where(patches.piece_body == 2, 300.0, 700.0)[:, None]
    room.update(outside, outside, np.zeros_like(outside))
    _, h, _ = room.terms(0.0, patches)
    expected = free_convection_sphere(4e-3, np.array([300.0]), 20.0, get_gas("air"))
    np.testing.assert_allclose(h[patches.piece_body == 2, 0], expected[0], rtol=1e-3)
