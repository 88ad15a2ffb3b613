"""Comparing, telling and writing: what passes, what misses, what a reader sees."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from validation import checks, report
from validation.__main__ import main
from validation.checks import EVERY, NotRun, Row, Tolerance, run_check


def row(**changes: object) -> Row:
    plain = Row(
        id="Z01",
        folder="none",
        area="1 a <b>",
        title="t & u",
        source="<script>alert(1)</script>",
        provenance="p | q",
        ours="o",
        note="",
        inputs={},
        axis={"name": "time", "unit": "s", "values": [1, 2, 3]},
        expected={"x": np.array([10.0, 20.0, 30.0])},
        tolerances={EVERY: Tolerance(relative=0.01, above=5.0, words="of the rise")},
        units={EVERY: "K"},
    )
    return replace(plain, **changes)


@pytest.mark.parametrize(
    ("tolerance", "bounds"),
    [
        (Tolerance(absolute=0.5), [0.5, 0.5]),
        (Tolerance(relative=0.01), [0.1, 0.2]),
        (Tolerance(relative=0.01, above=20.0), [0.1, 0.0]),
        (Tolerance(absolute=0.15, relative=0.01), [0.15, 0.2]),
        (Tolerance(relative=0.01, scale=680.0), [6.8, 6.8]),
        (Tolerance(relative=0.01, series="other"), [1.0, 2.0]),
    ],
)
def test_bounds(tolerance, bounds):
    expected, others = np.array([10.0, 20.0]), {"other": np.array([100.0, 200.0])}
    np.testing.assert_allclose(tolerance.bound(expected, others), bounds)


@pytest.mark.parametrize(
    ("ours", "passed"),
    [
        ([10.0, 20.0, 30.0], [True, True, True]),
        ([10.04, 20.16, 30.24], [True, False, True]),
        ([10.0, math.nan, 30.0], [True, False, True]),
    ],
)
def test_a_number_passes_within_its_bound_only(ours, passed):
    check = run_check(row(), lambda _: {"x": ours})
    assert [line.passed for line in check.lines] == passed
    assert check.passed is all(passed)


def test_at_least():
    least = row(axis={}, expected={"x": np.array([1.9])}, tolerances={EVERY: Tolerance(least=True)})
    passed = [run_check(least, lambda _, x=x: {"x": x}).passed for x in (1.89, 1.9, 2.4)]
    assert passed == [False, True, True]


@pytest.mark.parametrize("ours", [{}, {"x": [1.0]}, {"x": [1, 2, 3], "y": 1.0}])
def test_other_series_than_the_row_has_are_refused(ours):
    with pytest.raises(ValueError, match="Z01"):
        run_check(row(), lambda _: ours)


def test_a_library_that_is_not_there_is_said():
    check = run_check(row(), lambda _: {"x": [10, 20, 30]}, ("no-such-library-9", lambda _: {}))
    assert len(check.lines) == 3 and "not installed" in check.skipped


def test_report_tells_all_and_escapes_all(tmp_path):
    good = run_check(row(), lambda _: {"x": [10, 20, 30]})
    bad = run_check(row(id="Z02"), lambda _: {"x": [10, 20, 99]})
    left_out = [NotRun("Z03", "1 a <b>", "s", "because | <i>")]
    report.write_report(tmp_path, [good, bad], left_out)
    page = (tmp_path / "report.html").read_text(encoding="utf-8")
    text = (tmp_path / "report.md").read_text(encoding="utf-8")
    assert "<script>" not in page and "&lt;script&gt;" in page and "<i>" not in page
    assert "http" not in page.replace("data:image/png;base64", "")
    assert page.count("data:image/png;base64,") == 2
    for told in (page, text):
        assert "1 passed, 1 missed, 1 not run" in told
        assert all(word in told for word in ("Z01", "Z02", "Z03", "because", "+69"))
    assert page.count(">miss<") == 1 and text.count("| miss |") == 1
    assert "because \\| <i>" in text
    for key in ("Z01", "Z02"):
        assert (tmp_path / "curves" / f"{key}.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(("rows", "code", "line"), [("P01,W01", 0, "2 passed, 0 missed")])
def test_command(tmp_path, capsys, rows, code, line):
    assert main(["--rows", rows, "--out", str(tmp_path / "new")]) == code
    assert line in capsys.readouterr().out.splitlines()[-1]
    assert (tmp_path / "new" / "report.html").exists()


def test_command_fails_where_a_row_misses(tmp_path, capsys, monkeypatch):
    strict = row(axis={}, expected={"x": np.array([10.0])})
    monkeypatch.setattr(
        "validation.__main__.all_rows", lambda: [(strict, lambda _: {"x": 11.0}, None)]
    )
    assert main(["--out", str(tmp_path)]) == 1
    out = capsys.readouterr().out
    assert "x: 11, expected 10 K" in out and f"0 passed, 1 missed, {len(checks.not_run())}" in out


def test_command_refuses_rows_it_does_not_know(capsys):
    with pytest.raises(SystemExit) as stopped:
        main(["--rows", "P01,Q99"])
    assert stopped.value.code == 2 and "Q99" in capsys.readouterr().err
