"""fit-torch: from one line of words, from a log, and how past bands did."""

import json

import pytest
from asking import ask, everything

from thermo.files import read_torch_file
from thermo.study import surrogate

LOG = (
    "ball_diameter_mm,rod_diameter_mm,flux_clear_s,filled_s,told_low_s,told_high_s\n"
    "3,1.2,9,13,8,20\n2,0.8,,6,7,9\n"
)


@pytest.fixture(autouse=True)
def few(monkeypatch):
    monkeypatch.setattr(surrogate, "DRAWS", 32)


def test_one_line_of_words_leaves_a_torch_that_heat_takes(place):
    answer = ask("fit-torch", "--saw", "3 on 1.2: clear 9", "--workers", "1")
    assert answer.exit_code == 0, answer.output
    assert "Your torch heats" in answer.stdout and "Goggles" in answer.stdout
    names = ["fit.txt", "result.json", "torch.png", "torch.toml"]
    assert {f"my-torch-fit-torch/{name}" for name in names} <= set(everything(place))
    torch = place / "my-torch-fit-torch/torch.toml"
    assert read_torch_file(torch)["torch"]["kind"] == "pocket"
    words = ("--ball", "3", "--rod", "1.2", "--torch", str(torch))
    heat = ask("heat", *words, "--accuracy", "quick", "--members", "0", "--json")
    assert heat.exit_code == 0, heat.output


def test_a_log_as_json_and_how_past_bands_did(place):
    (place / "log.csv").write_text(LOG, encoding="utf-8")
    answer = ask("fit-torch", "log.csv", "--workers", "1", "--json")
    assert answer.exit_code == 0, answer.output
    found = json.loads(answer.stdout)
    assert found["schema"] == "brazeclock/fit-torch/1"
    assert [row["row"] for row in found["rows"]] == [1, 1, 2]
    assert {factor["key"] for factor in found["factors"]} == {"torch", "transfer"}
    assert found["score"]["count"] == 2 and found["score"]["early"] == 1
    assert everything(place) == ["log.csv", "mercury.toml"]
    answer = ask("fit-torch", "log.csv", "--score")
    assert "1 of 2 joints filled within the band" in answer.stdout
    assert "log-fit-torch/score.txt" in everything(place)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "give a LOG, or --saw, not both"),
        (("log.csv", "--saw", "3 on 1.2: clear 9"), "give a LOG, or --saw, not both"),
        (("--saw", "three on one: clear 9"), "say it as in"),
        (("--saw", "3 on 1.2: seen 9"), "say one of dry, milky, clear, filled"),
        (("--saw", "3 on 1.2: clear 9", "--torch", "huge"), "'huge' is not known"),
        (("gone.csv",), "no such file"),
        (("--saw", "3 on 2.9: clear 9"), "mm of wall"),
        (("--saw", "12 on 4: filled 1"), "hardly a torch of the kind does this"),
    ],
)
def test_what_cannot_be_used_is_told_and_leaves_nothing(words, told, place):
    answer = ask("fit-torch", *words, "--workers", "1")
    assert answer.exit_code == 2
    assert told in " ".join(answer.stderr.split())
    assert everything(place) == ["mercury.toml"]


def test_practice_leaves_a_programme_and_a_log(place):
    quick = ("--accuracy", "quick", "--members", "0")
    answer = ask("practice", "mercury.toml", *quick)
    assert answer.exit_code == 0, answer.output
    assert "1. A plain ball to clear flux" in answer.stdout
    kept = {f"mercury-practice/{name}" for name in ("practice.txt", "log.csv", "result.json")}
    assert kept <= set(everything(place))
    answer = ask("practice", "--ball", "3", "--rod", "1.2", "--torch", "pocket", *quick, "--json")
    assert json.loads(answer.stdout)["schema"] == "brazeclock/practice/1"


def test_plan_of_a_list_and_what_is_wrong_with_one(place):
    (place / "build.csv").write_text("part,count,case\nMercury,2,mercury.toml\n", encoding="utf-8")
    quick = ("--accuracy", "quick", "--members", "0")
    answer = ask("plan", "build.csv", *quick)
    assert answer.exit_code == 0, answer.output
    assert "2 joints and 0 spares" in answer.stdout
    kept = {f"build-plan/{name}" for name in ("plan.txt", "log.csv", "result.json")}
    assert kept <= set(everything(place))
    document = json.loads(ask("plan", "build.csv", *quick, "--json").stdout)
    assert document["schema"] == "brazeclock/plan/1"
    (place / "wrong.csv").write_text("part,count,case\nMars,2,mars.toml\n", encoding="utf-8")
    answer = ask("plan", "wrong.csv", *quick)
    assert answer.exit_code == 2 and "no such file" in answer.stderr


def test_sheet_writes_one_page(place):
    quick = ("--accuracy", "quick", "--members", "4")
    answer = ask("sheet", "mercury.toml", *quick, "--way", "mouth, far side")
    assert answer.exit_code == 0, answer.output
    assert answer.stdout == "Files are in the folder mercury-sheet\n"
    assert {"mercury-sheet/sheet.html", "mercury-sheet/result.json"} <= set(everything(place))
    page = (place / "mercury-sheet/sheet.html").read_text(encoding="utf-8")
    assert page.startswith("<!doctype html>") and "Count from striking the flame" in page
