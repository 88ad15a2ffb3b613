"""The commands compare, rods, sizes and list, as a maker types them."""

import json
import math
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from asking import SMALLEST, ask, everything

import thermo
import thermo.braze
import thermo.study
import thermo.study.compare
import thermo.study.rods
import thermo.study.sizes
from thermo.cli import commands as cli
from thermo.cli import shared as cli_shared
from thermo.flame import StrategyName
from thermo.show.documents.listing import LISTS

COLD = 'fuel_rate_g_per_h = 0\n[filler]\nplace = "rod-tip"\n'
OWN = SMALLEST + (
    '[[strategy]]\nname = "slow round"\n[[strategy.phase]]\naim = "ball"\nmotion = "round"\n'
    'until = "filled"\nmax_s = 60\n'
)
QUICK = ("--accuracy", "quick", "--members", "0")
COMMANDS = {
    "compare": (),
    "rods": ("--rods", "0.8,1.2"),
    "sizes": ("--balls", "2,3"),
}
NAMES = [*StrategyName, "slow round"]
PICTURES = {
    "compare": ["leeway", "strategies"],
    "rods": ["rods"],
    "sizes": ["sizes"],
}


@pytest.fixture
def place(tmp_path, monkeypatch):
    """An empty working folder that holds one good case."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mercury.toml").write_text(OWN, encoding="utf-8")
    return tmp_path


def timeless(document):
    """The document as it would be on any computer."""
    return {key: value for key, value in document.items() if key != "wall_s"}


def refused(answer, words, folder):
    """One clear message, exit 2, nothing on stdout, nothing written."""
    assert answer.exit_code == 2, answer.output
    assert answer.stdout == ""
    assert words in " ".join(answer.stderr.split())
    assert answer.stderr.count("Error: ") == 1
    assert "Traceback" not in answer.stderr
    assert everything(folder) == ["mercury.toml"]


@pytest.mark.parametrize("command", COMMANDS)
def test_table_json_and_pictures_are_written(place, command):
    answer = ask(command, "mercury.toml", *COMMANDS[command], *QUICK, "--workers", "1")
    assert answer.exit_code == 0, answer.output
    assert answer.stderr == ""
    folder = place / f"mercury-{command}"
    drawn = [f"{name}.png" for name in PICTURES[command]]
    assert everything(folder) == sorted(["table.txt", "result.json", *drawn])
    for picture in folder.glob("*.png"):
        assert picture.read_bytes().startswith(b"\x89PNG")
    table = (folder / "table.txt").read_text(encoding="utf-8")
    assert answer.stdout == f"{table}\nFiles are in the folder mercury-{command}\n"
    document = json.loads((folder / "result.json").read_text())
    assert document["schema"] == f"brazeclock/{command}/1"


@pytest.mark.parametrize("command", COMMANDS)
def test_json_is_the_same_with_one_process_and_two_and_writes_nothing(place, command):
    words = (command, "mercury.toml", *COMMANDS[command], *QUICK, "--json")
    one, two = (ask(*words, "--workers", n) for n in ("1", "2"))
    assert one.exit_code == two.exit_code == 0
    assert timeless(json.loads(one.stdout)) == timeless(json.loads(two.stdout))
    assert one.stderr == two.stderr == ""
    assert everything(place) == ["mercury.toml"]


HEAD = ("schema", "case", "title", "version", "cautions")
"""What every document begins with."""


@pytest.mark.parametrize(
    "words",
    [
        ("compare",),
        ("rods", "--rods", "1.2"),
        ("sizes", "--balls", "3"),
        ("fill",),
        ("diagnose", "--seen", "burst"),
    ],
)
def test_every_study_gives_the_cautions_of_heat(words, place):
    name, *more = words
    quick = () if name == "fill" else QUICK
    study = json.loads(ask(name, "mercury.toml", *more, *quick, "--json").stdout)
    heat = json.loads(ask("heat", "mercury.toml", *QUICK, "--json").stdout)
    assert {key: study[key] for key in HEAD if key != "schema"} == {
        key: heat[key] for key in HEAD if key != "schema"
    }
    assert len(study["cautions"]) > 4


def test_compare_has_our_strategies_and_the_cases_own(place):
    answer = ask("compare", "mercury.toml", *QUICK, "--json", "--out", "a/b")
    assert answer.exit_code == 0
    document = json.loads(answer.stdout)
    assert set(document) == {*HEAD, "strategies", "ties"}
    assert {one["name"] for one in document["strategies"]} == set(NAMES)
    assert [one["rank"] for one in document["strategies"]] == list(range(1, len(NAMES) + 1))
    assert document["ties"]
    assert all(set(pair) <= set(NAMES) for pair in document["ties"])
    assert answer.stdout.rstrip("\n") == (place / "a/b/result.json").read_text()


def test_rods_and_sizes_take_lists_in_the_order_given(place):
    rods = ask("rods", "mercury.toml", "--rods", "1.2, .8", *QUICK, "--json")
    told = [(row["rod_diameter_mm"], row["aim"]) for row in json.loads(rods.stdout)["rows"]]
    assert told == [(d, aim) for d in (1.2, 0.8) for aim in ("ball", "mouth", "rod")]
    words = ("--balls", "3,2", "--rods", "1,0.8", *QUICK, "--json")
    document = json.loads(ask("sizes", "mercury.toml", *words).stdout)
    lengths = [
        [row[f"{part}_diameter_mm"] for part in ("ball", "rod", "hole")] for row in document["rows"]
    ]
    assert lengths == [[3, 1, 1.1], [2, 0.8, 0.9]]


def test_sizes_keeps_the_makers_rod(place):
    """Also where the balls fall on either side of its own; one it does not go into is told."""
    words = ("sizes", "mercury.toml", "--balls", "4,3,1.4", *QUICK)
    document = json.loads(ask(*words, "--json").stdout)
    assert [row["rod_diameter_mm"] for row in document["rows"]] == [1.2, 1.2]
    assert [row["ball_diameter_mm"] for row in document["rows"]] == [4, 3]
    (small,) = document["left_out"]
    assert small["ball_diameter_mm"] == 1.4 and "1.4 mm on a rod of 1.2 mm" in small["why"]
    text = ask(*words, "--no-pictures").stdout
    assert "Not tried:" in text and "A ball of 1.4 mm on a rod of 1.2 mm" in " ".join(text.split())
    assert re.search(r"Rod +Ball +Hole +Filler", text)
    volume = document["rows"][0]["filler_volume_mm3"]
    assert f"{volume / (0.25**2 * math.pi):.1f} mm" in text
    scaled = json.loads(ask(*words[:3], "4,3", "--scale-rod", *QUICK, "--json").stdout)
    assert [row["rod_diameter_mm"] for row in scaled["rows"]] == [1.9, 1.2]
    both = ask(*words[:3], "4", "--scale-rod", "--rods", "1", *QUICK)
    assert both.exit_code == 2 and "not both" in both.stderr


@pytest.mark.parametrize("words", [("rods", "--rods", "1.2"), ("sizes", "--balls", "3")])
def test_three_options_do_in_place_of_a_case(place, words):
    three = ("--ball", "3", "--rod", "1.2", "--torch", "pocket")
    found = ask(*words, *three, *QUICK, "--json")
    assert found.exit_code == 0, found.stderr
    (place / "plain.toml").write_text(SMALLEST, encoding="utf-8")
    theirs, ours = (
        json.loads(ask(words[0], *more, *words[1:], *QUICK, "--json").stdout)["rows"]
        for more in (three, ("plain.toml",))
    )
    assert theirs == ours


def test_another_torch_changes_the_times_and_is_named(place):
    words = ("sizes", "mercury.toml", "--balls", "3", *QUICK, "--no-pictures")
    own, hand = (ask(*words, *more) for more in ((), ("--torch", "hand")))
    assert "pocket torch" in own.stdout
    assert "hand torch, 160 g/h of propane" in " ".join(hand.stdout.split())
    assert own.stdout != hand.stdout


def test_sizes_takes_a_torch_file_as_heat_does(place):
    torch = place.parent / "own.toml"
    torch.write_text('[torch]\nkind = "pencil"\nfuel_rate_g_per_h = 50\n', encoding="utf-8")
    answer = ask(
        "sizes", "mercury.toml", "--balls", "3", *QUICK, "--no-pictures", "--torch", str(torch)
    )
    assert answer.exit_code == 0, answer.output
    assert "pencil torch, 50 g/h of butane" in " ".join(answer.stdout.split())
    torch.write_text("[torch]\nfuel_rate_g_per_h = -1\n", encoding="utf-8")
    answer = ask("sizes", "mercury.toml", "--balls", "3", "--torch", str(torch))
    assert answer.exit_code == 2
    assert "fuel_rate_g_per_h = -1: must be between" in " ".join(answer.stderr.split())


@pytest.mark.parametrize("command", COMMANDS)
def test_pictures_of_an_earlier_run_go_where_none_are_drawn(place, command):
    folder = place / "out"
    words = (command, "mercury.toml", *COMMANDS[command], *QUICK, "--workers", "1", "--out", "out")
    assert ask(*words, "--svg").exit_code == 0
    drawn = [f"{name}.{kind}" for name in cli_shared.PICTURES[command] for kind in ("png", "svg")]
    assert everything(folder) == sorted(["table.txt", "result.json", *drawn])
    (folder / "mine.png").write_text("mine")
    assert ask(*words, "--no-pictures").exit_code == 0
    assert everything(folder) == ["mine.png", "result.json", "table.txt"]


@pytest.mark.parametrize("command", ["rods", "sizes"])
def test_torch_of_no_power_is_told_with_exit_0(place, command):
    Path("mercury.toml").write_text(SMALLEST + COLD, encoding="utf-8")
    words = {"rods": ("--rods", "1.2"), "sizes": ("--balls", "3")}[command]
    answer = ask(command, "mercury.toml", *words, *QUICK, "--no-pictures")
    assert answer.exit_code == 0, answer.output
    assert "never" in answer.stdout


@pytest.mark.parametrize(
    ("items", "words"),
    [
        ("", "a value is missing; give millimetres"),
        ("1.2,,1.6", "a value is missing; give millimetres, comma separated"),
        ("1.2,", "a value is missing"),
        ("1.2,x", '"x" is not a number; give millimetres, comma separated, as in 1.2,1.6,2.4'),
        ("1.2;1.6", '"1.2;1.6" is not a number'),
        ("nan", '"nan" is not a number'),
        ("inf", "inf: must be between 0.3 and 12 mm; give the rod's diameter"),
        ("-1.2", "-1.2: must be between 0.3 and 12 mm"),
        ("0", "0: must be between 0.3 and 12 mm"),
        ("1e300", "1e300: must be between 0.3 and 12 mm"),
        (",".join(["1"] * 25), "25 values; give no more than 24"),
        ("2.9", "mercury.toml: a rod of 2.9 mm: the hole is wider than the ball"),
        ("1.2,2.6", "mercury.toml: a rod of 2.6 mm: its hole of 2.7 mm must leave 0.2 mm of wall"),
    ],
)
def test_wrong_rods_are_refused(place, items, words):
    for extra in ((), ("--json",)):
        refused(ask("rods", "mercury.toml", "--rods", items, *extra), words, place)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ("rods mercury.toml", "Missing option '--rods'"),
        ("sizes mercury.toml", "Missing option '--balls'"),
        ("sizes mercury.toml --balls 0.5", "0.5: must be between 1 and 30 mm; give the ball's"),
        ("sizes mercury.toml --balls 3,x", '"x" is not a number'),
        ("sizes mercury.toml --balls 3,4 --rods 1.2", "2 balls but 1 rods: give one rod for each"),
        ("sizes mercury.toml --balls 3 --rods 3", "a ball of 3 mm on a rod of 3 mm: the hole is"),
        (
            "sizes mercury.toml --balls 3 --torch oxy",
            "'oxy' is not known; give pocket, pencil, hand, or a torch file (.toml)",
        ),
        ("sizes mercury.toml --balls 3 --torch none.toml", "none.toml: no such file"),
        ("compare", "give a CASE, or --ball, --rod and --torch"),
        ("compare --ball 3", "without a CASE, --rod and --torch must be given too"),
        ("compare mercury.toml --ball 3", "give a CASE or --ball, not both"),
        ("compare none.toml", "none.toml: no such file"),
        ("compare .", "is a folder; name the file in it"),
        ("compare mercury.toml --workers 0", "0 is not in the range 1<=x<=64"),
        ("compare mercury.toml --workers 65", "65 is not in the range 1<=x<=64"),
        ("compare mercury.toml --workers many", "'many' is not a valid int"),
        ("compare mercury.toml --members 2000", "2000 is not in the range 0<=x<=1024"),
        ("compare mercury.toml --accuracy finest", "'finest' is not one of"),
        ("compare mercury.toml --out mercury.toml", "mercury.toml is a file, not a folder"),
        ("list", "Missing argument"),
        ("list metals", "'metals' is not one of"),
    ],
)
def test_wrong_words_are_refused(place, words, message):
    refused(ask(*words.split()), message, place)


@pytest.mark.parametrize("command", COMMANDS)
def test_wrong_case_is_refused(place, command):
    Path("mercury.toml").write_text(SMALLEST.replace("= 3", "= nan"), encoding="utf-8")
    refused(ask(command, "mercury.toml", *COMMANDS[command]), "ball.diameter_mm = nan", place)


@pytest.mark.parametrize("command", COMMANDS)
def test_an_empty_folder_name_is_refused(place, command):
    answer = ask(command, "mercury.toml", *COMMANDS[command], "--out", "")
    refused(answer, "--out is empty; give a folder", place)


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (
            thermo.braze.BrazeError("the heat\nledger does not close"),
            "mercury.toml: the run failed",
        ),
        (ZeroDivisionError("division by zero"), "a fault of brazeclock, not of yours"),
    ],
)
def test_a_run_that_fails_says_so_in_one_line(place, monkeypatch, command, fault, words):
    def fail(*args):
        raise fault

    module = sys.modules[f"thermo.study.{command}"].__dict__
    monkeypatch.setitem(module, "braze" if command == "sizes" else "brazes", fail)
    answer = ask(command, "mercury.toml", *COMMANDS[command], "--workers", "1")
    assert answer.exit_code == 1
    assert answer.stdout == ""
    assert words in answer.stderr
    assert len(answer.stderr.strip().splitlines()) == 1
    assert everything(place) == ["mercury.toml"]


@pytest.mark.parametrize("what", cli.LISTS)
def test_list_prints_text_or_json(what):
    answer = ask("list", what)
    assert answer.exit_code == 0, answer.output
    assert answer.stdout.endswith(".\n")
    document = json.loads(ask("list", what, "--json").stdout)
    assert document["schema"] == "brazeclock/list/1"
    assert document["list"] == what


def test_lists_are_those_that_are_built():
    assert tuple(LISTS) == cli.LISTS


def test_list_imports_nothing_heavy(tmp_path):
    script = (
        "import sys\nfrom thermo.cli import brazeclock\n"
        "for what in ('fillers', 'colours'):\n"
        "    brazeclock(['list', what], standalone_mode=False)\n"
        "print([name for name in ('fipy', 'matplotlib', 'scipy') if name in sys.modules])"
    )
    where = {"PYTHONPATH": str(Path(thermo.__file__).parents[1])}
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        check=True,
        cwd=tmp_path,
        env=os.environ | where,
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_compare_takes_three_options_in_place_of_a_case(place):
    Path("mercury.toml").write_text(SMALLEST, encoding="utf-8")
    options = ("--ball", "3", "--rod", "1.2", "--torch", "pocket")
    by_file, by_options = (
        ask("compare", *words, *QUICK, "--workers", "1", "--json")
        for words in (("mercury.toml",), options)
    )
    one, other = (json.loads(answer.stdout) for answer in (by_file, by_options))
    assert other["case"] == "ball-3mm-rod-1.2mm"
    assert one["strategies"] == other["strategies"]
    answer = ask("compare", *options, *QUICK, "--workers", "1", "--no-pictures")
    assert answer.exit_code == 0
    assert everything(place / "ball-3mm-rod-1.2mm-compare") == ["result.json", "table.txt"]


def test_a_decimal_comma_in_a_list_is_asked_about(place):
    answer = ask("rods", "mercury.toml", "--rods", "1,6,2,4", *QUICK)
    assert answer.exit_code == 2
    told = " ".join(answer.stderr.split())
    assert "1,6,2,4: did you mean 1.6,2.4?" in told
    for given in ("2,1", "1.2,1.1"):
        assert "did you mean" not in ask("rods", "mercury.toml", "--rods", given, *QUICK).stderr
    assert "write 1.2: the unit is mm" in ask("rods", "mercury.toml", "--rods", "1.2mm").stderr
