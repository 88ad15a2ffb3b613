"""What a braze leaves behind: what hides acid, what shrinks apart."""

from dataclasses import replace

import pytest

from thermo.braze.aftercare import aftercare
from thermo.matter import get_solid


def test_a_bottom_that_stayed_hollow_forbids_the_pickle(run_of):
    """Acid that gets in does not come out again."""
    run = run_of("mouth, short").braze
    left = aftercare(run.setup, run.limits, run.filler)
    assert left.hollow > 0.0
    assert not left.pickle
    empty = replace(run.filler, dry=None, poured=replace(run.filler.poured, bottom=0.0))
    assert not aftercare(run.setup, run.limits, empty).pickle
    whole = replace(run.filler, dry=None, poured=replace(run.filler.poured, bottom=1.0))
    assert aftercare(run.setup, run.limits, whole).pickle


def test_metals_that_shrink_unalike_part_by_as_much_either_way(earth, earth_braze):
    """|Δε| times the rod's diameter, whichever of the two shrinks more."""
    steel, brass = get_solid("carbon-steel"), get_solid("brass")
    ends = (
        float(steel.elongation(earth.filler.solidus_C)),
        float(brass.elongation(earth.filler.solidus_C)),
    )
    expected = abs(ends[0] - ends[1]) * earth.joint.rod_diameter
    assert expected > 0.0
    for ball, rod in ((steel, brass), (brass, steel)):
        setup = replace(earth, ball=ball, rod=rod)
        left = aftercare(setup, (), earth_braze.filler)
        assert left.shrinks_apart == pytest.approx(expected, rel=1e-12)
