"""Results for other programs, read back."""

import csv
from dataclasses import replace

import numpy as np
import pytest

import thermo
from thermo.files import export


@pytest.fixture(scope="module")
def result():
    return thermo.run_braze(thermo.to_setup(thermo.case_from_options(3, 1.2, "pocket")), "quick")


def test_csv_holds_all_that_is_monitored(result, tmp_path):
    thermo.braze_to_csv(result, tmp_path / "moon.csv")
    with (tmp_path / "moon.csv").open(encoding="utf-8", newline="") as file:
        keys, *rows = list(csv.reader(file))
    assert keys[0] == "time_s"
    assert all(key.endswith(("_s", "_C", "_K", "_pct")) for key in keys)
    read = np.array(rows, dtype=float).T
    for key, values in zip(keys, read, strict=True):
        np.testing.assert_allclose(values, result.stations[key], atol=1e-6)


def test_what_there_is_not_is_left_empty(result, tmp_path):
    flat = dict.fromkeys(result.stations.__dataclass_fields__, np.array([20.0, 21.0]))
    flat |= {"time_s": np.array([0.0, 1.0]), "flux_mouth_C": np.array([np.nan, 20.0])}
    stations = type(result.stations)(**flat)
    thermo.braze_to_csv(replace(result, stations=stations), tmp_path / "moon.csv")
    with (tmp_path / "moon.csv").open(encoding="utf-8", newline="") as file:
        first, second = csv.DictReader(file)
    assert (first["flux_mouth_C"], second["flux_mouth_C"]) == ("", "20.0")
    assert first["rod_max_C"] == "20.0"


def test_a_file_is_written_whole_or_not_at_all(tmp_path):
    def fail(file):
        file.write_text("half", encoding="utf-8")
        raise OSError("no room")

    kept = tmp_path / "moon.csv"
    kept.write_text("before", encoding="utf-8")
    with pytest.raises(OSError, match="no room"):
        export._write_whole(kept, fail)
    assert kept.read_text(encoding="utf-8") == "before"
    assert list(tmp_path.iterdir()) == [kept]


def test_vtu_read_back(result, tmp_path):
    meshio = pytest.importorskip("meshio")
    path = tmp_path / "moon.vtu"
    thermo.braze_to_vtu(result, path)
    found = meshio.read(path)
    assert set(found.cell_data) == {"temperature_C", "body", "flux"}
    T = np.concatenate(found.cell_data["temperature_C"])
    assert T.min() == pytest.approx(result.section_C.min())
    assert T.max() == pytest.approx(result.section_C.max())
    body, flux = (np.concatenate(found.cell_data[key]) for key in ("body", "flux"))
    assert set(body) == {0, 1}
    ends = found.points[np.concatenate([block.data[:, 0] for block in found.cells])]
    far = ends[:, 2] < result.mesh.joint.mouth_z - 10e-3
    assert far.any()
    assert set(body[far]) == {1}
    assert set(flux[far]) == {0}
    assert set(flux[(body == 0) & (result.setup.flux.stages["clear"].value < T)]) <= {0, 4}
    assert 4 in flux


def test_values_must_be_one_a_cell(result, tmp_path):
    with pytest.raises(ValueError, match="one value a cell"):
        thermo.mesh_to_vtu(result.mesh, tmp_path / "x.vtu", {"load_W": [1.0]})


def test_without_meshio_it_says_what_to_install(result, tmp_path, monkeypatch):
    monkeypatch.setitem(__import__("sys").modules, "meshio", None)
    with pytest.raises(ImportError, match=r"brazeclock\[export\]"):
        thermo.braze_to_vtu(result, tmp_path / "x.vtu")
