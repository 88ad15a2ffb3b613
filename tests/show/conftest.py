from functools import cache

import pytest

from thermo.braze import braze
from thermo.files import read_case, to_setup

SMALLEST = {
    "ball": ["diameter_mm = 3"],
    "rod": ["diameter_mm = 1.2"],
    "torch": ['kind = "pocket"'],
}


@cache
def computed(text, folder):
    """A case of some text, and its braze on the coarsest mesh; each is run once."""
    path = folder / "planet.toml"
    path.write_text(text, encoding="utf-8")
    case = read_case(path)
    return braze(to_setup(case), "quick"), case


@pytest.fixture(scope="session")
def run(tmp_path_factory):
    """Braze and case of tables that replace or join those of the smallest case."""
    folder = tmp_path_factory.mktemp("cases")

    def run_tables(tail="", **tables):
        lines = []
        for name, keys in (SMALLEST | tables).items():
            lines += [f"[{name}]", *keys]
        return computed("\n".join([*lines, tail]), folder)

    return run_tables
