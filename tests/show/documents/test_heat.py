import json
import math
from dataclasses import replace

import numpy as np
import pytest
from asking import values

from thermo.braze.monitors import Stations
from thermo.show.documents.heat import heat_document
from thermo.show.writing import as_json
from thermo.study.answer import Answer

STATIONS = [
    "gap_near_C",
    "gap_far_C",
    "gap_mouth_C",
    "gap_bottom_C",
    "gap_min_C",
    "gap_max_C",
    "flux_mouth_C",
    "ball_front_C",
    "ball_back_C",
    "rod_max_C",
    "rod_10mm_C",
]
STAGES = [
    "flux-dry",
    "flux-milky",
    "flux-clear",
    "solidus",
    "liquidus",
    "settles",
    "filled",
    "flame-off",
    "solid",
    "wash",
]


def document_of(braze, case):
    return values(heat_document(Answer(braze, case)))


def test_document_has_the_agreed_shape(run):
    braze, case = run()
    document = document_of(braze, case)
    assert document["schema"] == "brazeclock/heat/1"
    assert document["case"] == "planet"
    assert (document["engine"], document["members"]) == ("march", 0)
    assert document["mesh"] == {"cells": braze.mesh.cells, "annulus": braze.mesh.annulus_links}
    assert [stage["name"] for stage in document["stages"]] == STAGES
    for stage in document["stages"]:
        assert {"time_s", "seen_s", "cue", "reason"} < set(stage)
        assert stage["low_s"] is None
        assert stage["high_s"] is None
        assert (stage["time_s"] is None) == bool(stage["reason"])
    for limit in document["limits"]:
        told = {"name", "value", "limit", "unit", "time_s", "ok", "spoils", "source"}
        assert set(limit) == told
        assert limit["ok"] == (limit["time_s"] is None)
    assert {"opens_s", "closes_s", "width_s", "closed_by"} < set(document["leeway"])
    besides = [{"name": x.name, "time_s": x.time_s} for x in braze.leeway.consequences]
    assert document["leeway"]["consequences"] == besides
    assert document["way"] is None  # nobody chose it
    filler = document["filler"]
    assert (filler["alloy"], filler["solidus_C"], filler["liquidus_C"]) == ("Ag 156", 620, 655)
    assert filler["molten_s"] <= filler["enters_s"] <= document["stages"][6]["time_s"]
    parts = filler["volumes_mm3"]
    assert set(parts) == {"annulus", "bottom", "fillet", "runs_out", "waiting"}
    assert math.fsum(parts.values()) == pytest.approx(filler["supply_mm3"], rel=1e-12)
    assert set(document["energy"]) == {"in_J", "lost_J", "stored_J", "residual", "at"}
    assert document["energy"]["at"] == "wash"
    assert document["wall_s"] > 0
    assert [item["key"] for item in document["assumed"]] == [a.key for a in case.assumed]


def test_stations_are_plain_rounded_numbers_over_rising_times(run):
    braze, case = run()
    stations = document_of(braze, case)["stations"]
    assert set(STATIONS) < set(stations)
    assert {len(values) for values in stations.values()} == {len(stations["time_s"])}
    times = np.array(stations["time_s"])
    assert np.all(np.diff(times) > 0)
    for name in STATIONS:
        assert all(round(value, 2) == value for value in stations[name])
        exact = np.interp(times, braze.stations["time_s"], braze.stations[name])
        pace = np.abs(np.gradient(exact, times)).max()
        np.testing.assert_allclose(stations[name], exact, atol=0.005 + 0.0005 * 2 * pace)


def test_instants_of_one_millisecond_are_told_once(run):
    braze, case = run()
    doubled = Stations(
        **{
            name: np.insert(values, 5, values[5] - (1e-5 if name == "time_s" else 0.0))
            for name, values in braze.stations.items()
        }
    )
    plain, more = (
        document_of(one, case)["stations"] for one in (braze, replace(braze, stations=doubled))
    )
    assert plain == more


def test_never_is_null_and_never_nan(run):
    braze, case = run(torch=['kind = "pocket"', "fuel_rate_g_per_h = 0"], flux=["coat_mm = 0"])
    text = as_json(heat_document(Answer(braze, case)))
    assert "NaN" not in text
    assert "Infinity" not in text
    document = json.loads(text)
    assert set(document["stations"]["flux_mouth_C"]) == {None}
    leeway = document["leeway"]
    assert [leeway[k] for k in ("opens_s", "closes_s", "width_s", "closed_by")] == [None] * 4
    filled = next(stage for stage in document["stages"] if stage["name"] == "filled")
    assert filled["time_s"] is None
    assert filled["reason"] == "a torch of no power heats nothing"
