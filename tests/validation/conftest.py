"""The finite-element package, loaded from its folder."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

FOLDER = Path(__file__).parents[2] / "validation" / "finite_elements"
NAME = "validation_finite_elements"


@pytest.fixture(scope="session")
def folder() -> Path:
    """Where the case and the stored numbers are."""
    return FOLDER


@pytest.fixture(scope="session")
def package() -> ModuleType:
    """The package; its modules load as NAME.case, NAME.model, NAME.march."""
    spec = importlib.util.spec_from_file_location(
        NAME, FOLDER / "__init__.py", submodule_search_locations=[str(FOLDER)]
    )
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[NAME] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def case(package):
    """The braze as its file states it."""
    return importlib.import_module(f"{package.__name__}.case").load_case()
