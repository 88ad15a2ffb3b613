import json
import subprocess
import sys
from pathlib import Path

import pytest
from asking import SMALLEST, ask, everything

import thermo
import thermo.braze
import thermo.heat
from thermo.cli import progress as cli_progress
from thermo.flame import StrategyName

HEAVY = ("fipy", "matplotlib", "scipy")
QUICK = ("--accuracy", "quick", "--no-pictures", "--members", "0")
ALL = ("--all-pictures", "--svg")
DRAWN = ("heat", "mercury.toml", "--accuracy", "quick", "--members", "0", *ALL)

HELP = """\
Usage: brazeclock [OPTIONS] COMMAND [ARGS]...

  Time the silver brazing of a drilled steel ball onto its rod with a hand
  torch.

  Files go to a folder, all of them or none. Of what is there, only files that
  brazeclock wrote and nobody changed since are replaced or removed. Run a case
  again, and its results are replaced; those of another case, or another
  command, only with --force.

  Exit codes: 0 done, 1 the run failed, 2 something given cannot be used, 130
  stopped with Ctrl-C (128 + the number of any other signal).

Options:
  --version  Show the version and exit.
  --debug    Show the traceback of a fault too.
  --help     Show this message and exit.

Commands:
  check      Say what is unusual about CASE, and what it leaves open.
  compare    Rank ways of holding the torch: the usual ones and yours.
  diagnose   Rank what may have gone wrong, by how near the case comes to it.
  fill       Say how much filler the joint of CASE takes, and in what pieces.
  fit-torch  Learn how strong your torch is from what you saw.
  heat       Heat one joint: what to watch for, and when.
  list       Show a table behind the model: values, ranges, sources.
  new        Write a commented case to FILE, which must not be there yet.
  plan       Plan a whole build: order of work, filler, spares, gas.
  practice   Say what to practise on spares first, and leave a log to fill in.
  rods       Try rods of several diameters: how thin may one be.
  sheet      Write the bench page: to print, or to open for its clock.
  sizes      Braze balls of other sizes: where does the torch give up.
"""
HELP_HEAT = """\
Usage: brazeclock heat [OPTIONS] [CASE]

  Heat one joint: what to watch for, and when.

  CASE is a file that `brazeclock new` writes. Three options will do instead:
  --ball 6 --rod 2.4 --torch pocket. Where CASE does not say how the torch is
  held, all usual ways are tried, and the best is taken.

Options:
  --ball MM                       Ball's diameter, in place of a CASE.
  --rod MM                        Rod's diameter, in place of a CASE.
  --torch KIND                    pocket, pencil, hand, or a torch file.
  --way NAME                      How the torch is held, by its name; default:
                                  the case's first [[strategy]], else the best
                                  of all usual ways, tried.
  --accuracy [quick|normal|fine]  How fine the mesh is.  [default: normal]
  --members N                     Draws of what is not known, torch and hand
                                  among it, for bands; 0, none, to 1024.
                                  [default: 64; 0<=x<=1024]
  --engine [march|fipy]           What computes the heat; fipy is a second
                                  opinion, and slow.  [default: march]
  --json                          Print one JSON document and nothing else.
  --out DIR                       Folder for the files; default: the case's
                                  name.
  --force                         Write over the results of another case or
                                  command in the folder; never over other files.
  --no-pictures                   Write card, report and JSON only.
  --svg                           Keep pictures as .svg, too.
  --all-pictures                  Draw all there are.
  --full                          Print the whole report instead of the card.
  --debug                         Show the traceback of a fault too.
  --help                          Show this message and exit.
"""


def test_help_and_version():
    assert ask("--help").stdout == HELP
    assert ask("heat", "--help").stdout == HELP_HEAT
    assert ask("--version").stdout == f"brazeclock {thermo.__version__}\n"


def test_heat_writes_card_json_and_pictures(place):
    answer = ask("heat", "mercury.toml", "--accuracy", "quick", "--members", "0")
    assert answer.exit_code == 0, answer.output
    files = ["card.txt", "overview.png", "report.txt", "result.json", "section.png"]
    assert everything(place / "mercury") == files
    for picture in (place / "mercury").glob("*.png"):
        assert picture.read_bytes().startswith(b"\x89PNG")
    card = (place / "mercury" / "card.txt").read_text(encoding="utf-8")
    assert answer.stdout == f"{card}\nFiles are in the folder mercury\n"
    assert answer.stderr == ""
    assert "\x1b" not in card
    document = json.loads((place / "mercury" / "result.json").read_text())
    assert document["schema"] == "brazeclock/heat/1"
    assert document["case"] == "mercury"


