"""An empty place to work in, for the tests of the commands."""

import pytest
from asking import SMALLEST


@pytest.fixture
def place(tmp_path, monkeypatch):
    """An empty working folder that holds one good case."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mercury.toml").write_text(SMALLEST, encoding="utf-8")
    return tmp_path
