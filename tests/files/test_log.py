"""Logs as CSV, TOML and in one line; what is wrong is told with its row and key."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermo.files import CaseError
from thermo.files.log import LogRow, read_log, said

HEAD = "ball_diameter_mm,rod_diameter_mm,flux_clear_s,filled_s,remark\n"

WATER = "ball_diameter_mm,rod_diameter_mm,heated_s,water_ml,water_before_C,water_after_C\n"


@pytest.fixture
def log(tmp_path):
    def write(text, name="log.csv"):
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return path

    return write


def refused(path):
    with pytest.raises(CaseError) as told:
        read_log(path)
    return str(told.value)


def test_csv_numbers_texts_and_empty_cells(log):
    rows = read_log(log(HEAD + '6,2.4,41,62,"wind, a little"\n\n4,1.6,,22,\n'))
    assert [row.flux_clear_s for row in rows] == [41.0, None]
    assert rows[0].remark == "wind, a little" and rows[1].remark == ""
    assert [row.kind for row in rows] == ["joint", "joint"]


def test_semicolons_go_with_decimal_commas_and_inches_with_their_key(log):
    (row,) = read_log(log("ball_diameter_in;rod_diameter_mm;filled_s\n0,25;2,4;60\n"))
    assert row.ball_diameter_mm == pytest.approx(6.35) and row.rod_diameter_mm == 2.4


def test_toml_rows_of_every_kind(log):
    text = (
        "[[row]]\nball_diameter_mm = 6\nrod_diameter_mm = 1\nat_s = 20\ncolour = 'Dark Blue'\n"
        "[[row]]\nball_diameter_mm = 6\nrod_diameter_mm = 1\nheated_s = 30\nwater_ml = 10\n"
        "water_before_C = 20\nwater_after_F = 90\n"
    )
    ball, water = read_log(log(text, "log.toml"))
    assert (ball.kind, ball.colour) == ("ball", "dark blue")
    assert water.kind == "water" and water.water_after_C == pytest.approx(32.22, abs=0.01)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "has no rows"),
        (HEAD, "has no rows"),
        ("a,b\n1,2\n", "no header of ours"),
        (HEAD + "6,2.4,41,62,a,b\n", "row 1 has 6 cells, the header 5"),
        (HEAD + "6,2.4,,,\n", "row[1].flux_clear_s: is missing; give at least one"),
        (HEAD + "6,2.4,62,41,\n", "row[1].filled_s: comes out of order"),
        (HEAD + "6,,41,,\n", "row[1].rod_diameter_mm: is missing"),
        (HEAD + "600,2.4,41,,\n", "row[1].ball_diameter_mm = 600: must be between 1 and 30 mm"),
        (HEAD + "6,2.4,soon,,\n", 'row[1].flux_clear_s = "soon": must be a number'),
        (HEAD.replace("filled_s", "filed_s") + "6,2.4,41,62,\n", "nearest known is filled_s"),
        (HEAD + '6,2.4,41,62,"open\n', "no CSV"),
        ("ball_diameter_mm,rod_diameter_mm,thermocouple_C\n6,1,400\n", "row[1].at_s: is missing"),
        (
            "ball_diameter_mm,rod_diameter_mm,filled_s,told_low_s\n6,2.4,60,50\n",
            "give told_low_s and told_high_s",
        ),
        (
            WATER + "6,1,30,10,20,19\n",
            "must be above water_before_C",
        ),
    ],
)
def test_faults_are_told_with_row_and_key(log, text, told):
    assert told in refused(log(text))


def test_more_rows_than_a_log_may_have_are_refused(log):
    assert "at most 500" in refused(log(HEAD + "6,2.4,41,62,\n" * 501))


@pytest.mark.parametrize(
    "text",
    ["6 on 2.4: clear 41, filled 62", "6mm on 2.4 mm: clear 41 s and filled 62 s"],
)
def test_one_joint_in_words(text):
    (row,) = said(text)
    assert (row.ball_diameter_mm, row.rod_diameter_mm) == (6.0, 2.4)
    assert (row.flux_clear_s, row.filled_s) == (41.0, 62.0)


@given(st.text(max_size=40))
def test_any_words_are_read_or_refused_in_a_line(text):
    refusals, rows = [], []
    try:
        rows = said(text)
    except CaseError as fault:
        refusals = [str(fault)]
    assert all(isinstance(row, LogRow) for row in rows)
    assert bool(rows) != bool(refusals) and all(told.startswith("--saw") for told in refusals)