def test_all_pictures_and_both_kinds_are_drawn_when_asked_for(place):
    assert ask(*DRAWN).exit_code == 0
    drawn = ("filling", "gap", "leeway", "overview", "rod", "section", "times")
    files = [f"{name}.{kind}" for name in drawn for kind in ("png", "svg")]
    files = sorted([*files, "card.txt", "report.txt", "result.json"])
    assert everything(place / "mercury") == files


def test_json_alone_writes_nothing(place):
    answer = ask("heat", "mercury.toml", "--json", *QUICK)
    assert answer.exit_code == 0
    assert json.loads(answer.stdout)["case"] == "mercury"
    assert answer.stderr == ""
    assert everything(place) == ["mercury.toml"]


def test_json_with_a_folder_does_both_and_says_the_same(place):
    answer = ask("heat", "mercury.toml", "--json", "--out", "a/b", *QUICK)
    assert answer.exit_code == 0
    assert everything(place / "a" / "b") == ["card.txt", "report.txt", "result.json"]
    assert answer.stdout.rstrip("\n") == (place / "a/b/result.json").read_text()


def test_options_give_the_same_as_a_file(place):
    by_file = ask("heat", "mercury.toml", "--json", *QUICK)
    by_options = ask("heat", "--ball", "3", "--rod", "1.2", "--torch", "pocket", "--json", *QUICK)
    one, other = (json.loads(answer.stdout) for answer in (by_file, by_options))
    assert other["case"] == "ball-3mm-rod-1.2mm"
    for key in ("stages", "limits", "leeway", "stations", "energy", "assumed"):
        assert one[key] == other[key]


def test_options_write_to_a_folder_named_after_them(place):
    answer = ask("heat", "--ball", "3", "--rod", "1.2", "--torch", "pocket", *QUICK)
    assert answer.exit_code == 0
    assert everything(place / "ball-3mm-rod-1.2mm") == ["card.txt", "report.txt", "result.json"]
    folder = place / "ball-3mm-rod-1.2mm"
    assert "more, in result.json" in (folder / "report.txt").read_text(encoding="utf-8")
    card = (folder / "card.txt").read_text(encoding="utf-8")
    assert answer.stdout.startswith(card) and len(card.splitlines()) <= 34
    whole = ask("heat", "--ball", "3", "--rod", "1.2", "--torch", "pocket", "--full", *QUICK)
    assert "more, in result.json" in whole.stdout


def test_a_second_run_replaces_its_own_files_only(place):
    ask("heat", "mercury.toml", *QUICK)
    (place / "mercury" / "notes.txt").write_text("mine")
    first = (place / "mercury" / "card.txt").read_text(encoding="utf-8")
    (place / "mercury.toml").write_text(SMALLEST.replace("= 3", "= 4"), encoding="utf-8")
    assert ask("heat", "mercury.toml", *QUICK).exit_code == 0
    assert everything(place / "mercury") == ["card.txt", "notes.txt", "report.txt", "result.json"]
    assert (place / "mercury" / "card.txt").read_text(encoding="utf-8") != first
    (place / "mercury" / "card.txt").write_text("my notes on it")
    answer = ask("heat", "mercury.toml", *QUICK)
    assert answer.exit_code == 2
    assert "mercury/card.txt: was changed after brazeclock wrote it; move it" in answer.stderr
    assert (place / "mercury" / "card.txt").read_text() == "my notes on it"


def test_pictures_of_an_earlier_run_go_where_none_are_drawn(place):
    assert ask(*DRAWN).exit_code == 0
    folder = place / "mercury"
    (folder / "neighbour.png").write_text("mine")
    (folder / "rod.png").write_text("mine now")
    assert len(list(folder.glob("*.svg"))) == 7
    assert ask("heat", "mercury.toml", *QUICK).exit_code == 0
    assert everything(folder) == [
        "card.txt",
        "neighbour.png",
        "report.txt",
        "result.json",
        "rod.png",
    ]
    assert (folder / "rod.png").read_text() == "mine now"


