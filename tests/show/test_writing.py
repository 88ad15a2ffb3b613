import builtins

import pytest
from asking import everything

from thermo.show.writing import OutputError, write_new


def test_a_new_file_never_replaces_anything(tmp_path):
    write_new(tmp_path / "case.toml", "text °C")
    assert (tmp_path / "case.toml").read_text(encoding="utf-8") == "text °C"
    (tmp_path / "loose").symlink_to(tmp_path / "nowhere")
    for name, words in (
        ("case.toml", "is there already"),
        ("loose", "is there already"),
        (".", "is a folder"),
        ("none/case.toml", "there is no folder"),
        ("case.toml/case.toml", "there is no folder"),
    ):
        with pytest.raises(OutputError, match=words):
            write_new(tmp_path / name, "other")
    assert everything(tmp_path) == ["case.toml", "loose"]
    assert (tmp_path / "case.toml").read_text(encoding="utf-8") == "text °C"


@pytest.mark.parametrize("fault", [OSError(28, "disk is full"), KeyboardInterrupt()])
def test_a_new_file_is_whole_or_not_there(tmp_path, monkeypatch, fault):
    real = builtins.open

    def full(*args, **options):
        file = real(*args, **options)

        def fail(text):
            raise fault

        monkeypatch.setattr(file, "write", fail)
        return file

    monkeypatch.setattr(builtins, "open", full)
    with pytest.raises(KeyboardInterrupt if isinstance(fault, KeyboardInterrupt) else OutputError):
        write_new(tmp_path / "case.toml", "text")
    assert everything(tmp_path) == []
