"""The command diagnose, as a maker types it."""

import json

import asking
import pytest
from asking import everything

import thermo.study.diagnose
from thermo.study.causes import SYMPTOMS

QUICK = ("--accuracy", "quick", "--workers", "1")


def ask(*words):
    return asking.ask("diagnose", *words)


def test_table_json_and_picture_are_written(place):
    answer = ask("mercury.toml", "--seen", "black-flux", "--seen", "burst", *QUICK)
    assert answer.exit_code == 0, answer.output
    assert answer.stderr == ""
    folder = place / "mercury-diagnose"
    assert everything(folder) == ["diagnose.png", "result.json", "table.txt"]
    text = (folder / "table.txt").read_text(encoding="utf-8")
    assert answer.stdout == f"{text}\nFiles are in the folder mercury-diagnose\n"
    document = json.loads((folder / "result.json").read_text())
    assert document["schema"] == "brazeclock/diagnose/1"
    assert [seen["symptom"] for seen in document["seen"]] == ["black-flux", "burst"]


def test_json_is_all_there_is_and_nothing_is_written(place):
    answer = ask("mercury.toml", "--seen", "black-flux", *QUICK, "--json")
    assert (answer.exit_code, answer.stderr) == (0, "")
    document = json.loads(answer.stdout)
    assert set(document) == {"schema", "case", "title", "version", "cautions", "seen", "scale"}
    assert document["case"] == "mercury"
    assert everything(place) == ["mercury.toml"]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--seen", "gap-dri"), "'gap-dri' is not known (nearest: gap-dry); give ran-outside, gap"),
        (("--seen", "Burst"), "'Burst' is not known (nearest: burst); give"),
        (("--seen", "42"), f"'42' is not known; give {', '.join(SYMPTOMS)}"),
        (("--seen", "burst", "--seen", ""), "'' is not known; give"),
        ((), "Missing option '--seen'"),
    ],
)
def test_what_cannot_be_used_is_refused(place, words, message):
    answer = ask("mercury.toml", *words, *QUICK)
    assert answer.exit_code == 2, answer.output
    assert answer.stdout == ""
    assert message in " ".join(answer.stderr.split())
    assert everything(place) == ["mercury.toml"]


def test_a_case_that_cannot_be_read_is_refused(place):
    answer = ask("venus.toml", "--seen", "burst")
    assert answer.exit_code == 2
    assert "venus.toml" in answer.stderr


def test_a_failed_run_exits_with_1(place, monkeypatch):
    def broken(*args, **told):
        raise RuntimeError("no more")

    monkeypatch.setattr(thermo.study.diagnose, "diagnose", broken)
    answer = ask("mercury.toml", "--seen", "burst", *QUICK)
    assert answer.exit_code == 1
    assert answer.stdout == ""
    assert "no more" in answer.stderr
    assert everything(place) == ["mercury.toml"]


def test_help_names_every_symptom():
    told = " ".join(ask("--help").output.split())
    for name in SYMPTOMS:
        assert name in told.replace("- ", "-")