def test_a_folder_full_of_a_strangers_files_is_left_alone(place):
    mine = ["leeway.png", "rod.png", "overview.png", "neighbour.png", "notes"]
    for name in mine:
        (place / name).write_text("mine")
    assert ask("heat", "mercury.toml", *QUICK, "--out", ".").exit_code == 0
    assert everything(place) == sorted(
        [*mine, "mercury.toml", "card.txt", "report.txt", "result.json"]
    )
    for force in ((), ("--force",)):
        answer = ask("heat", "mercury.toml", "--accuracy", "quick", "--out", ".", *force)
        assert answer.exit_code == 2
        assert ".png: was not written by brazeclock; move it away" in answer.stderr
    assert {(place / name).read_text() for name in mine} == {"mine"}


def test_results_of_another_case_or_command_need_force(place):
    (place / "inner").mkdir()
    (place / "inner" / "mercury.toml").write_text(SMALLEST, encoding="utf-8")
    assert ask("heat", "mercury.toml", *QUICK).exit_code == 0
    before = (place / "mercury" / "card.txt").read_text(encoding="utf-8")
    for words in (("heat", "inner/mercury.toml"), ("fill", "mercury.toml", "--out", "mercury")):
        answer = ask(*words, "--no-pictures")
        assert answer.exit_code == 2
        assert "mercury: holds heat of mercury.toml; give another folder" in answer.stderr
        assert "replace it with --force" in answer.stderr
    assert (place / "mercury" / "card.txt").read_text(encoding="utf-8") == before
    answer = ask("fill", "mercury.toml", "--out", "mercury", "--no-pictures", "--force")
    assert answer.exit_code == 0
    assert everything(place / "mercury") == ["fill.txt", "result.json"]


def test_three_options_are_one_case_each(place):
    words = ("heat", "--ball", "3", "--rod", "1.2", *QUICK, "--torch")
    assert ask(*words, "pocket").exit_code == ask(*words, "pocket").exit_code == 0
    answer = ask(*words, "pencil")
    assert answer.exit_code == 2
    assert "holds heat of --ball 3 --rod 1.2 --torch pocket" in answer.stderr
    assert ask(*words, "pencil", "--force").exit_code == 0


def test_case_and_folder_may_move_together(place):
    (place / "old").mkdir()
    (place / "old" / "mercury.toml").write_text(SMALLEST, encoding="utf-8")
    for folder in ("old", "new"):
        words = ("heat", f"{folder}/mercury.toml", *QUICK, "--out", f"{folder}/files")
        assert ask(*words).exit_code == 0
        if folder == "old":
            (place / "old").rename(place / "new")


def test_a_torch_of_no_power_runs_and_says_never(place):
    Path("off.toml").write_text(SMALLEST + "fuel_rate_g_per_h = 0\n", encoding="utf-8")
    answer = ask("heat", "off.toml", "--json", *QUICK)
    assert answer.exit_code == 0
    stages = {stage["name"]: stage for stage in json.loads(answer.stdout)["stages"]}
    assert stages["filled"]["time_s"] is None
    assert stages["filled"]["reason"]
    card = ask("heat", "off.toml", *QUICK).stdout
    assert "STOP   Never filled" in card and "Give the torch some fuel." in card
    assert "Not brought to heat" in ask("heat", "off.toml", "--full", *QUICK).stdout


WRONG_CASES = {
    "negative": (SMALLEST.replace("= 3", "= -3"), "ball.diameter_mm = -3: must be between"),
    "nan": (SMALLEST.replace("= 3", "= nan"), "ball.diameter_mm = nan"),
    "infinite": (SMALLEST.replace("= 3", "= inf"), "ball.diameter_mm = inf: must be between"),
    "huge": (SMALLEST.replace("= 3", "= 1e300"), "must be between 1 and 30 mm"),
    "hole wider than ball": (
        SMALLEST.replace("= 3\n", "= 3\nhole_diameter_mm = 4\n"),
        "ball.hole_diameter_mm = 4",
    ),
    "hole through the far side": (
        SMALLEST.replace("= 3\n", "= 3\nhole_depth_mm = 2.9\n"),
        "ball.hole_depth_mm = 2.9",
    ),
    "rod wider than hole": (
        SMALLEST.replace("= 3\n", "= 3\nhole_diameter_mm = 1.1\n"),
        "rod.diameter_mm = 1.2: must be thinner than the hole (1.1 mm)",
    ),
    "unknown alloy": (SMALLEST + '[filler]\nalloy = "Ag 1566"\n', "nearest known: Ag 156"),
    "misspelt key": (SMALLEST.replace("diameter_mm = 3", "diametr_mm = 3"), "diameter_mm"),
    "wrong type": (SMALLEST.replace("= 3", '= "three"'), "must be a number"),
    "empty": ("", "is empty"),
    "not TOML": ("ball: 3", "is not valid TOML"),
    "not text": (b"\xff\xfe\x00", "is not UTF-8 text"),
    "unknown torch": (SMALLEST.replace("pocket", "oxy"), "pocket, pencil, hand"),
    "missing torch file": (SMALLEST.replace("kind", "torch_file"), "no such file"),
    "phase without max_s": (
        SMALLEST + '[[strategy]]\nname = "x"\n[[strategy.phase]]\nuntil = "filled"\n',
        "strategy[1].phase[1].max_s: is missing",
    ),
}


