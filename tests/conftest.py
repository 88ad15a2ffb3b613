"""What all tests share: how hypothesis looks for counterexamples, and an empty place to work in."""

import pytest
from asking import SMALLEST
from hypothesis import HealthCheck, settings

settings.register_profile(  # a busy or slow machine is no counterexample
    "brazeclock",
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("brazeclock")


@pytest.fixture
def place(tmp_path, monkeypatch):
    """An empty working folder that holds one good case."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mercury.toml").write_text(SMALLEST, encoding="utf-8")
    return tmp_path
