"""The form of the documents: published, and kept to."""

import json

import pytest
from asking import ask
from pydantic import ValidationError

from thermo.show.documents.base import Assumption
from thermo.show.documents.schema import DOCUMENTS
from thermo.show.writing import as_json

FEW = ("--accuracy", "quick", "--workers", "1", "--members", "2")
COMMANDS = {
    "heat": ("mercury.toml", "--accuracy", "quick", "--members", "4"),
    "compare": ("mercury.toml", *FEW),
    "rods": ("mercury.toml", "--rods", "1.2", *FEW),
    "sizes": ("mercury.toml", "--balls", "3", *FEW),
    "fill": ("mercury.toml",),
    "diagnose": ("mercury.toml", "--seen", "gap-dry", "--accuracy", "quick", "--workers", "1"),
    "check": ("mercury.toml",),
    "list": ("colours",),
    "new": ("sun.toml",),
}


@pytest.mark.parametrize("command", COMMANDS)
def test_every_document_keeps_to_its_published_form(place, command):
    text = ask(command, *COMMANDS[command], "--json").stdout
    told = json.loads(text)
    model = DOCUMENTS[told["schema"]]
    assert json.loads(as_json(model.model_validate(told))) == told
    forms = json.loads(ask("list", "schema").stdout)["documents"]
    assert set(forms) == set(DOCUMENTS)
    form = forms[told["schema"]]
    assert set(form["required"]) <= set(told) <= set(form["properties"])


def test_a_part_takes_no_key_it_does_not_know():
    with pytest.raises(ValidationError, match="extra_forbidden"):
        Assumption(key="rod.length_mm", value="40 mm", why="usual", because="usual")