def refused(answer, words, folder, left):
    """One clear message with some words, exit 2, nothing on stdout, nothing written."""
    assert answer.exit_code == 2, answer.output
    assert answer.stdout == ""
    assert words in answer.stderr
    assert answer.stderr.count("Error: ") == 1
    assert "Traceback" not in answer.stderr
    assert everything(folder) == left


@pytest.mark.parametrize("command", ["heat", "check"])
@pytest.mark.parametrize("fault", WRONG_CASES)
def test_a_wrong_case_is_refused(place, command, fault):
    text, words = WRONG_CASES[fault]
    Path("bad.toml").write_bytes(text if isinstance(text, bytes) else text.encode())
    left = ["bad.toml", "mercury.toml"]
    for extra in ((), ("--json",)):
        refused(ask(command, "bad.toml", *extra), words, place, left)


@pytest.mark.parametrize("command", ["heat", "check"])
def test_a_case_that_is_no_file_is_refused(place, command):
    refused(ask(command, "none.toml"), "none.toml: no such file", place, ["mercury.toml"])
    refused(ask(command, "."), "is a folder; name the file in it", place, ["mercury.toml"])


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ("", "give a CASE, or --ball, --rod and --torch"),
        ("--ball 3", "without a CASE, --rod and --torch must be given too"),
        ("--ball 3 --torch pocket", "without a CASE, --rod must be given too"),
        ("mercury.toml --ball 3", "give a CASE or --ball, not both"),
        (
            "mercury.toml --ball 3 --rod 1 --torch hand",
            "give a CASE or --ball, --rod, --torch, not both",
        ),
        ("--ball three --rod 1.2 --torch pocket", '"three" is not a number; give millimetres'),
        ("--ball 6,5 --rod 1.2 --torch pocket", '"6,5" is not a number; write 6.5, in mm'),
        ("--ball 0.25in --rod 1.2 --torch pocket", "write 6.35, in mm"),
        ("--ball nan --rod 1.2 --torch pocket", "options: ball.diameter_mm = nan"),
        ("--ball inf --rod 1.2 --torch pocket", "options: ball.diameter_mm = inf"),
        ("--ball -3 --rod 1.2 --torch pocket", "options: ball.diameter_mm = -3"),
        ("--ball 1e300 --rod 1.2 --torch pocket", "must be between 1 and 30 mm"),
        ("--ball 3 --rod 3 --torch pocket", "options: ball.hole_diameter_mm"),
        ("--ball 3 --rod 1.2 --torch oxy", 'options: torch.kind = "oxy": unknown torch'),
        ("--ball 3 --rod 1.2 --torch own.toml", "own.toml: no such file"),
        (
            "mercury.toml --way mout",
            '--way \'mout\' is not known (nearest: "mouth"); give one of "near side", ',
        ),
        ("mercury.toml --members 2000", "2000 is not in the range 0<=x<=1024"),
        ("mercury.toml --members -1", "-1 is not in the range 0<=x<=1024"),
        ("mercury.toml --accuracy finest", "'finest' is not one of 'quick', 'normal', 'fine'"),
        ("mercury.toml --engine other", "'other' is not one of 'march', 'fipy'"),
        ("mercury.toml --out mercury.toml", "mercury.toml is a file, not a folder"),
        ("mercury.toml --out mercury.toml/a/b", "mercury.toml is a file, not a folder"),
        ("mercury.toml --json --out mercury.toml/a", "mercury.toml is a file, not a folder"),
    ],
)
def test_wrong_words_are_refused(place, words, message):
    refused(ask("heat", *words.split()), message, place, ["mercury.toml"])


