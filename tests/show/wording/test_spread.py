"""How sure the times are, on the card, in the report and as JSON values."""

import json
from dataclasses import replace

import pytest
from asking import values

from thermo.braze import braze
from thermo.braze.stages import StageName
from thermo.files import case_from_options, to_setup
from thermo.show.card.bench import card_lines
from thermo.show.card.report import heat_report
from thermo.show.documents.heat import heat_document
from thermo.show.printing import as_text
from thermo.show.wording.spread import (
    CUES,
    FAILS,
    NAMES,
    band_words,
    chances,
    count_line,
    spread_lines,
)
from thermo.study.answer import Answer
from thermo.study.spread import COUNTED, Band, Count, Spread, spread
from thermo.study.trouble import Trouble
from thermo.study.unsure import unsure


@pytest.fixture(scope="module")
def sure():
    case = case_from_options(3.0, 1.2, "pocket")
    run = braze(to_setup(case), "quick")
    return Answer(run, case, spread=spread(run, case, 16, workers=1))


def test_every_key_cue_and_trouble_has_its_words(sure):
    assert set(NAMES) == {one.key for one in unsure(sure.case, sure.run.setup)}
    assert set(CUES) == set(COUNTED)
    assert set(FAILS) == set(Trouble)


def test_bands_in_words():
    assert band_words(Band(38.2, 47.0, 85.9)) == "38 to 85 s"
    assert band_words(Band(38.2, 38.3, 38.4)) == "38 s"
    assert band_words(Band(38.2, 300.0, 800.0)) == "38 s to 13 min"
    assert band_words(Band(38.2, 47.0, None)) == "38 s to never"
    assert band_words(Band(None, None, None)) == "never, for nine in ten"


def test_the_count_leads_the_cues_of_the_card(sure):
    lines = card_lines(sure)
    assert len(lines) <= 34 and max(map(len, lines)) <= 80
    labels = [line[:7].strip() for line in lines]
    assert labels.index("Count") == labels.index("See") - 2
    text = " ".join(" ".join(lines).split())
    assert count_line(sure.spread) in text
    band = sure.spread.counts[0].band
    assert f"{band.middle:.1f} times that count ({band.low:.1f} to {band.high:.1f})" in text
    assert f"({band_words(sure.spread.band(StageName.FILLED))})" in text
    assert "No band" not in text and "In brackets: eight in ten." in text
    assert "No band" in " ".join(card_lines(replace(sure, spread=None)))


def test_where_no_count_holds_the_ring_is_named(sure):
    first = replace(sure.spread.counts[0], holds=False)

    class Edge(Spread):
        filled_share = 0.5
        counts = (first,)

    edge = Edge(*(getattr(sure.spread, name) for name in sure.spread.__dataclass_fields__))
    assert count_line(edge) == (
        "No count to go by: only 50 % of torches of the kind fill it. Go by the ring alone."
    )
    assert any("No count to go by" in line for line in spread_lines(edge))
    edge.__class__.filled_share = 0.0
    assert count_line(edge) == ""
    none = replace(edge, troubles=((Trouble.UNFILLED,),) * edge.count)
    assert chances(none).endswith("none fills it.")
    edge.__class__.filled_share = 1.0
    assert "too near the edge" in count_line(edge)


def test_report_has_all_of_it(sure):
    text = " ".join(as_text(heat_report(sure)).split())
    for line in spread_lines(sure.spread):
        assert " ".join(line.split()) in text
    assert "No band yet" not in text
    assert "What decides when it fills: the torch's strength" in text


def test_chances_name_each_trouble(sure):
    amiss = [(Trouble.SPOILT,)] * 4 + [(Trouble.UNFILLED,)] + [()] * 11
    made = replace(sure.spread, troubles=tuple(amiss))
    assert chances(made) == (
        f"Of {made.count} torches and hands of the kind, 25 % are spoilt on the way, "
        "6 % never fill."
    )
    assert chances(replace(sure.spread, troubles=((),) * 16)).endswith("all fill it.")
    spoilt = replace(sure.spread, troubles=((Trouble.SPOILT,),) * 16)
    assert "none ends well: 100 % are spoilt" in chances(spoilt)


def test_document_has_bands_counts_and_ranges(sure):
    document = values(heat_document(sure))
    assert document["members"] == sure.spread.count == 16
    filled = next(stage for stage in document["stages"] if stage["name"] == "filled")
    band = sure.spread.band(StageName.FILLED)
    assert (filled["low_s"], filled["high_s"]) == pytest.approx((band.low, band.high))
    assert document["count"]["from"] == "flux-clear"
    assert document["count"]["ratio"] == pytest.approx(sure.spread.counts[0].band.middle)
    assert {one["key"] for one in document["spread"]["ranges"]} == set(NAMES)
    assert document["spread"]["words"] == count_line(sure.spread)
    assert json.dumps(document)
    plain = values(heat_document(replace(sure, spread=None)))
    assert plain["members"] == 0 and "spread" not in plain and "count" not in plain
    assert isinstance(sure.spread.counts[0], Count)
