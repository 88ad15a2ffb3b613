"""The command fill, as a maker types it."""

import json
import math

import pytest
from asking import SMALLEST, ask, everything

import thermo.study.fill


def test_text_json_and_picture_are_written(place):
    answer = ask("fill", "mercury.toml")
    assert answer.exit_code == 0, answer.output
    assert answer.stderr == ""
    folder = place / "mercury-fill"
    assert everything(folder) == ["fill.png", "fill.txt", "result.json"]
    text = (folder / "fill.txt").read_text(encoding="utf-8")
    assert answer.stdout == f"{text}\nFiles are in the folder mercury-fill\n"
    assert "(1 snip of" in " ".join(text.split())
    assert "Should it fill too, 2.8 mm." in " ".join(text.split())
    assert json.loads((folder / "result.json").read_text())["schema"] == "brazeclock/fill/1"


def test_json_is_all_there_is_and_nothing_is_written(place):
    answer = ask("fill", "mercury.toml", "--json")
    assert (answer.exit_code, answer.stderr) == (0, "")
    document = json.loads(answer.stdout)
    assert document["case"] == "mercury"
    cold = document["volumes_mm3"]
    assert cold["total"] == cold["annulus"] + cold["bottom"] + cold["fillet"]
    mouth, floor = math.sqrt(1.5**2 - 0.65**2), 0.3
    assert cold["annulus"] == pytest.approx(math.pi * (0.65**2 - 0.6**2) * (mouth + floor))
    assert everything(place) == ["mercury.toml"]
    written = ask("fill", "mercury.toml", "--json", "--out", "a/b", "--no-pictures")
    assert json.loads(written.stdout) == document
    assert everything(place / "a/b") == ["fill.txt", "result.json"]


@pytest.mark.parametrize(
    ("filler", "words"),
    [
        ("sheet_mm = 0.2", 'filler.sheet_mm = 0.2: is the thickness of sheet; set form = "sheet"'),
        ('form = "sheet"\nsheet_mm = 5', "filler.sheet_mm = 5: must be between 0.02 and 2 mm"),
        ('form = "sheet"\nlength_mm = 5', "filler.length_mm = 5: is a length of wire"),
        ("sheet_in = 9", "filler.sheet_in = 9: is 228.6 mm: must be between 0.02 and 2 mm"),
    ],
)
def test_what_does_not_go_together_is_refused(place, filler, words):
    (place / "mercury.toml").write_text(f"{SMALLEST}[filler]\n{filler}\n", encoding="utf-8")
    answer = ask("fill", "mercury.toml")
    assert answer.exit_code == 2
    assert answer.stdout == ""
    assert words in " ".join(answer.stderr.split())
    assert "Traceback" not in answer.stderr
    assert everything(place) == ["mercury.toml"]


def test_a_missing_case_and_a_file_in_the_way_are_refused(place):
    answer = ask("fill", "venus.toml")
    assert answer.exit_code == 2
    assert "venus.toml: no such file" in answer.stderr
    (place / "mercury-fill").write_text("mine")
    answer = ask("fill", "mercury.toml")
    assert answer.exit_code == 2
    assert "is a file, not a folder" in " ".join(answer.stderr.split())
    assert (place / "mercury-fill").read_text() == "mine"


def test_a_fault_is_told_with_exit_1(place, monkeypatch):
    def broken(setup):
        raise RuntimeError("no\nluck")

    monkeypatch.setattr(thermo.study.fill, "fill", broken)
    answer = ask("fill", "mercury.toml", "--json")
    assert answer.exit_code == 1
    assert answer.stdout == ""
    assert "RuntimeError: no luck" in " ".join(answer.stderr.split())


def test_help_names_the_command():
    assert "fill" in ask("--help").stdout
    assert "how much filler" in " ".join(ask("fill", "--help").stdout.split())