def test_an_empty_folder_name_is_refused(place):
    answer = ask("heat", "mercury.toml", "--out", "")
    refused(answer, "--out is empty; give a folder", place, ["mercury.toml"])


def test_a_case_without_an_ending_does_not_lose_to_its_own_folder(place):
    Path("mars").write_text(SMALLEST, encoding="utf-8")
    refused(ask("heat", "mars"), "give another folder with --out", place, ["mars", "mercury.toml"])


@pytest.mark.parametrize("name", ["..toml", "...toml"])
def test_a_case_named_like_a_folder_does_not_spill_into_it(place, name):
    inner = place / "inner"
    inner.mkdir()
    (inner / name).write_text(SMALLEST, encoding="utf-8")
    assert ask("heat", f"inner/{name}", *QUICK).exit_code == 0
    assert everything(place / "braze") == ["card.txt", "report.txt", "result.json"]


@pytest.mark.parametrize(
    ("fault", "code", "words"),
    [
        (thermo.braze.BrazeError("the heat ledger does not close"), 1, "ledger does not close"),
        (thermo.heat.MarchError("the step\nshrank to nothing"), 1, "shrank to nothing"),
        (ZeroDivisionError("division\nby zero"), 1, "ZeroDivisionError: division by zero"),
        (KeyboardInterrupt(), 130, "Stopped by Ctrl-C."),
    ],
)
@pytest.mark.parametrize("extra", [(), ("--json",)])
def test_a_run_that_fails_says_so_in_one_line(place, monkeypatch, fault, code, words, extra):
    def fail(*args, **options):
        raise fault

    monkeypatch.setattr(thermo.braze, "braze", fail)
    answer = ask("heat", "mercury.toml", *extra)
    assert answer.exit_code == code
    assert answer.stdout == ""
    assert words in answer.stderr
    assert len(answer.stderr.strip().splitlines()) == 1
    assert everything(place) == ["mercury.toml"]


def test_new_writes_a_case_that_check_and_heat_take(place):
    answer = ask("new", "earth.toml")
    assert answer.exit_code == 0
    assert "brazeclock heat earth.toml" in answer.stdout
    checked = ask("check", "earth.toml")
    assert checked.exit_code == 0
    assert checked.stdout.startswith("Earth, the 6 mm ball of the orrery\n")
    assert ask("heat", "earth.toml", "--json", *QUICK).exit_code == 0


def test_new_in_json(place):
    answer = ask("new", "earth.toml", "--json")
    assert json.loads(answer.stdout) == {"schema": "brazeclock/new/1", "file": "earth.toml"}
    assert everything(place) == ["earth.toml", "mercury.toml"]


@pytest.mark.parametrize(
    ("file", "message"),
    [
        ("mercury.toml", "is there already"),
        ("none/earth.toml", "there is no folder none"),
        ("mercury.toml/earth.toml", "there is no folder"),
        (".", "is a folder"),
    ],
)
def test_new_refuses_what_it_cannot_write(place, file, message):
    for extra in ((), ("--json",)):
        refused(ask("new", file, *extra), message, place, ["mercury.toml"])
    assert Path("mercury.toml").read_text(encoding="utf-8") == SMALLEST


def test_check_puts_the_unusual_first_and_exits_0(place):
    text = SMALLEST + '[filler]\nalloy = "Ag 340"\n[flux]\ntype = "FB3-F"\n'
    Path("late.toml").write_text(text, encoding="utf-8")
    answer = ask("check", "late.toml")
    assert answer.exit_code == 0
    headings = ["Unusual:", "To mind:", "As usual:", "Assumed:"]
    assert [line for line in answer.stdout.splitlines() if line in headings] == headings
    unusual = " ".join(answer.stdout[: answer.stdout.index("To mind:")].split())
    assert "flux clears at 650 °C, above the filler's liquidus: clear is no cue here" in unusual
    assert max(map(len, answer.stdout.splitlines())) <= 80


def test_check_in_json(place):
    answer = ask("check", "mercury.toml", "--json")
    document = json.loads(answer.stdout)
    assert document["schema"] == "brazeclock/check/1"
    assert document["case"] == "mercury"
    assert {finding["level"] for finding in document["findings"]} <= {"unusual", "note", "usual"}
    assert document["assumed"][0]["key"] == "torch.fuel_rate_g_per_h"


