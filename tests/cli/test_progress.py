import io
import json
import re
import sys
from pathlib import Path

import pytest
from asking import SMALLEST, ask, everything

from thermo.cli import progress as cli_progress
from thermo.cli.progress import counting

HOUR = '[[strategy]]\nname = "x"\n[[strategy.phase]]\nuntil = "filled"\nmax_s = 3600\n'
NEEDLE = SMALLEST.replace("= 3", "= 1").replace("= 1.2", '= 0.3\nmaterial = "copper"') + HOUR


class Screen(io.StringIO):
    def isatty(self):
        return True


def drawn(monkeypatch, times, screen=Screen):
    """What a bar shows when it is told at some times [s]."""
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setattr(sys, "stderr", screen())
    now = [0.0]
    with counting("heating ...", lambda: now[0]) as tell:
        for now[0] in times:
            tell(now[0], 10.0)
    return sys.stderr.getvalue()


def test_a_quick_run_shows_nothing(monkeypatch):
    assert drawn(monkeypatch, [0.5, 1.0, 1.99]) == ""


def test_a_bar_comes_after_two_seconds_and_goes(monkeypatch):
    told = drawn(monkeypatch, [1.0, 2.5, 5.0])
    assert "heating ..." in told
    assert "━" in told
    assert " 50%" in told
    assert told.endswith("\x1b[?25h\r\x1b[1A\x1b[2K")  # cursor back, the bar's line wiped


def test_a_bar_is_not_drawn_at_every_step(monkeypatch):
    few = drawn(monkeypatch, [2.5]).count("heating")
    assert drawn(monkeypatch, [2.5 + 1e-4 * n for n in range(500)]).count("heating") <= 2 * few + 2


def test_no_bar_without_a_terminal(monkeypatch):
    assert drawn(monkeypatch, [5.0, 10.0], io.StringIO) == ""


COMMANDS = [
    ("heat", "mercury.toml", "--members", "0"),
    ("compare", "mercury.toml", "--workers", "2", "--members", "0"),
    ("rods", "mercury.toml", "--rods", "1.2", "--workers", "1", "--members", "0"),
    ("sizes", "mercury.toml", "--balls", "3", "--workers", "1", "--members", "0"),
    ("diagnose", "mercury.toml", "--seen", "gap-dry", "--workers", "1"),
]


@pytest.mark.parametrize("words", COMMANDS, ids=[words[0] for words in COMMANDS])
def test_every_command_that_computes_foretells_and_counts(place, monkeypatch, words):
    ticks = []

    def bar(text):
        from contextlib import nullcontext

        return nullcontext(lambda done, total: ticks.append((done, total)))

    monkeypatch.setattr(cli_progress, "_bar", bar)
    monkeypatch.setattr(cli_progress, "AFTER_S", 0.0)
    monkeypatch.setattr(cli_progress, "BETWEEN_S", 0.0)
    monkeypatch.setattr(cli_progress, "LONG_S", 0.0)
    monkeypatch.setattr(cli_progress, "_on_screen", lambda: True)
    answer = ask(*words, "--json", "--accuracy", "quick")
    assert answer.exit_code == 0, answer.output
    json.loads(answer.stdout)
    pattern = (
        r"mercury.toml: may take some \d+ s to compute, should the flame have to stay for \d+ s\n"
    )
    assert re.fullmatch(pattern, answer.stderr)
    assert ticks
    assert all(0 <= done <= total for done, total in ticks)


def test_what_takes_too_long_is_refused_before_it_begins(place):
    Path("needle.toml").write_text(NEEDLE, encoding="utf-8")
    answer = ask("heat", "needle.toml", "--accuracy", "fine")
    assert answer.exit_code == 2
    assert answer.stdout == ""
    assert "needle.toml: strategy[1].phase[1].max_s = 3600: may take some" in answer.stderr
    assert "to compute, 30 min is the most; give at most" in answer.stderr
    assert everything(place) == ["mercury.toml", "needle.toml"]


def test_a_study_adds_its_runs_up(place, monkeypatch):
    monkeypatch.setattr(cli_progress, "MOST_S", 1.5)
    quick = ("--accuracy", "quick", "--members", "0")
    assert ask("rods", "mercury.toml", "--rods", "1.2", *quick).exit_code == 0
    answer = ask("rods", "mercury.toml", "--rods", "1.2,1.1,1,0.9,0.8,0.7", *quick)
    assert answer.exit_code == 2
    assert "rod.diameter_mm = 1.2: may take" in answer.stderr


def test_members_are_foretold_with_the_runs(place, monkeypatch):
    told = []
    monkeypatch.setattr(
        "thermo.cli.studies.foretell", lambda case, runs, workers: told.append(runs)
    )
    words = ("rods", "mercury.toml", "--rods", "1.2", "--accuracy", "quick", "--workers", "1")
    for members in ("0", "2"):
        assert ask(*words, "--members", members, "--no-pictures", "--force").exit_code == 0
    (plain,), (alone, drawn) = told
    assert plain == alone and drawn.cells == pytest.approx(0.9 * plain.cells, abs=1)
