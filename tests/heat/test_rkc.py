"""The stabilised explicit steps: order, stability, error estimate."""

from __future__ import annotations

import math

import numpy as np
import pytest

from thermo.heat.rkc import coefficients, local_error, stages_for, take_step


def marched(rates, y, end, steps, stages):
    """Equal steps from 0 to end."""
    h, y = end / steps, np.array(y, dtype=float)
    for i in range(steps):
        f = rates(i * h, y, np.empty_like(y))
        y = take_step(rates, i * h, y, f, h, stages)
    return y


def stiff(t, y, out):
    """y' = -λ (y - cos t) - sin t with λ of 0.3, 30, 3000 1/s; cos t is a solution of each.

    The stiff part of Prothero & Robinson, Math. Comp. 28 (1974) 145.
    """
    rate = np.array([[0.3], [30.0], [3000.0]])
    np.copyto(out, -rate * (y - math.cos(t)) - math.sin(t))
    return out


def test_second_order_on_a_stiff_problem_of_known_solution():
    errors, steps = [], (10, 20, 40, 80)
    for n in steps:
        y = marched(stiff, np.ones((3, 1)), 1.0, n, stages_for(1.0 / n, 3000.0))
        errors.append(np.abs(y - math.cos(1.0)).max())
    order = -np.polyfit(np.log(steps), np.log(errors), 1)[0]
    assert order >= 1.9, errors
    assert errors[-1] <= 2e-4


def test_second_order_where_the_solution_decays():
    """y' = -y from 1: e^-1, by any number of stages."""

    def decay(t, y, out):
        return np.negative(y, out=out)

    for stages in (2, 3, 5, 12):
        errors = [
            abs(float(marched(decay, [[1.0]], 1.0, n, stages)[0, 0]) - math.exp(-1.0))
            for n in (8, 16, 32)
        ]
        assert errors[1] / errors[2] == pytest.approx(4.0, abs=0.3)
        assert errors[-1] < 1e-4


@pytest.mark.parametrize("stages", [2, 3, 4, 7, 20, 60, 200, 400])
def test_stable_up_to_the_fastest_decay_allowed(stages):
    """Every decay from 0 up to what the stages are chosen for is damped, none grows.

    Real stability interval of the scheme: about 0.653 (s² - 1) (Sommeijer, Shampine & Verwer,
    J. Comput. Appl. Math. 88 (1998) 315-326, section 2). Rounding grows as s² (Verwer, Hundsdorfer
    & Sommeijer, Numer. Math. 57 (1990) 157, on internal stability).
    """
    rounding = 4.0 * np.finfo(float).eps * stages**2
    fastest = (stages**2 - 1) / 1.54
    decay = np.linspace(0.0, fastest, 4001)[:, None]

    def rates(t, y, out):
        return np.multiply(-decay, y, out=out)

    y = np.ones_like(decay)
    once = take_step(rates, 0.0, y, rates(0.0, y, np.empty_like(y)), 1.0, stages)
    assert np.abs(once).max() <= 1.0 + rounding
    assert np.abs(once[decay > 0.2]).max() < 0.99
    decay = np.array([[1.1 * 0.67 * stages**2 + 2.0]])
    y = np.ones((1, 1))
    beyond = take_step(rates, 0.0, y, -decay, 1.0, stages)
    assert abs(beyond[0, 0]) > 1.0


def chebyshev(s, x):
    """T, T' and T'' of the Chebyshev polynomial of the first kind at x > 1, in closed form."""
    a = math.acosh(x)
    T, slope = math.cosh(s * a), s * math.sinh(s * a) / math.sinh(a)
    return T, slope, (s * s * T - x * slope) / (x * x - 1.0)


