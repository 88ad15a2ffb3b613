"""The data: every number has a source and a provenance."""

import csv
import re
import subprocess
import sys
import tomllib
from itertools import pairwise

import pytest

from thermo.matter import UnknownName, constant, constants, sources
from thermo.matter.records import DATA, Record

GROUPS = ("emissivity", "oxidation", "contact", "filler", "fillet", "coat", "water", "bound-water")


def entries():
    """Every row of a CSV and every TOML table that holds a value or a curve."""
    for path in sorted(DATA.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            for number, row in enumerate(csv.DictReader(file), start=2):
                yield f"{path.name}:{number}", row
    for path in sorted(DATA.glob("*.toml")):
        if path.name != "sources.toml":
            yield from nested(path.name, tomllib.loads(path.read_text(encoding="utf-8")))


def nested(where, content):
    if {"value", "pieces", "table"} & set(content):
        yield where, content
        return
    for key, inner in content.items():
        if isinstance(inner, dict):
            yield from nested(f"{where}:{key}", inner)


def source_keys(row):
    return [key for key in row if key == "source" or key.endswith("_source")]


ENTRIES = dict(entries())


def test_all_data_are_seen():
    assert len(ENTRIES) > 250
    assert "solids.toml:metals:100Cr6:ac1_C" in ENTRIES


@pytest.mark.parametrize("where", ENTRIES)
def test_every_entry_names_a_known_source(where):
    row = ENTRIES[where]
    assert row["source"] in sources()
    assert row["provenance"].strip()
    assert None not in row, "a row has more cells than its head"
    for key in source_keys(row):
        if row[key]:
            assert row[key] in sources()
            assert row[key.replace("source", "provenance")].strip()


@pytest.mark.parametrize("where", [w for w, row in ENTRIES.items() if "value" in row])
def test_every_value_lies_in_its_range(where):
    record = Record.of(ENTRIES[where])
    low, high = record.range
    assert low <= record.value <= high
    assert record.unit
    assert record.low != record.high or record.low is None


def test_what_has_no_source_says_so():
    for where, row in ENTRIES.items():
        if row["source"] == "practice":
            assert "common practice, no source" in row["provenance"], where
        if row["source"] == "assumed":
            assert row["provenance"].startswith("assumed"), where
            assert row["low"], where
            assert row["high"], where
        if row["source"] in sources() and sources()[row["source"]].read == "memory":
            told = ("memory", "read", "calculated", "exact", "from", "about")
            assert any(word in row["provenance"] for word in told), where


def test_every_source_is_used():
    used = {row[key] for row in ENTRIES.values() for key in source_keys(row)}
    named_in_code = {"hse-eis-31"}
    assert set(sources()) - used == named_in_code
    assert {source.read for source in sources().values()} == {
        *("read", "quoted", "memory", "calculated", "none")
    }


def test_no_trade_marks_firms_or_addresses():
    forbidden = re.compile(r"[®™©]|https?:|www\.|\.(com|org|net)\b|\b(GmbH|Ltd|Inc|AG|LLC|Corp)\b")
    for path in DATA.iterdir():
        for line in path.read_text(encoding="utf-8").splitlines():
            assert not forbidden.search(line), (path.name, line)


@pytest.mark.parametrize("group", GROUPS)
def test_groups_of_constants(group):
    assert all(isinstance(record, Record) for record in constants(group).values())


def test_bound_water_of_boric_acid():
    """H3BO3 gives 3/2 H2O: atomic masses H 1.008, B 10.81, O 15.999."""
    water = 2 * 1.008 + 15.999
    acid = 3 * 1.008 + 10.81 + 3 * 15.999
    assert constant("bound-water", "share").value == pytest.approx(1.5 * water / acid, abs=1e-4)
    released = (-1254.5 - 3 * 241.8 + 2 * 1094.3) / (3 * water) * 1e6
    low, high = constant("bound-water", "latent-heat").range
    assert low < released < high


def test_conductances_rise_with_the_state():
    gap = [constant("contact", f"gap-{state}") for state in ("dry", "molten-flux", "filler")]
    assert all(a.high < b.low for a, b in pairwise(gap))
    coat = constants("coat")
    assert coat["conductance-puffed"].high < coat["conductance-molten"].low


def test_unknown_constant():
    with pytest.raises(UnknownName) as caught:
        constant("contact", "gap-dri")
    assert caught.value.nearest == "gap-dry"
    with pytest.raises(UnknownName, match="group of constants"):
        constant("contacts", "gap-dry")


def test_import_is_light():
    """Neither scipy nor plotting is loaded, and no data are read, before they are needed."""
    probe = (
        "import sys, thermo.matter.records as r, thermo.matter; "
        "heavy = {'scipy', 'matplotlib', 'fipy', 'pydantic'} & set(sys.modules); "
        "print(sorted(heavy), r.table.cache_info().currsize, r.document.cache_info().currsize)"
    )
    done = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, check=True)
    assert done.stdout.split("\n")[0] == "[] 0 0"
