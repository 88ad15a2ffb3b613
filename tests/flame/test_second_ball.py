"""A second ball convects as a sphere of its own diameter, at its own place."""

import math
from dataclasses import replace

import numpy as np

from thermo.flame import Exposure, Jet, Phase, Pose, Torch, local_exposure
from thermo.shape import Joint, build_mesh

TWO = Joint(6e-3, "blind", 2.5e-3, 4e-3, 2.4e-3, 9e-3, second_ball_diameter=4e-3)


def test_coefficient_is_that_of_a_ball_of_its_diameter(torch):
    turn = np.linspace(0.0, math.pi, 19)
    normals = np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=-1)
    pose = Pose(0.0, 0.0, 18e-3, 20e-3)
    small = replace(TWO, ball_diameter=4e-3, hole_depth=2e-3, second_ball_diameter=0.0)
    found = [
        local_exposure(Jet(torch), pose, joint, 2e-3 * normals, normals, np.full(19, code))
        for joint, code in ((TWO, 2), (small, 0))
    ]
    np.testing.assert_allclose(found[0], found[1], rtol=1e-12)
    assert found[0][0].min() > 10.0


def test_flame_aimed_at_the_second_ball_heats_it_and_aimed_away_hardly(torch):
    mesh = build_mesh(TWO, "quick", mirrored=True)
    patches, own = mesh.patches, mesh.patches.piece_body == 2
    wide = Torch.of_kind("hand")
    taken = {}
    for name, burner, aim in (
        ("at it", torch, TWO.mouth_z - TWO.second_ball_z),
        ("pocket", torch, "ball"),
        ("hand", wide, "ball"),
    ):
        h, hT = Exposure(burner, Phase(aim), TWO, patches, mirrored=True).at(0.0)
        taken[name] = float(patches.area[own] @ (hT - 20.0 * h)[own])
    assert taken["at it"] > 3.0  # a pocket torch gives a ball of 4 mm some watts
    assert taken["pocket"] < 0.2 * taken["at it"]
    assert taken["hand"] > 5 * taken["pocket"]
