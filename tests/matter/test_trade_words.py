"""Words of the trade lead to the right entry, or to a question."""

from pathlib import Path

import pytest

from thermo.files import CaseError
from thermo.files.case import case_from_tables
from thermo.matter import UnknownName, get_filler, get_solid, get_torch_kind
from thermo.matter.records import document, fold, trade_words

LOOKUPS = {"solid": get_solid, "filler": get_filler, "torch": get_torch_kind}
ATTRIBUTE = {"solid": "name", "filler": "iso", "torch": "name"}
WORDS = [(kind, word) for kind, words in document("trade_words.toml").items() for word in words]


@pytest.mark.parametrize(("kind", "word"), WORDS)
def test_every_word_means_an_entry_or_asks(kind, word):
    told = trade_words(kind)[fold(word)]
    assert set(told) in ({"means"}, {"asks"})
    if "means" in told:
        assert getattr(LOOKUPS[kind](word.upper()), ATTRIBUTE[kind]) == told["means"]
        return
    with pytest.raises(UnknownName) as fault:
        LOOKUPS[kind](word)
    assert fault.value.asks == told["asks"]


def test_no_word_hides_an_entry():
    for kind, word in WORDS:
        with pytest.raises(UnknownName):
            LOOKUPS[kind](word + " of no kind")
        assert fold(word) not in {fold(name) for name in UnknownName(kind, "", ()).known}


def case_with(tables):
    plain = {"ball": {"diameter_mm": 6}, "rod": {"diameter_mm": 2.4}, "torch": {"kind": "pocket"}}
    return case_from_tables(
        {name: plain.get(name, {}) | tables.get(name, {}) for name in {**plain, **tables}},
        "case.toml",
        "case",
        Path(),
    )


def test_a_case_takes_the_word_and_asks_where_it_means_several():
    assert case_with({"ball": {"material": "chrome steel"}}).ball.material == "100Cr6"
    assert case_with({"torch": {"kind": "propane torch"}}).torch.kind == "hand"
    with pytest.raises(CaseError, match=r"which steel\? carbon-steel for mild steel"):
        case_with({"ball": {"material": "steel"}})
    with pytest.raises(CaseError, match="trade names tell little"):
        case_with({"filler": {"alloy": "silver solder"}})
