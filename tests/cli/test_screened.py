"""Nothing that was given reaches the screen or a file with characters that steer a screen."""

import json
from pathlib import Path

import pytest
from asking import SMALLEST, ask

EVIL = "a\x1b[31mb\x9b5mc\u202ed\u2066e\x7f"
WRITTEN = "a\\u001b[31mb\\u009b5mc\\u202ed\\u2066e\\u007f"
HOSTILE = (
    f'title = "{WRITTEN}"\nnote = "{WRITTEN}"\n{SMALLEST}'
    f'[[strategy]]\nname = "{WRITTEN}"\n[[strategy.phase]]\nuntil = 4\n'
)
QUICK = ("--accuracy", "quick", "--members", "0")


def tame(text):
    return all(line.isprintable() for line in text.split("\n"))


OPTIONS = [
    (EVIL,),
    (f"--{EVIL}",),
    ("heat", EVIL),
    ("heat", f"--{EVIL}"),
    ("heat", "mercury.toml", EVIL),
    ("heat", "--ball", EVIL, "--rod", "1", "--torch", "hand"),
    ("heat", "--ball", "3", "--rod", "1", "--torch", EVIL),
    ("heat", "--ball", "3", "--rod", "1", "--torch", f"{EVIL}.toml"),
    ("heat", "mercury.toml", "--accuracy", EVIL),
    ("heat", "mercury.toml", "--members", EVIL),
    ("heat", "mercury.toml", "--out", f"mercury.toml/{EVIL}"),
    ("check", f"{EVIL}\n.toml"),
    ("list", EVIL),
    ("new", f"{EVIL}/new.toml"),
    ("rods", "mercury.toml", "--rods", EVIL),
    ("rods", "mercury.toml", "--rods", "1", "--workers", EVIL),
    ("sizes", "mercury.toml", "--balls", "3", "--torch", EVIL),
    ("diagnose", "mercury.toml", "--seen", EVIL),
]


@pytest.mark.parametrize("words", OPTIONS, ids=range(len(OPTIONS)))
def test_no_message_steers_the_screen(place, words):
    answer = ask(*words)
    assert answer.exit_code == 2
    assert answer.stderr.startswith(("Usage: ", "Error: "))
    assert answer.stdout == ""
    assert tame(answer.stderr)


def test_long_values_are_cut_in_messages(place):
    answer = ask("heat", "--ball", "3" * 100_000 + "x", "--rod", "1", "--torch", "hand")
    assert answer.exit_code == 2
    assert len(answer.stderr) < 1000
    assert "is not a number" in answer.stderr


def test_a_file_name_does_not_steer_the_screen(place):
    name = f"{EVIL}.toml"
    answer = ask("new", name)
    assert answer.exit_code == 0
    assert tame(answer.stdout)
    Path(name).write_text(SMALLEST, encoding="utf-8")
    answer = ask("fill", name, "--no-pictures")
    assert answer.exit_code == 0
    assert tame(answer.stdout)
    assert Path(f"{EVIL}-fill").is_dir()


@pytest.mark.parametrize(
    "words",
    [
        ("heat", "hostile.toml", *QUICK),
        ("compare", "hostile.toml", "--workers", "1", *QUICK),
        ("fill", "hostile.toml"),
        ("sizes", "hostile.toml", "--balls", "3", *QUICK),
    ],
    ids=lambda words: words[0],
)
def test_no_text_table_or_picture_steers_the_screen(place, words):
    Path("hostile.toml").write_text(HOSTILE, encoding="utf-8")
    answer = ask(*words, "--out", "out")
    assert answer.exit_code == 0, answer.output
    assert tame(answer.stdout)
    assert "a [31mb 5mc d e" in answer.stdout
    for file in filter(Path.is_file, Path("out").iterdir()):
        if file.suffix != ".png":
            assert tame(file.read_text(encoding="utf-8")), file
    assert json.loads(Path("out/result.json").read_text(encoding="utf-8"))["schema"]


def test_check_says_nothing_that_steers_the_screen(place):
    Path("hostile.toml").write_text(HOSTILE, encoding="utf-8")
    answer = ask("check", "hostile.toml")
    assert answer.exit_code == 0
    assert tame(answer.stdout)
    answer = ask("check", "hostile.toml", "--json")
    assert tame(answer.stdout)
    assert json.loads(answer.stdout)["title"] == EVIL
