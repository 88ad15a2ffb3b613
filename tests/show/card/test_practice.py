"""The programme on spares and the log that it leaves."""

from dataclasses import replace

import pytest
from asking import values

from thermo.files import case_from_options
from thermo.files.log import read_log
from thermo.show.card.practice import log_text, practice_text
from thermo.show.documents.practice import practice_document
from thermo.show.printing import as_text
from thermo.show.wording.logs import HEAD
from thermo.study.choose import way_for
from thermo.study.practice import TRIES, lead, plain_ball, practice


@pytest.fixture(scope="module")
def found():
    case = case_from_options(3.0, 1.2, "pocket")
    return practice(case, way_for(case, "mouth, far side"), "quick", 4)


def test_a_plain_ball_has_the_joints_heat_but_for_hole_and_rod(found):
    setup = found.joint.setup
    plain = plain_ball(setup)
    assert plain.joint.ball_volume > setup.joint.ball_volume
    assert plain.joint.rod_diameter < setup.joint.rod_diameter
    assert (plain.torch, plain.coat, plain.flux) == (setup.torch, setup.coat, setup.flux)
    assert found.plain.off_s == pytest.approx(found.plain.stage("flux-clear").seen_s, abs=1.0)
    assert 0.5 < lead(found) < 1.0


def test_the_programme_has_times_bands_what_passes_and_cautions(found):
    text = " ".join(as_text(practice_text(found)).split())
    for words in ("Cautions:", "Watch:", "Passes:", "sawn open", "Flame on the mouth", "vice"):
        assert words in text
    assert f"{1 / lead(found):.1f} times this count" in text
    assert "Count from striking the flame" in text
    bare = replace(found, joint_spread=None, plain_spread=None)
    assert "No band" in as_text(practice_text(bare))


def test_the_log_has_a_line_for_each_try_and_reads_once_filled(found, tmp_path):
    lines = log_text(found).splitlines()
    assert lines[0] == ",".join(HEAD) and len(lines) == 2 + 2 * TRIES
    filled = [line.replace(",,,,", ",,,9,", 1) if "plain" in line else line for line in lines]
    filled = [line.replace('",,,,', '",,9,12,', 1) for line in filled]
    path = tmp_path / "log.csv"
    path.write_text("\n".join(filled), encoding="utf-8")
    rows = read_log(path)
    assert [row.flux_clear_s for row in rows] == [9.0] * (1 + 2 * TRIES)
    assert rows[-1].told_low_s < rows[-1].told_high_s and rows[-1].way == "mouth, far side"


def test_document_has_both_pieces(found):
    document = values(practice_document(found))
    assert document["schema"] == "brazeclock/practice/1"
    assert document["clear_share"] == pytest.approx(lead(found))
    assert document["plain"]["spread"]["members"] == document["joint"]["spread"]["members"] == 4
