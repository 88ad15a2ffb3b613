"""Looks for causes that lie in the flame and the way the heat goes."""

from __future__ import annotations

import numpy as np

from thermo.braze import Braze, Setup
from thermo.braze.coat import COATED_ROD
from thermo.braze.limits import ROD_LEAD_K, LimitName
from thermo.braze.reasons import FAST_K_S
from thermo.braze.stages import StageName
from thermo.constants import IN_MM
from thermo.flame import Exposure
from thermo.study.evidence import ABSENT, OVERSTAY_S, UNKNOWN, Evidence, fraction_of_limit, worst

WINDOWS = 10  # equal spans of the time until ready, over which a pace is taken
PACE_S = 1.5  # before the flame is taken away
LATER = 0.5  # of the wait until flux is clear
POSES = 12  # of a moving torch over one turn or sweep


def rod_ahead(run: Braze) -> Evidence:
    """The rod's lead over the gap's coldest wall while it could melt filler (a limit)."""
    lead, most = worst(run, LimitName.ROD_AHEAD)
    hottest = worst(run, LimitName.ROD_HOT)[0]
    numbers = {"lead_K": lead, "limit_K": most, "rod_C": hottest}
    return Evidence(fraction_of_limit(lead, 0.0, most), "", numbers)


def ball_ahead(run: Braze) -> Evidence:
    """The ball's lead over the gap's coldest wall while it could melt filler.

    Filler runs toward the heat on the ball as on the rod: the same limit (assumed).
    """
    stations = run.stations
    melts = stations.ball_max_C >= run.setup.filler.solidus_C
    melts &= stations.time_s <= run.off_s + 1e-9
    lead = (stations.ball_max_C - stations.gap_min_C)[melts]
    worst = float(lead.max(initial=0.0))
    return Evidence(
        fraction_of_limit(worst, 0.0, ROD_LEAD_K), "", {"lead_K": worst, "limit_K": ROD_LEAD_K}
    )


def flame_weak(run: Braze) -> Evidence:
    """How much of its best pace the gap has lost when it gets ready: all of it where it stalls.

    The pace is that of the ball's heat per volume, so that the steel's own heat capacity leaves it.
    A gap that never gets ready has all of it lost, and more by what it falls short; one that still
    rises fast when the flame is taken away is told of by `off_early`.
    """
    ready = run.ready_s
    if ready is None and not _cut_short(run):
        numbers = {"coldest_C": run.coldest_C, "level_C": run.level_C}
        return Evidence(1.0 + _short(run), "never", numbers | {"off_s": run.off_s})
    until = run.off_s if ready is None else ready
    times = np.linspace(0.0, until, WINDOWS + 1)
    cold = np.interp(times, run.stations.time_s, run.stations.gap_min_C)
    rate = np.diff(run.setup.ball.enthalpy(cold))
    lost = max(1.0 - float(rate[-1] / rate.max()), 0.0)
    return Evidence(lost, "", {"until_s": until, "lost_percent": 100.0 * lost})


def off_early(run: Braze) -> Evidence:
    """Wait from clear flux outside to the ready gap, against half the wait until the flux is clear.

    Taking the flame away at clear flux is the usual mistake at the bench: a joint where the gap is
    half as long again behind invites it (assumed). Where the flame is taken away from a gap that
    still rises fast: 1, and more by what it falls short.
    """
    clear, ready = run.stage(StageName.FLUX_CLEAR).seen_s, run.ready_s
    if ready is None and _cut_short(run):
        numbers = {"coldest_C": run.coldest_C, "level_C": run.level_C}
        rate = _pace(run, "gap_min_C")
        return Evidence(
            1.0 + _short(run), "rising", numbers | {"off_s": run.off_s, "pace_K_s": rate}
        )
    if clear is None or ready is None:
        return ABSENT
    numbers = {"clear_s": clear, "ready_s": ready, "wait_s": max(ready - clear, 0.0)}
    return Evidence(fraction_of_limit(ready, clear, (1.0 + LATER) * clear), "", numbers)


def _short(run: Braze) -> float:
    """Share of the way from the room to ready that the gap's coldest wall falls short."""
    level = run.level_C
    return fraction_of_limit(-run.coldest_C, -level, -run.setup.ambient_C)


def _cut_short(run: Braze) -> bool:
    """True where the gap still rises fast when the flame is taken away."""
    return _pace(run, "gap_min_C") > FAST_K_S


