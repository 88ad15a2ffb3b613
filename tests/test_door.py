"""What `import thermo` offers: light, the same to Python and to a type checker; its examples."""

import ast
import doctest
import importlib
import subprocess
import sys
from pathlib import Path

import pytest

import thermo

EXAMPLES = (
    "thermo",
    "thermo.braze.run",
    "thermo.braze.setup",
    "thermo.files.case",
    "thermo.files.export",
    "thermo.files.setup",
    "thermo.flame.motion",
    "thermo.flame.torch",
    "thermo.heat.march",
    "thermo.matter.filler",
    "thermo.matter.flux",
    "thermo.matter.solids",
    "thermo.shape.joint",
    "thermo.shape.mesh",
    "thermo.study.compare",
)


def test_import_brings_nothing_heavy():
    code = (
        "import sys; before = set(sys.modules); import thermo; new = set(sys.modules) - before;"
        "print(sorted(m for m in new if m.startswith(('thermo.', 'numpy', 'scipy', 'pydantic'))))"
    )
    asked = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert asked.stdout.strip() == "[]"


def test_every_name_is_there_and_type_checkers_find_the_same():
    tree = ast.parse(Path(thermo.__file__).read_text(encoding="utf-8"))
    block = next(node for node in tree.body if isinstance(node, ast.If))
    told = {
        alias.asname or alias.name: (node.module, alias.name)
        for node in block.body
        for alias in node.names
    }
    assert sorted(told) == sorted(thermo.__all__)
    assert set(thermo.__all__) <= set(dir(thermo))
    for name, (module, original) in told.items():
        assert getattr(thermo, name) is getattr(importlib.import_module(module), original), name


def test_the_package_of_one_braze_keeps_its_name():
    import thermo.braze

    assert thermo.braze.__name__ == "thermo.braze"
    assert thermo.run_braze is thermo.braze.braze


def test_no_other_name():
    with pytest.raises(AttributeError, match="no attribute 'solder'"):
        thermo.solder  # noqa: B018


@pytest.mark.parametrize("name", EXAMPLES)
def test_examples(name):
    found = doctest.testmod(importlib.import_module(name))
    assert found.attempted > 0
    assert found.failed == 0
