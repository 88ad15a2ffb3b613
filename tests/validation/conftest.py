"""The validation package lies beside the tests and is not installed."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[2]))

from validation.finite_elements.case import FOLDER, Case, load_case


@pytest.fixture(scope="session")
def folder() -> Path:
    """Where the braze's case and its stored numbers are."""
    return FOLDER


@pytest.fixture(scope="session")
def case() -> Case:
    """The braze as its file states it."""
    return load_case()