def published(rates, y, h, s):
    """A step as printed: recurrence (2.3) with the coefficients (2.4) to (2.6), autonomous."""
    w0 = 1.0 + 2.0 / 13.0 / s**2
    _, d, d2 = chebyshev(s, w0)
    w1 = d / d2
    b = [0.0, 0.0] + [chebyshev(j, w0)[2] / chebyshev(j, w0)[1] ** 2 for j in range(2, s + 1)]
    b[0] = b[1] = b[2]
    F = rates(y)
    before, now = y, y + b[1] * w1 * h * F
    for j in range(2, s + 1):
        mu, nu = 2 * b[j] * w0 / b[j - 1], -b[j] / b[j - 2]
        mu_, gamma_ = 2 * b[j] * w1 / b[j - 1], -(1 - b[j - 1] * chebyshev(j - 1, w0)[0])
        after = (1 - mu - nu) * y + mu * now + nu * before
        after += mu_ * h * rates(now) + gamma_ * mu_ * h * F
        before, now = now, after
    return now


@pytest.mark.parametrize("stages", [2, 3, 4, 9, 40])
def test_rows_of_weights_are_the_published_recurrence(stages):
    """On a nonlinear system of three, two of them stiff."""

    def rates(y):
        return np.array([-y[0] + y[1] * y[2], -50.0 * y[1] + y[0] ** 2, -20.0 * (y[2] - y[0])])

    def into(t, y, out):
        out[:, 0] = rates(y[:, 0])
        return out

    y, h = np.array([[1.0], [0.5], [-0.3]]), 0.02
    found = take_step(into, 0.0, y, into(0.0, y, np.empty_like(y)), h, stages)
    np.testing.assert_allclose(found[:, 0], published(rates, y[:, 0], h, stages), rtol=1e-11)


@pytest.mark.parametrize("stages", [2, 3, 7, 60, 400])
def test_weights_of_a_stage_keep_a_constant_state_and_carry_it_to_its_place(stages):
    """States' weights add up to one; for y' = 1 stage j stands at its place in the step."""
    first, rows, places = coefficients(stages)
    np.testing.assert_allclose(rows[:, [0, 2, 3]].sum(axis=1), 1.0, atol=1e-10)
    value, two = [first], [first, 0.0]  # the two states in turns, of y' = 1 from 0 with h = 1
    for k, row in enumerate(rows):
        value.append(float(row @ [0.0, 1.0, *two, 1.0]))
        two[1 - k % 2] = value[-1]
    np.testing.assert_allclose(value, [*places, 1.0], rtol=1e-9)


@pytest.mark.parametrize(("step", "rate"), [(0.1, 1.0), (0.5, 1e3), (2.0, 4e4), (1.0, 0.0)])
def test_stages_asked_for_are_enough_and_not_wasted(step, rate):
    s = stages_for(step, rate)
    assert (s**2 - 1) / 1.54 >= step * rate
    assert s <= 2 or ((s - 2) ** 2 - 1) / 1.54 <= step * rate


@pytest.mark.parametrize("stages", [2, 5, 30])
def test_stages_lie_where_their_rates_are_taken(stages):
    """Rates linear in time alone are integrated exactly: ∫ t dt = t² / 2."""

    def clock(t, y, out):
        out[:] = t
        return out

    y = marched(clock, [[0.0]], 2.0, 3, stages)
    assert y[0, 0] == pytest.approx(2.0, rel=1e-12)
    _, _, places = coefficients(stages)
    assert np.all(np.diff(places) > 0)
    assert places[0] > 0
    assert places[-1] < 1


@pytest.mark.parametrize("stages", [3, 5, 20])
def test_error_estimate_is_of_third_order_and_not_too_low(stages):
    """On exact values the estimate is h³/15 times the third derivative (eq. 2.7 of the source);
    on a step's own values it lies between the true local error and three times it."""

    def decay(t, y, out):
        return np.negative(y, out=out)

    found = []
    for h in (0.1, 0.05, 0.025):
        y0, exact = np.ones((1, 1)), np.full((1, 1), math.exp(-h))
        ideal = local_error(y0, exact, -y0, -exact, h)[0, 0]
        assert ideal == pytest.approx(-(h**3) / 15, rel=0.6 * h)
        y1 = take_step(decay, 0.0, y0, -y0, h, stages)
        estimate, true = local_error(y0, y1, -y0, -y1, h)[0, 0], (exact - y1)[0, 0]
        assert 1.0 < estimate / true < 3.0
        found.append(estimate)
    assert found[0] / found[1] == pytest.approx(8.0, rel=0.1)
    assert found[1] / found[2] == pytest.approx(8.0, rel=0.05)
