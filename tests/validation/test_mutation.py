"""The mutation tool on a toy: what it changes, what it sees killed, what it reports."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from validation.mutation.mutants import mutants_of, sample
from validation.mutation.trial import Changed

TOY = '''"""Toy: 1 + 1."""
from typing import Literal
SEATS = {"mouth": 1.0, "bottom": 2.0}
Body = Literal["ball", "rod"]
def area(width: float, height: float = 2) -> float:
    """Not 3 * 4."""
    if width < 0:
        raise ValueError(f"width is {width * 2}")
    return width * height
def deeper(x):
    while x < 3:
        x += 1
    return x
def unused(x):
    return x - 1
'''
TEST = """
import pytest
from toy import calc
def test_area():
    assert calc.area(3.0, 5.0) == 15.0
    with pytest.raises(ValueError):
        calc.area(-1.0)
def test_deeper():
    assert calc.deeper(0) == 3
"""


@pytest.fixture
def toy(tmp_path):
    (tmp_path / "toy").mkdir()
    (tmp_path / "toy" / "__init__.py").touch()
    (tmp_path / "toy" / "calc.py").write_text(TOY, encoding="utf-8")
    (tmp_path / "tests").mkdir()
    (tmp_path / "tests" / "test_calc.py").write_text(TEST, encoding="utf-8")
    (tmp_path / "pytest.ini").write_text("[pytest]\npythonpath = .\n", encoding="utf-8")
    return tmp_path


def changes(source, folder):
    (folder / "one.py").write_text(source, encoding="utf-8")
    return {mutant.after for mutant in mutants_of(folder, "one.py")}


@pytest.mark.parametrize(
    ("source", "some"),
    [
        ("y = a + b * c", ["y = a - b * c", "y = a + b / c"]),
        ("y = -a", ["y = (a)"]),
        ("y = a < b is not c", ["y = a <= b is not c", "y = a > b is not c", "y = a < b is c"]),
        ("y = 0.5", ["y = 1.0", "y = 1.5", "y = 0"]),
        ("y = True and not b", ["y = False and not b", "y = True or not b", "y = True and (b)"]),
        ("np.minimum(a, b)", ["np.maximum(a, b)", "(a)", "pass"]),
        ("y = math.sin(a)", ["y = math.cos(a)"]),
        ("y = x.clip(0, a)", ["y = x"]),
        ("def f():\n    return a, b", ["return b, a"]),
        ("def f():\n    return a - b", ["return -(a - b)"]),
        ("y = x[i, j]", ["y = x[j, i]"]),
        ("y = x[-1:]", ["y = x[(1):]", "y = x[-2:]"]),
        ("y = f(a, b)", ["y = f(b, a)"]),
        ('y = {"tip": a, "mouth": b}', ['y = {"tip": b, "mouth": a}']),
        ("x.y = z", ["pass"]),
        ("x += z", ["pass", "x -= z"]),
        ("y = a if b else c", ["y = a if not (b) else c"]),
        ("y = [a for a in b if c]", ["y = [a for a in b if not (c)]"]),
        ("y = 'Θ' + x, a - b", ["y = 'Θ' + x, a + b"]),
    ],
)
def test_kinds_of_change(tmp_path, source, some):
    assert set(some) <= changes(source, tmp_path)


@pytest.mark.parametrize(
    "source",
    [
        '"""1 + 1"""',
        "from a import b",
        "raise E(1 + 1)",
        "y: tuple[float, int]",
        "@dataclass(frozen=True)\nclass A: ...",
        "def __repr__(self):\n    return self.a + 1",
        "if TYPE_CHECKING:\n    y = 1",
        "y = f'{1 + 1}'",
        "y = zip(a, b, strict=True)",
    ],
)
def test_what_is_left_alone(tmp_path, source):
    assert not changes(source, tmp_path)


def test_an_edit_is_told_by_its_line(toy):
    mutants = mutants_of(toy, "toy/calc.py")
    lines = TOY.splitlines()
    assert all(" ".join(lines[m.line - 1].split()) == m.before for m in mutants)
    assert {m.line for m in mutants} == {3, 5, 7, 9, 11, 12, 15}


def test_a_seed_gives_the_same_sample_and_spreads_it(toy):
    (toy / "toy" / "small.py").write_text("a = 1\nb = 2\n", encoding="utf-8")
    files = ["toy/calc.py", "toy/small.py"]
    one, again, other = (sample(toy, files, 9, seed) for seed in (1, 1, 2))
    assert one == again and one != other
    assert [sum(m.file == file for m in one) for file in files] == [7, 2]
    assert len({(m.file, m.line) for m in one}) == 9  # a line each, before any has two
    grown = sample(toy, files[:1], 9, 1)
    assert grown[:7] == one[:7]


def test_only_the_one_module_is_changed(toy):
    changed = Changed(toy / "toy" / "calc.py", TOY.replace("x - 1", "x + 1").encode())
    assert changed.find_spec("toy", [str(toy)]) is None
    spec = changed.find_spec("toy.calc", [str(toy / "toy")])
    module = {}
    exec(spec.loader.get_code("toy.calc"), module)
    assert module["unused"](1) == 2


def test_campaign_kills_the_obvious_and_names_the_survivors(toy):
    mutants = mutants_of(toy, "toy/calc.py")
    arguments = ["--root", toy, "--only", "toy", "--tests", "tests", "--out", toy / "out"]
    done = subprocess.run(
        [sys.executable, "-m", "validation.mutation", *map(str, arguments), "--patience", "0.2"],
        cwd=Path(__file__).parents[2],
        env=os.environ | {"PYTHONPATH": str(Path(__file__).parents[2])},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 1, done.stderr
    report = json.loads((toy / "out" / "report.json").read_text(encoding="utf-8"))
    assert report["tried"] == len(mutants)
    killed, survived = (
        {tuple(row["key"][1:]) for row in report[outcome]} for outcome in ("killed", "survived")
    )
    assert ("return width * height", "return width / height") in killed
    assert ("x += 1", "x += 0") not in killed | survived
    assert [row["key"][2] for row in report["timeout"]] == ["pass", "x += 0", "x -= 1"]
    assert ("return x - 1", "return x + 1") in survived
    assert {row["note"] for row in report["survived"] if row["line"] == 15} == {"no test runs it"}
    assert ("if width < 0:", "if width <= 0:") in survived
    assert "return x - 1  ->  return x + 1  (no test runs it)" in done.stdout
    assert (toy / "toy" / "calc.py").read_text(encoding="utf-8") == TOY
    assert not list(toy.glob("toy/__pycache__"))
