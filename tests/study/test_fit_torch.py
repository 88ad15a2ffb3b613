"""A torch found again from polynomials by hand and from marched rows; gross rows named."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from thermo.braze import members
from thermo.braze.member import Member
from thermo.braze.stages import StageName
from thermo.files import case_from_options, read_torch_file, to_setup
from thermo.files.log import LogRow
from thermo.study import surrogate
from thermo.study.fit_torch import (
    OF_A_ROW,
    concluded,
    covariance,
    fit_torch,
    left_out,
    posterior,
    prior,
)
from thermo.study.own_torch import torch_text
from thermo.study.score import score
from thermo.study.surrogate import SetUp, Surrogate
from thermo.study.unsure import unsure
from thermo.study.witness import Reading, Witness

SLOPES = np.array([[-0.5, -1.3], [-0.9, -0.8]])


@pytest.fixture(scope="module")
def held():
    case = case_from_options(3.0, 1.2, "pocket")
    setup = to_setup(case)
    return SetUp(case, setup, setup.strategy, [], unsure(case, setup))


def row(number, value, slope=SLOPES[0], rest=None, error=0.05):
    witness = Witness(number, Reading("seen", StageName.FILLED), value, error)
    return Surrogate(witness, 3.0, slope, np.array([0.1, 0.2, 0.05]), rest or {}, 0.02)


def truth(p, **how):
    """Ten rows of two set-ups that see just what factors p give."""
    found = []
    for k in range(1, 11):
        one = row(k, 0.0, SLOPES[k % 2], **how)
        at = float(one.at(np.array([p]))[0])
        found.append(replace(one, witness=replace(one.witness, value=at)))
    return found


def test_factors_are_found_again(held):
    p = np.log([0.8, 1.15])
    fit = concluded(held, truth(p, error=0.01), prior(held.ranges))
    for factor, value in zip(fit.factors, np.exp(p), strict=True):
        assert factor.after.middle == pytest.approx(value, rel=0.03)
        assert factor.after.low < value < factor.after.high
        assert factor.after.high - factor.after.low < 0.5 * (factor.before.high - factor.before.low)
    assert fit.outliers == ()
    assert 1.0 < fit.effective < 4096


def test_no_rows_leave_the_prior_and_one_narrows_it(held):
    points = prior(held.ranges)
    np.testing.assert_allclose(posterior([], points), 1.0 / len(points))
    one = truth(np.zeros(2))[:1]
    shares = posterior(one, points)
    off = one[0].witness.value - one[0].at(points)
    assert shares @ off**2 < 0.2 * np.mean(off**2)


def test_posterior_is_that_of_the_gaussian(held):
    points = prior(held.ranges)[:50]
    rows = truth(np.zeros(2))[:3]
    off = np.array([one.witness.value - one.at(points) for one in rows])
    misfit = (off**2 / (0.05**2 + 0.02**2)).sum(axis=0)
    expected = np.exp(-0.5 * misfit)
    np.testing.assert_allclose(posterior(rows, points), expected / expected.sum(), rtol=1e-9)


def test_what_is_alike_in_all_rows_is_shared_and_what_is_not_stays_in_its_row():
    rest = {"emissivity": 0.3, OF_A_ROW[0]: 0.2}
    found = [row(1, 3.0, rest=rest), row(1, 3.0, rest=rest), row(2, 3.0, rest=rest)]
    own = 0.05**2 + 0.02**2
    np.testing.assert_allclose(
        covariance(found),
        [
            [own + 0.13, 0.13, 0.09],
            [0.13, own + 0.13, 0.09],
            [0.09, 0.09, own + 0.13],
        ],
    )


@pytest.mark.parametrize("spoilt", [{3: 0.95}, {3: 0.95, 8: -0.95}, {3: 0.95, 7: 0.95}])
def test_gross_rows_are_left_out_and_named_with_what_would_explain_them(held, spoilt):
    rng = np.random.default_rng(5)
    found = [
        replace(
            one,
            witness=replace(
                one.witness,
                value=one.witness.value
                + 0.08 * rng.standard_normal()
                + spoilt.get(one.witness.row, 0.0),
                error=0.08,
            ),
        )
        for one in truth(np.zeros(2), rest={"distance": 0.2, "flux_coat": 0.02})
    ]
    points = prior(held.ranges)
    assert left_out(found, points) == set(spoilt)
    fit = concluded(held, found, points)
    assert fit.outliers == tuple(sorted(spoilt))
    for one in fit.told:
        if one.surrogate.witness.row in spoilt:
            (cause,) = one.causes  # a thicker coat alone would have to be beyond belief
            assert cause.key == "distance"
            assert (cause.value > 1.0) == (spoilt[one.surrogate.witness.row] > 0.0)


def test_three_rows_are_too_few_to_call_one_gross(held):
    found = truth(np.zeros(2))[:3]
    found[0] = replace(found[0], witness=replace(found[0].witness, value=9.0))
    assert left_out(found, prior(held.ranges)) == set()


def test_marched_rows_give_the_torch_back(monkeypatch, tmp_path):
    """Two joints of a torch that is weaker than its kind; the file it leaves is read back."""
    monkeypatch.setattr(surrogate, "DRAWS", 32)
    drawn, rows = Member(torch=0.75), []
    for ball, rod in ((3.0, 1.2), (2.0, 0.8)):
        setup = to_setup(case_from_options(ball, rod, "pocket"))
        (run,) = members(setup, setup.strategy, [drawn])
        values = {"ball_diameter_mm": ball, "rod_diameter_mm": rod, "filled_s": run.filled_s}
        values["flux_clear_s"] = run.stage(StageName.FLUX_CLEAR).seen_s
        rows.append(LogRow.model_validate(values))
    fit = fit_torch(rows, "pocket", Path(), workers=1)
    before, after = fit.pace
    assert after.high < 1.0 < before.high
    assert after.high / after.low < 0.7 * before.high / before.low
    for one in fit.told:
        assert one.expected.low < math.exp(one.surrogate.witness.value) < one.expected.high
        assert one.surrogate.noise < 0.05
    path = tmp_path / "torch.toml"
    path.write_text(torch_text(fit, "pocket"), encoding="utf-8")
    kept = read_torch_file(path)
    strength = fit.factors[0].after.middle
    assert kept["torch"]["fuel_rate_g_per_h"] == pytest.approx(20.0 * strength, rel=1e-3)
    case = case_from_options(3.0, 1.2, str(path))
    ranges = {one.key: one for one in unsure(case, to_setup(case))}
    assert (ranges["torch"].low, ranges["torch"].high) == pytest.approx(
        fit.factors[0].span, rel=1e-2
    )
    again = {one.key: one for one in unsure(case_from_options(3.0, 1.2, "pocket"), fit.setup)}
    assert ranges["torch"].high / ranges["torch"].low < again["torch"].high / again["torch"].low


def told(filled, low=10.0, high=20.0, outcome="sound"):
    values = {"ball_diameter_mm": 3.0, "rod_diameter_mm": 1.2, "flux_clear_s": 5.0}
    values |= {"filled_s": filled, "told_low_s": low, "told_high_s": high, "outcome": outcome}
    return LogRow.model_validate({key: x for key, x in values.items() if x is not None})


def test_score_counts_inside_early_late_and_never():
    found = score(
        [told(15.0), told(9.0), told(21.0), told(None, outcome="dry"), told(12.0, None, None)]
    )
    assert (found.inside, found.early, found.late, found.unscored) == (1, 1, 2, 1)
    assert found.count == 4 and found.verdict == "too narrow"


@pytest.mark.parametrize(
    ("inside", "count", "verdict"),
    [(3, 3, "too few rows"), (16, 20, "as told"), (9, 20, "too narrow"), (40, 40, "too wide")],
)
def test_score_judges_the_bands(inside, count, verdict):
    rows = [told(15.0)] * inside + [told(25.0)] * (count - inside)
    assert score(rows).verdict == verdict
