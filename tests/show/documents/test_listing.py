import pytest
from asking import values

from thermo.matter import filler_names, get_filler, get_torch_kind, sources
from thermo.show.documents.listing import LISTS, list_document
from thermo.show.printing import WIDTH, as_text
from thermo.show.tables.listing import list_text


def flat(text):
    return " ".join(text.split())


@pytest.mark.parametrize("what", LISTS)
def test_every_value_has_a_source_and_says_how_it_was_reached(what):
    document = values(list_document(what))
    assert document["schema"] == "brazeclock/list/1"
    assert document["list"] == what
    titles = {source.title for source in sources().values()}
    assert document["entries"]
    for entry in document["entries"]:
        assert entry["name"]
        assert entry["properties"]
        for line in entry["properties"]:
            assert line["source"] in titles
            assert line["provenance"]
            assert line["value"] not in ("", None)


@pytest.mark.parametrize("what", LISTS)
def test_text_names_every_entry_within_80_columns(what):
    text = as_text(list_text(what))
    assert max(map(len, text.splitlines())) <= WIDTH
    assert not text.startswith("\n")
    for entry in values(list_document(what))["entries"]:
        assert any(line.startswith(entry["name"]) for line in text.splitlines())
        if entry["flag"]:
            assert flat(entry["flag"]) in flat(text)
    for note in LISTS[what][1]:
        assert note in flat(text)


def test_cadmium_is_flagged_and_only_cadmium():
    flagged = {e["name"] for e in values(list_document("fillers"))["entries"] if e["flag"]}
    assert flagged == {name for name in filler_names() if get_filler(name).cadmium}
    assert flagged
    for entry in values(list_document("fillers"))["entries"]:
        if entry["flag"]:
            assert "cadmium" in entry["flag"]
            assert "Do not use it" in entry["flag"]


def test_colours_differ_between_tables_and_say_so():
    entries = {entry["name"]: entry for entry in values(list_document("colours"))["entries"]}
    dull = {
        name: next(line["low"] for line in entry["properties"] if line["name"] == "cherry red")
        for name, entry in entries.items()
        if any(line["name"] == "cherry red" for line in entry["properties"])
    }
    assert len(dull) == 2
    assert max(dull.values()) - min(dull.values()) > 50
    assert "differ by up to 150 K" in flat(as_text(list_text("colours")))
    assert "temper" in entries


def test_makers_read_grams_and_millimetres_where_the_json_keeps_the_tables_units():
    kind = get_torch_kind("pocket")
    text = flat(as_text(list_text("torches")))
    assert "fuel burnt 20 g/h (10 to 30)" in text
    assert "burner's mouth 2.8 mm (2 to 4.5)" in text
    pocket = values(list_document("torches"))["entries"][0]["properties"][0]
    assert (pocket["value"], pocket["unit"]) == (kind.fuel_rate.value, "kg/s")


@pytest.mark.parametrize("what", LISTS)
def test_text_tells_each_source_once_under_its_number(what):
    text = as_text(list_text(what))
    shown, _, notes = text.partition("\nSources:\n")
    told = [
        line["source"]
        for entry in values(list_document(what))["entries"]
        for line in entry["properties"]
    ]
    none = {source.title for source in sources().values() if source.read == "none"}
    titles = list(dict.fromkeys(title for title in told if title not in none))
    numbered = flat(notes)
    for number, title in enumerate(titles, 1):
        assert f"[{number}]" in shown
        assert numbered.count(f"[{number}] {title}") == 1
        assert title not in flat(shown)
    assert f"[{len(titles) + 1}]" not in text
