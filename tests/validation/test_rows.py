"""Every row of published numbers that is quickly run, at the tolerance given with it.

The slower ones are run by `python -m validation` only.
"""

from __future__ import annotations

import pytest

from validation.checks import EVERY, all_rows, folders, not_run, read_rows, run_check

SLOW = ("M01", "M02", "M04", "T03")
ROWS = {row.id: (row, compute, library) for row, compute, library in all_rows()}
# Share of the given tolerance that ours keep to where it is wide.
TIGHTER = {"P03": 0.01, "P05": 0.1}
AREAS = "PGTFCMSKWHUVRXB"


@pytest.mark.parametrize("key", [key for key in ROWS if key not in SLOW])
def test_row(key):
    row, compute, _ = ROWS[key]
    check = run_check(row, compute)
    share = TIGHTER.get(key, 1.0)
    wrong = [
        line
        for line in check.lines
        if not line.passed or (share < 1 and abs(line.difference) > share * line.bound)
    ]
    assert not wrong, wrong


@pytest.mark.parametrize("key", [key for key, (*_, library) in ROWS.items() if library])
def test_row_by_a_library(key):
    row, compute, library = ROWS[key]
    pytest.importorskip(library[0], reason="an optional second opinion")
    check = run_check(row, compute, library)
    by_library = [line for line in check.lines if f"by {library[0]}" in line.what]
    assert by_library and all(line.passed for line in by_library)


def test_every_row_is_run_once_or_says_why_not():
    """All 72 rows of the catalogue, and two of a whole braze."""
    ids = [row.id for folder in folders() for row in read_rows(folder)]
    ids += [row.id for row in not_run()]
    assert len(ids) == len(set(ids)) == 74
    assert all(row.reason and row.source for row in not_run())


@pytest.mark.parametrize("key", list(ROWS))
def test_row_names_its_source_provenance_and_what_of_ours_it_checks(key):
    row = ROWS[key][0]
    assert row.source and row.provenance and row.ours and row.title
    assert row.id[0] in AREAS and row.area.split()[0].isdigit()
    assert set(row.tolerances) <= {EVERY, *row.expected}
    assert all(t.least or t.absolute or t.relative for t in row.tolerances.values())
