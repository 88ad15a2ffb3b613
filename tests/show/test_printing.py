import io
import sys

import pytest
from rich.console import Console
from rich.text import Text

from thermo.show.card.report import heat_report
from thermo.show.documents.listing import LISTS
from thermo.show.printing import NARROWEST, WIDTH, Screened, as_text, columns, put, terminal
from thermo.show.tables.compare import compare_text
from thermo.show.tables.listing import list_text
from thermo.study.answer import Answer


def narrow(content, width):
    console = Console(file=io.StringIO(), width=width, force_terminal=False)
    console.print(Screened(content))
    return console.file.getvalue()


def lost(content, width):
    """Words of a content that cannot be read where it is printed so narrow."""
    shown = narrow(content, width)
    letters = "".join(shown.split())
    assert all(len(line) <= width for line in shown.splitlines())
    return [word for word in as_text(content).split() if word not in letters]


@pytest.mark.parametrize("width", [40, 20])
def test_no_word_is_lost_on_a_narrow_screen(run, compared, width):
    found, case = run()
    assert lost(heat_report(Answer(found, case)), width) == []
    assert lost(compare_text(*compared), width) == []
    for name in LISTS:
        assert lost(list_text(name), width) == []


def test_a_table_too_narrow_is_told_row_by_row():
    table = columns("Strategy", "Ready", words=("Strategy",))
    table.add_row(Text("round"), "37 s")
    table.add_row(Text("ball-then-mouth"), "never")
    assert "Strategy" in narrow(table, 40).splitlines()[0]
    assert "Ready" in narrow(table, 40).splitlines()[0]
    lines = "Strategy:|round|Ready:|37 s||Strategy:|ball-then-mouth|Ready:|never|"
    assert narrow(table, 18).splitlines() == lines.split("|")


@pytest.mark.parametrize("columns", ["0", "-5", "xyz", "²", "1", "", "99999999999999999999"])
def test_a_senseless_width_does_no_harm(monkeypatch, columns):
    monkeypatch.setenv("COLUMNS", columns)
    monkeypatch.setenv("LINES", columns)
    assert NARROWEST <= terminal().width <= WIDTH


def test_a_width_given_is_kept_to(monkeypatch):
    monkeypatch.setenv("COLUMNS", "47")
    assert terminal().width == 47


def test_nothing_steers_the_screen(monkeypatch):
    evil = "a\x1b[31mb\x9bc\u202ed\x7fe"
    assert as_text(Text(evil)) == "a [31mb c d e\n"
    screen = io.StringIO()
    screen.isatty = lambda: True
    monkeypatch.setattr(sys, "stdout", screen)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    put(Text(evil, "bold"))
    assert screen.getvalue() == "\x1b[1ma [31mb c d e\x1b[0m\n"
