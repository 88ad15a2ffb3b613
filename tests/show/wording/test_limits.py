"""Leeway and limits in words."""

from dataclasses import replace

import pytest
from rich.console import Group

from thermo.braze import Consequence, Leeway, Unfilled
from thermo.braze.limits import LimitName
from thermo.show.printing import as_text
from thermo.show.wording.limits import consequence_line, look_ahead


def lines_of(braze):
    return as_text(Group(*look_ahead(braze))).splitlines()


def test_every_limit_is_told_once_with_what_was_reached(ready):
    text = " ".join(" ".join(lines_of(ready)).split())
    for limit in ready.limits:
        assert f"{limit.value:.0f}" in text
        assert f"{limit.limit:.0f} {limit.unit}" in text or "%" in limit.unit
    assert text.count("too hot 1050 °C") == 2  # of ball and rod
    assert "hardens again 745 °C*" in text and "too hot 1050 °C*" not in text
    assert "* the braze stays sound" in text


def test_passed_limits_come_first_by_time_then_the_nearest(ready):
    limits = {limit.name: replace(limit, time_s=None) for limit in ready.limits}
    limits["rod coarsens"] = replace(limits["rod coarsens"], value=950.0, time_s=7.0)
    limits["rod too hot"] = replace(limits["rod too hot"], value=950.0)
    late = replace(limits["flux above its range"], value=830.0, time_s=9.0)
    limits["flux above its range"] = late
    leeway = replace(ready.leeway, consequences=())
    lines = lines_of(replace(ready, limits=tuple(limits.values()), leeway=leeway))
    assert " ".join(lines[1:3]).endswith(" On the way: rod coarsens* (7 s).")
    rows = lines[4:]
    first = "rod 950 °C coarsens 900 °C*, passed at 7 s; too hot 1050 °C"
    assert " ".join(rows[0].split()) == first
    assert rows[1].startswith("flux above its range")
    assert rows[1].endswith("800 °C, passed at 9 s")
    assert not any("passed" in row for row in rows[2:])


def test_a_consequence_is_told_with_its_time_on_the_way_or_were_the_flame_kept_on(ready):
    limits = [replace(one, time_s=None) for one in ready.limits]
    rest = replace(ready.leeway, consequences=())
    calm = replace(ready, limits=tuple(limits), leeway=rest)
    assert consequence_line(calm) == ""
    hard = Consequence(LimitName.BALL_HARDENS, 21.0)
    later = replace(calm, leeway=replace(rest, consequences=(hard,)))
    assert consequence_line(later) == "Kept on: ball hardens again* (21 s)."
    passed = [replace(x, time_s=9.0) if x.name == hard.name else x for x in limits]
    before = replace(later, limits=tuple(passed))
    assert consequence_line(before) == "On the way: ball hardens again* (9 s)."


def test_what_is_not_half_way_is_told_in_one_line(ready):
    *_, last = " ".join(lines_of(ready)).split("Far off: ")
    assert "rod ahead of the gap (" in last
    assert "of 200 K)" in last
    for limit in ready.limits:
        if limit.name in last:
            assert limit.value < 0.55 * limit.limit


@pytest.mark.parametrize("opens", [None, 20.0])
def test_leeway_of_a_gap_that_never_opens_or_never_closes(ready, opens):
    leeway = Leeway(opens, None, None, None, 30.0)
    first = lines_of(replace(ready, leeway=leeway, unfilled=Unfilled.FILLER_COLD))[1]
    expected = "none: filler does not melt" if opens is None else "no limit is met within 30 s"
    assert first.startswith(f"Leeway: {expected}")