def uneven(run: Braze) -> Evidence:
    """Hottest less coldest wall when the gap is ready, against the filler's range above liquidus.

    At 1 the hottest place is at the top of the brazing range when the coldest begins to take
    filler. Where the gap is never ready, when the flame is taken away.
    """
    filler, when = run.setup.filler, run.section_s
    hot, cold = (run.value_at(f"gap_{end}_C", when) for end in ("max", "min"))
    ends = run.value_at("gap_mouth_C", when) - run.value_at("gap_bottom_C", when)
    sides = run.value_at("gap_near_C", when) - run.value_at("gap_far_C", when)
    room = filler.brazing_top_C - filler.liquidus_C
    numbers = {"spread_K": hot - cold, "ends_K": _whole(ends), "sides_K": _whole(sides)}
    return Evidence(
        fraction_of_limit(hot - cold, 0.0, room), "", numbers | {"room_K": room, "at_s": when}
    )


def _whole(kelvin: float) -> float:
    """Rounded, without "-0"."""
    return round(kelvin) + 0.0


def _rod_limit_C(setup: Setup) -> float:
    """What the rod bears [°C]."""
    known = (setup.rod.overheated_C, setup.rod.melts_C)
    return min(x for x in known if x is not None)


def rod_hot(run: Braze) -> Evidence:
    """Hottest of the rod, from the filler's liquidus to what its metal bears."""
    hottest, limit = float(run.stations.rod_max_C.max()), _rod_limit_C(run.setup)
    numbers = {"rod_C": hottest, "limit_C": limit}
    return Evidence(fraction_of_limit(hottest, run.setup.filler.liquidus_C, limit), "", numbers)


def _pace(run: Braze, name: str) -> float:
    """Pace of a watched temperature over the last of the heating [K/s]."""
    off = run.off_s
    before = max(off - PACE_S, 0.0)
    return max((run.value_at(name, off) - run.value_at(name, before)) / (off - before), 0.0)


def kept_on(run: Braze) -> Evidence:
    """What the rod gains in an oversight's time, against its room from liquidus to limit."""
    if run.ready_s is None:
        return ABSENT
    rate, limit = _pace(run, "rod_max_C"), _rod_limit_C(run.setup)
    score = fraction_of_limit(rate * OVERSTAY_S, 0.0, limit - run.setup.filler.liquidus_C)
    return Evidence(score, "", {"pace_K_s": rate, "overstay_s": OVERSTAY_S, "limit_C": limit})


def bare_rod(run: Braze) -> Evidence:
    """Hottest of the rod where the coat ends, from the room to where bare metal scales."""
    setup = run.setup
    scales, where = setup.rod.scaling_C, COATED_ROD * setup.joint.rod_diameter
    if scales is None:
        return ABSENT
    along, axis = run.cooling.from_mouth, run.cooling.axis_C
    hottest = float(np.interp(where, along, axis.max(axis=0)))
    numbers = {"rod_C": hottest, "limit_C": scales, "at_mm": IN_MM * where}
    return Evidence(fraction_of_limit(hottest, setup.ambient_C, scales), "", numbers)


def along_rod(run: Braze) -> Evidence:
    """The second joint's hottest, from the room to its filler's solidus."""
    if run.setup.second_filler is None:
        return UNKNOWN
    hottest, solidus = worst(run, LimitName.NEIGHBOUR)
    numbers = {"joint_C": hottest, "solidus_C": solidus, "margin_K": solidus - hottest}
    return Evidence(fraction_of_limit(hottest, run.setup.ambient_C, solidus), "", numbers)


def flame_on_it(run: Braze) -> Evidence:
    """Heat that the jet itself could give the cold second ball, against what melts its joint."""
    setup, patches = run.setup, run.mesh.patches
    if setup.second_filler is None:
        return UNKNOWN
    its = patches.piece_body == 2
    ends = [*(t for t, _ in run.timeline[1:]), run.off_s]
    given = 0.0
    for (began, phase), ended in zip(run.timeline, ends, strict=True):
        flame = Exposure(
            setup.torch, phase, setup.joint, patches, patches.mirrored, setup.ambient_C
        )
        times = np.linspace(0.0, phase.period, POSES, endpoint=False)
        power = np.mean(
            [patches.area[its] @ (hT - h * setup.ambient_C)[its] for h, hT in map(flame.at, times)]
        )
        given += float(power) * max(ended - began, 0.0)
    rise = np.diff(setup.ball.enthalpy([setup.ambient_C, setup.second_filler.solidus_C]))
    needs = float(rise[0]) * setup.joint.second_ball_volume
    return Evidence(fraction_of_limit(given, 0.0, needs), "", {"given_J": given, "needs_J": needs})


def overstayed(run: Braze) -> Evidence:
    """What the second joint gains in an oversight's time, against its way to the solidus."""
    if run.setup.second_filler is None:
        return UNKNOWN
    if run.ready_s is None:
        return ABSENT
    rate, solidus = _pace(run, "second_joint_C"), worst(run, LimitName.NEIGHBOUR)[1]
    score = fraction_of_limit(rate * OVERSTAY_S, 0.0, solidus - run.setup.ambient_C)
    return Evidence(score, "", {"pace_K_s": rate, "overstay_s": OVERSTAY_S, "solidus_C": solidus})
