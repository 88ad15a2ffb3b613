"""Conductances and loads inside a step: last pace, leaps, and what moves."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermo.heat.conditions import Conditions, Law, StepPolynomial

LINKS, PIECES, COLUMNS = 4, 3, 2


def parts(scale, links=None):
    """Links, half cells, and five terms of loads, (., 2) each."""
    first = np.full((LINKS, COLUMNS), scale) if links is None else links
    return [first, *(np.full((PIECES, COLUMNS), (k + 2.0) * scale) for k in range(6))]


def taken(*steps):
    """Conditions that took over parts at times."""
    found = Conditions()
    for t, scale in steps:
        found.take(t, parts(scale))
    return found


def ahead(conditions, t, h, share=1.0, moving=None):
    """Parts at a share of a step from t."""
    curve = StepPolynomial(t, h, conditions.extrapolate(t, h, moving))
    return conditions.parts(curve.at(t + share * h))


def test_what_was_taken_over_is_given_out_at_its_time():
    conditions = taken((0.0, 3.0))
    for share in (0.0, 0.5, 1.0):
        for got, wanted in zip(ahead(conditions, 0.0, 0.0, share), parts(3.0), strict=True):
            np.testing.assert_array_equal(got, wanted)


def test_the_first_values_stand_still():
    """Nothing is known of their pace."""
    conditions = taken((0.0, 3.0))
    for got, wanted in zip(ahead(conditions, 0.0, 5.0), parts(3.0), strict=True):
        np.testing.assert_array_equal(got, wanted)


@settings(deadline=None, max_examples=50)
@given(
    a=st.floats(-1e3, 1e3),
    b=st.floats(-1e3, 1e3),
    before=st.floats(0.01, 4.0),
    h=st.floats(0.01, 4.0),
    share=st.floats(0.0, 1.0),
)
def test_values_go_on_at_their_last_pace(a, b, before, h, share):
    conditions = taken((1.0, a), (1.0 + before, b))
    expected = b + (b - a) / before * share * h
    size = max(abs(a), abs(b)) * (1.0 + h / before)
    got = ahead(conditions, 1.0 + before, h, share)
    for one, factor in zip(got, (1, 2, 3, 4, 5, 6, 7), strict=True):
        np.testing.assert_allclose(one, factor * expected, rtol=1e-9, atol=1e-9 * (size + 1.0))


def test_readings_are_those_at_the_ends_of_the_step():
    """From which the model makes the law of what flows."""
    readings = taken((0.0, 1.0), (1.0, 2.0)).extrapolate(1.0, 0.5, None)
    np.testing.assert_allclose(readings[:, 0, 0], [2.0, 2.5], rtol=1e-12)


def test_before_and_after_a_step_a_curve_stands_as_at_its_ends():
    curve = StepPolynomial(2.0, 0.5, np.array([[[1.0]], [[3.0]]]))
    found = [curve.at(t)[0, 0] for t in (-9.0, 2.0, 2.25, 2.5, 9.0)]
    np.testing.assert_allclose(found, [1.0, 1.0, 2.0, 3.0, 3.0], rtol=1e-12)


def test_straight_courses_are_carried_on_exactly_and_times_may_be_read_again():
    curve = StepPolynomial(2.0, 1.5, taken((0.0, 1.0), (2.0, 5.0)).extrapolate(2.0, 1.5, None))
    for t in (3.0, 2.5, 2.0, 3.0):
        np.testing.assert_allclose(curve.at(t)[:LINKS], 1.0 + 2.0 * t, rtol=1e-12)


def test_taking_over_twice_at_one_time_keeps_the_pace():
    """A step that was refused takes over its beginning again."""
    conditions = taken((0.0, 1.0), (1.0, 2.0), (1.0, 2.0))
    np.testing.assert_allclose(ahead(conditions, 1.0, 1.0)[0], 3.0, rtol=1e-12)


def test_after_a_jump_nothing_is_carried_on():
    conditions = taken((0.0, 1.0), (1.0, 2.0))
    conditions.forget()
    conditions.take(1.0, parts(9.0))
    np.testing.assert_array_equal(ahead(conditions, 1.0, 1.0)[0], 9.0)
    conditions.take(2.0, parts(10.0))  # and from there on the pace is known again
    np.testing.assert_allclose(ahead(conditions, 2.0, 1.0)[0], 11.0, rtol=1e-12)


# conductances [W/m²K]: nothing, or large enough that half of one is not rounded to nothing
conductance = st.floats(0.0, 1e3).map(lambda x: round(x, 6))


@settings(deadline=None, max_examples=60)
@given(
    before=st.lists(conductance, min_size=9, max_size=9),
    now=st.lists(conductance, min_size=9, max_size=9),
    h=st.floats(0.01, 50.0),
)
def test_a_law_goes_on_alike_and_what_cannot_be_negative_never_is(before, now, h):
    """Three parts of three places, the first two positive: all of a place by the same share."""
    conditions = Conditions([Law(1, 4, (1, 2))])
    for t, values in ((0.0, before), (1.0, now)):
        conditions.take(t, [np.zeros((2, 1)), *np.reshape(values, (3, 3, 1))])
    end = np.stack(conditions.parts(conditions.extrapolate(1.0, h, None)[-1])[1:])
    old, new = (np.reshape(x, (3, 3, 1)) for x in (before, now))
    assert (end[:2] >= 0.0).all()
    full = h * (new - old)
    falls = np.where(full < 0.0, new / np.where(full < 0.0, -2.0 * full, 1.0), 1.0)[:2]
    share = np.minimum(1.0, falls.min(axis=0))
    np.testing.assert_allclose(end, new + share * full, rtol=1e-9, atol=1e-9)


def moving(times):
    """Five terms that are cubics in time, each piece and column its own."""
    k = np.arange(PIECES * COLUMNS, dtype=float).reshape(PIECES, COLUMNS)
    t = np.reshape(times, (-1, 1, 1))
    return [(n + 1) * (1.0 + k * t - 2.0 * t**2 + 0.3 * (k + 1) * t**3) for n in range(5)]


@settings(deadline=None, max_examples=30)
@given(t0=st.floats(0.0, 20.0), h=st.floats(0.01, 2.0), share=st.floats(0.0, 1.0))
def test_a_moving_load_that_is_a_cubic_is_read_exactly(t0, h, share):
    """Between its four readings, on top of what stands still."""
    conditions = Conditions()
    conditions.take(t0, parts(7.0))
    got = ahead(conditions, t0, h, share, moving)
    np.testing.assert_allclose(got[0], 7.0, rtol=1e-12)
    np.testing.assert_allclose(got[1], 14.0, rtol=1e-12)
    for k, (one, term) in enumerate(zip(got[2:], moving([t0 + share * h]), strict=True)):
        size = np.abs(term).max() + 7.0 * (k + 3)
        np.testing.assert_allclose(one, 7.0 * (k + 3) + term[0], atol=1e-10 * size)


def test_a_moving_load_that_is_no_cubic_is_read_to_fourth_order():
    """cos t over ever shorter steps: the worst error between readings falls as h⁴."""

    def wave(times):
        return [np.ones((1, PIECES, COLUMNS)) * np.cos(times)[:, None, None]] * 5

    errors = []
    for h in (0.8, 0.4, 0.2):
        conditions = Conditions()
        conditions.take(0.3, parts(0.0))
        curve = StepPolynomial(0.3, h, conditions.extrapolate(0.3, h, wave))
        times = 0.3 + h * np.linspace(0.0, 1.0, 41)
        errors.append(max(abs(float(curve.at(t)[-1, 0]) - np.cos(t)) for t in times))
    assert errors[0] / errors[1] == pytest.approx(16.0, rel=0.2)
    assert errors[1] / errors[2] == pytest.approx(16.0, rel=0.2)
    assert errors[0] < 1e-3


def test_a_step_of_no_length_reads_its_one_moment():
    conditions = Conditions()
    conditions.take(2.0, parts(0.0))
    got = ahead(conditions, 2.0, 0.0, moving=moving)
    for one, term in zip(got[2:], moving([2.0]), strict=True):
        np.testing.assert_allclose(one, term[0], rtol=1e-12)


def test_another_number_of_pieces_begins_anew():
    conditions = taken((0.0, 1.0), (1.0, 2.0))
    larger = [np.full((LINKS + 1, COLUMNS), 4.0), *parts(2.0)[1:]]
    conditions.take(2.0, larger)
    got = ahead(conditions, 2.0, 1.0)[0]
    assert got.shape == (LINKS + 1, COLUMNS)
    np.testing.assert_array_equal(got, 4.0)
