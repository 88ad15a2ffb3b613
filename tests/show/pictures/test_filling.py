"""The filler through time."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from thermo.show.pictures import heat as plots
from thermo.show.pictures.filling import PARTS, FillingHistory, filling_history, gap_course

END = 1e4


def at(history: FillingHistory, t, name):
    return float(history.parts[name][np.searchsorted(history.time_s, t, side="right") - 1])


@pytest.mark.parametrize("name", ["ready", "unready", "short", "over", "fed", "off_centre"])
def test_parts_add_up_to_all_the_filler_at_every_time(name, request):
    braze = request.getfixturevalue(name)
    history = filling_history(braze, END)
    assert set(history.parts) == set(PARTS)
    total = sum(history.parts.values())
    assert total == pytest.approx(np.full(len(total), braze.filler.supply), rel=1e-9)
    assert all((volume >= -1e-9 * braze.filler.supply).all() for volume in history.parts.values())
    assert (np.diff(history.time_s) > 0.0).all()


@pytest.mark.parametrize("name", ["ready", "unready", "short", "over", "fed"])
def test_it_ends_as_the_braze_says(name, request):
    braze = request.getfixturevalue(name)
    history, poured = filling_history(braze, END), braze.filler.poured
    for part in ("annulus", "bottom", "fillet", "over"):
        assert at(history, END, part) == pytest.approx(getattr(poured, part), abs=1e-18)
    left = sum(at(history, END, part) for part in ("waiting", "melting", "solid"))
    assert left == pytest.approx(braze.filler.waiting, abs=1e-9 * braze.filler.supply)


def test_solid_then_melting_then_waiting_then_in_the_gap(ready):
    filler, history = ready.filler, filling_history(ready, END)
    filled = ready.stage("filled").time_s
    moments = [0.0, filler.softens_s, filler.molten_s, filler.first_s, filled]
    for (begins, ends), part in zip(
        itertools.pairwise(moments),
        ("solid", "melting", "waiting", "annulus"),
        strict=True,
    ):
        assert begins < ends
        assert at(history, begins + 1e-9, part) > 0.0
        assert at(history, begins - 1e-9, part) == 0.0 or part == "solid"
    assert at(history, filler.first_s - 1e-9, "waiting") == pytest.approx(filler.supply)
    assert at(history, filled - 1e-9, "fillet") == 0.0
    assert at(history, filled, "fillet") == filler.poured.fillet > 0.0


def test_what_the_gap_does_not_take_waits_until_the_flame_is_away(ready):
    """A gap that stays open in part holds its bead until then."""
    since = ready.filler.since_s.copy()
    last = np.nanargmax(since)
    since[last] = np.nan
    filled = replace(ready.stage("filled"), time_s=None)
    stages = tuple(filled if s.name == "filled" else s for s in ready.stages)
    partly = replace(ready, stages=stages, filler=replace(ready.filler, since_s=since))
    history, off = filling_history(partly, END), ready.off_s
    assert at(history, off - 1e-9, "fillet") == 0.0
    assert at(history, off - 1e-9, "waiting") > 0.0
    assert at(history, off, "fillet") == ready.filler.poured.fillet


def test_shares_of_the_gap_grow_by_the_room_of_places(off_centre):
    gap = off_centre.mesh.gap
    wall = np.flatnonzero(~gap.floor)
    room = gap.area * gap.thickness
    wide, narrow = wall[room[wall].argmax()], wall[room[wall].argmin()]
    assert room[wide] > 2.0 * room[narrow]
    times = np.full(len(room), np.nan)
    times[wide], times[narrow] = 5.0, 4.0
    moments, shares = gap_course(off_centre, times)
    assert moments.tolist() == [4.0, 5.0]
    whole = room[wall].sum()
    assert shares == pytest.approx([room[narrow] / whole, (room[narrow] + room[wide]) / whole])


def test_words_of_filling(over, short, unready, drawn_words):
    words = {
        name: " ".join(" ".join(t.split()) for t, _ in drawn_words(plots.picture("filling", b)))
        for name, b in (("over", over), ("short", short), ("unready", unready))
    }
    assert "run out" in words["over"]
    assert "run out" not in words["short"]
    assert "Dry in the end:" in words["short"]
    assert "Dry in the end:" not in words["over"]
    assert "It never begins to melt." in words["unready"]
    assert "gap full," not in words["short"]
    for expected in ("time [s]", "filler [mm³]", "share of the gap [%]", "gap ready,"):
        assert expected in words["over"]


def test_filler_that_is_only_half_melted_says_so(unready, drawn_words):
    soft = replace(unready, filler=replace(unready.filler, softens_s=1.0))
    words = [" ".join(text.split()) for text, _ in drawn_words(plots.picture("filling", soft))]
    assert any("It is not all melted when the flame is taken away." in word for word in words)
    assert "melting" in words


def test_parts_are_stacked_up_to_the_supply(over):
    volumes = plots.picture("filling", over).axes[0]
    poured, under = over.filler.poured, 0.0
    for part, drawn in zip(
        ("annulus", "bottom", "fillet", "over"), volumes.collections, strict=False
    ):
        box = drawn.get_paths()[0].get_extents()
        volume = 1e9 * getattr(poured, part)
        assert box.y1 == pytest.approx(under + volume)
        assert box.y0 == pytest.approx(under)
        under += volume
    assert under == pytest.approx(1e9 * over.filler.supply)
    assert volumes.get_ylabel() == "filler [mm³]"


def test_share_curves_end_at_what_is_ready_and_what_is_full(short):
    shares = plots.picture("filling", short).axes[1]
    ready, full = (line for line in shares.lines if len(line.get_xdata()) > 2)
    assert ready.get_ydata()[-1] == pytest.approx(100.0)
    assert full.get_ydata()[-1] == pytest.approx(100 * short.filler.filled_share, abs=4.0)
    assert full.get_ydata()[-1] < 95.0
