"""What DEVELOPERS.md tells to add, added to a copy, works in every command that shows it."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from asking import SMALLEST

import thermo

PACKAGE = Path(thermo.__file__).parent


@pytest.fixture
def copy(tmp_path):
    """A copy of the package, to be changed, beside one good case."""
    shutil.copytree(PACKAGE, tmp_path / "thermo", ignore=shutil.ignore_patterns("__pycache__"))
    (tmp_path / "mercury.toml").write_text(SMALLEST, encoding="utf-8")
    return tmp_path


def change(copy, file, old, new):
    path = copy / "thermo" / file
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1, (file, old)
    path.write_text(text.replace(old, new), encoding="utf-8")


def append(copy, file, text):
    with (copy / "thermo" / file).open("a", encoding="utf-8") as written:
        written.write(text)


def ask(copy, *words):
    """What a command of the copy prints."""
    done = subprocess.run(
        [sys.executable, "-m", "thermo", *words],
        capture_output=True,
        text=True,
        cwd=copy,
        env={**os.environ, "PYTHONPATH": str(copy)},
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def add_row(copy, file, like, name):
    """A row like an earlier one of its table, under a name of its own."""
    path = copy / "thermo" / "data" / file
    rows = path.read_text(encoding="utf-8").splitlines(keepends=True)
    rows += [row.replace(like, name, 1) for row in rows if row.startswith(f"{like},")]
    path.write_text("".join(rows), encoding="utf-8")


def test_a_filler_and_a_torch_are_rows(copy):
    add_row(copy, "fillers.csv", "Ag 155", "Ag 155x")
    add_row(copy, "torches.csv", "pocket", "bench")
    case = copy / "mercury.toml"
    text = SMALLEST.replace('"pocket"', '"bench"') + '[filler]\nalloy = "Ag 155x"\n'
    case.write_text(text, encoding="utf-8")
    assert "Ag 155x" in ask(copy, "list", "fillers")
    told = json.loads(
        ask(copy, "heat", "mercury.toml", "--accuracy", "quick", "--members", "0", "--json")
    )
    assert told["filler"]["alloy"] == "Ag 155x"
    assert "bench" in ask(copy, "list", "torches")


def test_a_limit_is_a_name_and_a_threshold(copy):
    limits = "braze/limits.py"
    change(
        copy,
        limits,
        '    BEAD = "filler overheated as a bead", "bead"\n',
        '    BEAD = "filler overheated as a bead", "bead"\n    DULL = "ball dull red", "dull"\n',
    )
    last = "        *_of_zinc(setup),\n"
    bound = '        Threshold(LimitName.DULL, "ball_max_C", 500.0, "°C", "ours"),\n'
    change(copy, limits, last, last + bound)
    quick = ("--accuracy", "quick", "--workers", "1", "--members", "0")
    text = ask(copy, "rods", "mercury.toml", "--rods", "1.2", *quick, "--no-pictures")
    assert "dull" in text and "ball dull red, at" in text
    told = json.loads(
        ask(copy, "heat", "mercury.toml", "--accuracy", "quick", "--members", "0", "--json")
    )
    assert any(x["name"] == "ball dull red" and not x["ok"] for x in told["limits"])
    assert told["leeway"]["closed_by"] == "ball dull red"
    assert "ball dull red" in ask(copy, "compare", "mercury.toml", *quick)


def test_a_strategy_is_an_entry(copy):
    change(
        copy,
        "flame/motion.py",
        '    ROD_FIRST = "rod first"\n',
        '    ROD_FIRST = "rod first"\n    LOW = "low on the rod"\n',
    )
    change(
        copy,
        "flame/motion.py",
        "        StrategyName.MOUTH: (mouth,),\n",
        "        StrategyName.MOUTH: (mouth,),\n        StrategyName.LOW: (Phase(8e-3, near),),\n",
    )
    quick = ("--accuracy", "quick", "--workers", "1", "--members", "0")
    assert "low on the rod" in ask(copy, "compare", "mercury.toml", *quick)


def test_a_cause_is_evidence_a_line_and_words(copy):
    append(
        copy,
        "study/evidence_heat.py",
        """

def big(run: Braze) -> Evidence:
    return Evidence(1.5, "", {"ball_mm": 1e3 * run.setup.joint.ball_diameter})
""",
    )
    line = '    "moved": Cause(not_known),\n'
    change(copy, "study/causes.py", line, line + '    "big": Cause(heat.big),\n')
    seen = '"rod-burnt": ("rod-ahead", '
    change(copy, "study/causes.py", seen, seen + '"big", ')
    words = (
        '    "big": Words("a big ball", "Big balls take long.", "Take a stronger torch.", '
        '{"": "a ball of {ball_mm:.0f} mm."}),\n'
    )
    change(
        copy,
        "show/wording/causes.py",
        "WORDS: dict[str, Words] = {\n",
        "WORDS: dict[str, Words] = {\n" + words,
    )
    quick = ("--accuracy", "quick", "--no-pictures")
    text = ask(copy, "diagnose", "mercury.toml", "--seen", "rod-burnt", *quick)
    assert "A big ball" in text and "a ball of 3 mm." in " ".join(text.split())


def test_a_command_is_a_function(copy):
    append(
        copy,
        "cli/commands.py",
        """

@brazeclock.command()
@click.argument("case")
def weigh(case: str) -> None:
    \"\"\"Say what the ball of CASE weighs.\"\"\"
    with error_boundary():
        from thermo.files import read_case, to_setup

        joint = to_setup(read_case(case)).joint
        say(f"{1e6 * 7850.0 * joint.ball_diameter**3 * 0.5236:.0f} mg")
""",
    )
    assert "weigh" in ask(copy, "--help")
    assert ask(copy, "weigh", "mercury.toml") == "111 mg\n"
