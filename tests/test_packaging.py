"""What the package declares of itself."""

import tomllib
from pathlib import Path

from packaging.requirements import Requirement

HERE = Path(__file__).parents[1]


def test_lows_that_are_tested_are_those_declared():
    project = tomllib.loads((HERE / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = (HERE / ".ci" / "lowest.txt").read_text(encoding="utf-8").splitlines()
    tested = dict(line.split("==") for line in lines if "==" in line)
    for text in [*project["dependencies"], *project["optional-dependencies"]["test"]]:
        declared = Requirement(text)
        (low,) = (each.version for each in declared.specifier if each.operator == ">=")
        assert tested[declared.name] in (low, f"{low}.0", f"{low}.0.0"), text
