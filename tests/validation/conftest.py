"""The braze of the finite-element row."""

from __future__ import annotations

from pathlib import Path

import pytest

from validation.finite_elements.case import FOLDER, Case, load_case


@pytest.fixture(scope="session")
def folder() -> Path:
    """Where the braze's case and its stored numbers are."""
    return FOLDER


@pytest.fixture(scope="session")
def case() -> Case:
    """The braze as its file states it."""
    return load_case()
