import json
import math
import os
import stat
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from thermo.show.export import heat_document
from thermo.show.writing import OutputError, as_json, check_folder, write_folder, write_new

FILES = {"card.txt": b"card", "result.json": b"{}"}
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


def everything(folder):
    """Every path below a folder, hidden ones too."""
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*"))


def document_of(braze, case):
    return json.loads(as_json(heat_document(braze, case)))


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
        assert set(limit) == {"name", "value", "limit", "unit", "time_s", "ok", "source"}
        assert limit["ok"] == (limit["time_s"] is None)
    assert {"opens_s", "closes_s", "width_s", "closed_by"} < set(document["leeway"])
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
    doubled = {
        name: np.insert(values, 5, values[5] - (1e-5 if name == "time_s" else 0.0))
        for name, values in braze.stations.items()
    }
    plain, more = (
        document_of(one, case)["stations"] for one in (braze, replace(braze, stations=doubled))
    )
    assert plain == more


def test_never_is_null_and_never_nan(run):
    braze, case = run(torch=['kind = "pocket"', "fuel_rate_g_per_h = 0"], flux=["coat_mm = 0"])
    text = as_json(heat_document(braze, case))
    assert "NaN" not in text
    assert "Infinity" not in text
    document = json.loads(text)
    assert set(document["stations"]["flux_mouth_C"]) == {None}
    leeway = document["leeway"]
    assert [leeway[k] for k in ("opens_s", "closes_s", "width_s", "closed_by")] == [None] * 4
    filled = next(stage for stage in document["stages"] if stage["name"] == "filled")
    assert filled["time_s"] is None
    assert filled["reason"] == "a torch of no power heats nothing"
    with pytest.raises(ValueError, match="Out of range"):
        as_json({"x": float("nan")})


def test_folder_is_made_with_all_above_it(tmp_path):
    write_folder(tmp_path / "a" / "b", FILES)
    assert everything(tmp_path) == ["a", "a/b", "a/b/card.txt", "a/b/result.json"]
    assert (tmp_path / "a/b/card.txt").read_bytes() == b"card"
    mask = os.umask(0)
    os.umask(mask)
    assert stat.S_IMODE((tmp_path / "a/b").stat().st_mode) == 0o777 & ~mask


def test_files_of_the_same_name_are_replaced_and_others_kept(tmp_path):
    (tmp_path / "card.txt").write_text("old")
    (tmp_path / "notes.txt").write_text("mine")
    write_folder(tmp_path, FILES)
    assert everything(tmp_path) == ["card.txt", "notes.txt", "result.json"]
    assert (tmp_path / "card.txt").read_text() == "card"
    assert (tmp_path / "notes.txt").read_text() == "mine"


@pytest.mark.parametrize("out", ["file", "file/a", "file/a/b", "loose/a"])
def test_a_path_through_a_file_is_refused_beforehand(tmp_path, out):
    (tmp_path / "file").write_text("x")
    (tmp_path / "loose").symlink_to(tmp_path / "nowhere")
    for attempt in (check_folder, lambda folder: write_folder(folder, FILES)):
        with pytest.raises(OutputError, match="is a file, not a folder; give another folder"):
            attempt(tmp_path / out)
    assert everything(tmp_path) == ["file", "loose"]


def test_a_folder_where_a_file_should_go_is_refused_and_nothing_written(tmp_path):
    (tmp_path / "result.json").mkdir()
    with pytest.raises(OutputError, match=r"result\.json: is a folder; move it away"):
        write_folder(tmp_path, FILES)
    assert everything(tmp_path) == ["result.json"]


@pytest.mark.parametrize("out", ["new", "a/b/new", "there"])
@pytest.mark.parametrize("failing", ["write", "move", "interrupt"])
def test_a_fault_half_way_leaves_nothing_behind(tmp_path, monkeypatch, out, failing):
    (tmp_path / "there").mkdir()
    write, before = Path.write_bytes, everything(tmp_path)

    def full(path, content):
        if path.name == "result.json":
            raise (KeyboardInterrupt if failing == "interrupt" else OSError(28, "disk is full"))
        return write(path, content)

    def stuck(*paths):
        raise OSError(5, "disk is broken")

    if failing == "move":
        monkeypatch.setattr(os, "rename", stuck)
        monkeypatch.setattr(os, "replace", stuck)
    else:
        monkeypatch.setattr(Path, "write_bytes", full)
    expected = KeyboardInterrupt if failing == "interrupt" else OutputError
    with pytest.raises(expected, match=None if failing == "interrupt" else "disk is"):
        write_folder(tmp_path / out, FILES)
    assert everything(tmp_path) == before


def test_a_new_file_never_replaces_anything(tmp_path):
    write_new(tmp_path / "case.toml", "text °C")
    assert (tmp_path / "case.toml").read_text(encoding="utf-8") == "text °C"
    (tmp_path / "loose").symlink_to(tmp_path / "nowhere")
    for name, words in (
        ("case.toml", "is there already"),
        ("loose", "is there already"),
        (".", "is a folder"),
        ("none/case.toml", "there is no folder"),
        ("case.toml/case.toml", "there is no folder"),
    ):
        with pytest.raises(OutputError, match=words):
            write_new(tmp_path / name, "other")
    assert everything(tmp_path) == ["case.toml", "loose"]
    assert (tmp_path / "case.toml").read_text(encoding="utf-8") == "text °C"
