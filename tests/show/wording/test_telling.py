"""What every command tells alike: why a gap did not fill."""

import json

import pytest
from asking import ask

FILLER = "[filler]\nlength_mm = 1\n"


@pytest.fixture
def short(place):
    """A joint that is given too little filler."""
    case = place / "mercury.toml"
    case.write_text(case.read_text(encoding="utf-8") + FILLER, encoding="utf-8")
    return "mercury.toml"


@pytest.mark.parametrize(
    "words",
    [
        ("heat",),
        ("compare", "--workers", "1"),
        ("rods", "--rods", "1.2", "--workers", "1"),
        ("sizes", "--balls", "3", "--workers", "1"),
    ],
)
def test_too_little_filler_is_one_reason_in_every_command(short, words):
    command, *options = words
    asked = (command, short, "--accuracy", "quick", "--members", "0", *options)
    document = json.loads(ask(*asked, "--json").output)
    runs = {
        "heat": lambda: [document],
        "compare": lambda: document["strategies"],
        "rods": lambda: document["rows"],
        "sizes": lambda: document["rows"],
    }[command]()
    reasons = {run["unfilled"] for run in runs}
    assert "too-little-filler" in reasons <= {"too-little-filler", "gap-too-cold"}
    text = " ".join(ask(*asked, "--no-pictures").output.split())
    assert "too little filler" in text
    assert "never ready" not in text