@pytest.mark.parametrize("words", [["--help"], ["heat", "--help"], ["new", "x.toml"], ["check"]])
def test_light_commands_import_nothing_heavy(place, words):
    words = [*words, "mercury.toml"] if words == ["check"] else words
    script = (
        "import sys\nfrom thermo.cli import brazeclock\n"
        f"brazeclock({words!r}, standalone_mode=False)\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=place
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_heating_one_ball_brings_neither_pictures_nor_processes(place):
    script = (
        "import sys\nfrom thermo.cli import brazeclock\n"
        "brazeclock(['heat', 'mercury.toml', '--accuracy', 'quick', '--json', '--members', '0'], "
        "standalone_mode=False)\n"
        "names = ('fipy', 'matplotlib', 'rich', 'thermo.study.pool')\n"
        "print([name for name in names if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=place
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_it_runs_as_a_module_even_where_letters_are_missing(place):
    done = subprocess.run(
        [sys.executable, "-m", "thermo", "check", "mercury.toml"],
        capture_output=True,
        check=True,
        cwd=place,
        env={"PYTHONIOENCODING": "latin-1", "PYTHONPATH": str(Path(thermo.__file__).parents[1])},
    )
    assert done.stdout.startswith(b"3 mm ball on a 1.2 mm rod\n")
    assert b"two fin lengths ?(k d / 4 h)" in done.stdout
    assert "20 °C".encode("latin-1") in done.stdout
    assert done.stderr == b""


def test_heat_looks_after_a_second_ball(place):
    text = SMALLEST + "[second_ball]\nspacing_mm = 12\n"
    (place / "two.toml").write_text(text, encoding="utf-8")
    result = ask("heat", "two.toml", "--json", "--accuracy", "quick", "--members", "0")
    assert result.exit_code == 0, result.output
    document = json.loads(result.stdout)
    assert document["neighbour"]["spacing_mm"] == pytest.approx(12, abs=1e-3)
    assert None not in document["stations"]["second_joint_C"]
    assert "neighbour lets go" in [limit["name"] for limit in document["limits"]]
    told = ask("heat", "two.toml", *QUICK[:2], *QUICK[3:], "--out", "files", "--full")
    assert told.exit_code == 0, told.output
    assert "The second ball:" in told.stdout
    assert (place / "files" / "neighbour.png").is_file()


def told_by(*words):
    answer = ask("heat", *words, "--json", *QUICK)
    assert answer.exit_code == 0, answer.output
    return json.loads(answer.stdout)


def test_without_a_word_the_best_way_is_heated_and_the_card_says_why(place):
    document = told_by("mercury.toml")
    way = document["way"]
    assert way["chosen"] == "best"
    assert way["name"] == document["strategy"] == way["tried"][0]["name"]
    assert {one["name"] for one in way["tried"]} == set(StrategyName)
    report = " ".join(ask("heat", "mercury.toml", "--full", *QUICK).stdout.split())
    assert way["why"] in report
    assert ": the best of 8 ways tried." in " ".join(
        ask("heat", "mercury.toml", *QUICK).stdout.split()
    )
    named = told_by("mercury.toml", "--way", way["name"])
    assert named["stages"] == document["stages"]
    assert (named["way"]["chosen"], named["way"]["tried"]) == ("asked", [])


def test_a_way_may_be_asked_for_also_where_the_case_has_its_own(place):
    own = '[[strategy]]\nname = "mine"\n[[strategy.phase]]\naim = "mouth"\nuntil = 3\n'
    Path("mercury.toml").write_text(SMALLEST + own, encoding="utf-8")
    assert [told_by("mercury.toml")["way"][key] for key in ("name", "chosen")] == ["mine", "case"]
    asked = told_by("mercury.toml", "--way", "rod first")
    assert asked["strategy"] == asked["way"]["name"] == "rod first"
    answer = ask("heat", "mercury.toml", "--way", "sideways")
    assert answer.exit_code == 2
    for name in (*StrategyName, "mine"):
        assert f'"{name}"' in answer.stderr


def test_trials_that_take_too_long_are_refused_before_they_begin(place, monkeypatch):
    monkeypatch.setattr(cli_progress, "MOST_S", 0.2)
    answer = ask("heat", "mercury.toml", *QUICK)
    assert answer.exit_code == 2
    assert "rod.diameter_mm = 1.2: may take" in answer.stderr
    assert everything(place) == ["mercury.toml"]
