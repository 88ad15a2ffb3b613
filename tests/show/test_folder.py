"""A folder of results: whole or not at all whatever ends the run, nobody else's file touched."""

import contextlib
import json
import os
import signal
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from asking import everything

import thermo
from thermo.show import folder as folders
from thermo.show.folder import Owner, check_folder, write_folder
from thermo.show.lock import locked
from thermo.show.writing import OutputError

OLD = {"card.txt": b"old card", "result.json": b"{}", "times.png": b"old"}
NEW = {"card.txt": b"new card", "result.json": b'{"new": 1}', "rod.png": b"new"}
US = Owner("heat", "../mercury.toml")
CALLS = ("open", "mkdir", "rename", "replace", "unlink", "rmdir", "fsync", "listdir")


def contents(folder):
    """The files one sees there."""
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def kept(folder):
    return sorted(path.name for path in (folder / ".brazeclock").iterdir())


def test_folder_is_made_with_all_above_it(tmp_path):
    write_folder(tmp_path / "a" / "b", NEW, US)
    assert contents(tmp_path / "a" / "b") == NEW
    assert kept(tmp_path / "a" / "b") == ["files.json", "lock"]
    mask = os.umask(0)
    os.umask(mask)
    assert stat.S_IMODE((tmp_path / "a/b").stat().st_mode) == 0o777 & ~mask
    assert stat.S_IMODE((tmp_path / "a/b/card.txt").stat().st_mode) == 0o666 & ~mask


def test_own_files_are_replaced_or_go_and_others_are_kept(tmp_path):
    write_folder(tmp_path, OLD, US)
    (tmp_path / "notes.txt").write_bytes(b"mine")
    (tmp_path / "leeway.svg").write_bytes(b"mine")
    write_folder(tmp_path, NEW, US)
    assert contents(tmp_path) == NEW | {"notes.txt": b"mine", "leeway.svg": b"mine"}


@pytest.mark.parametrize("force", [False, True])
@pytest.mark.parametrize("kind", ["file", "changed", "link", "folder"])
def test_a_file_of_another_is_never_replaced(tmp_path, kind, force):
    if kind == "changed":
        write_folder(tmp_path, OLD, US)
    elif kind == "link":
        (tmp_path / "card.txt").symlink_to(tmp_path / "elsewhere")
    (tmp_path / "card.txt").mkdir() if kind == "folder" else (tmp_path / "card.txt").write_bytes(
        b"mine"
    )
    before = everything(tmp_path)
    words = {"folder": "is a folder", "changed": "was changed after"}.get(kind, "was not written")
    for attempt in (check_folder, write_folder):
        with pytest.raises(OutputError, match=f"{words}.*; move it away, or give another folder"):
            attempt(tmp_path, NEW, US, force)
        assert everything(tmp_path) == before
    assert kind == "folder" or (tmp_path / "card.txt").read_bytes() == b"mine"


def test_an_own_file_changed_since_is_not_taken_away(tmp_path):
    write_folder(tmp_path, OLD, US)
    (tmp_path / "times.png").write_bytes(b"mine")
    write_folder(tmp_path, NEW, US)
    write_folder(tmp_path, {"card.txt": b"third"}, US)
    assert contents(tmp_path) == {"card.txt": b"third", "times.png": b"mine"}


@pytest.mark.parametrize("other", [Owner("heat", "../venus.toml"), Owner("fill", US.case)])
def test_other_results_are_replaced_with_force_only(tmp_path, other):
    write_folder(tmp_path, OLD, US)
    for attempt in (check_folder, write_folder):
        with pytest.raises(OutputError, match=r"holds heat of .*mercury\.toml.*--force"):
            attempt(tmp_path, NEW, other)
    assert contents(tmp_path) == OLD
    write_folder(tmp_path, NEW, other, force=True)
    assert contents(tmp_path) == NEW
    for name in NEW:
        (tmp_path / name).unlink()
    write_folder(tmp_path, OLD, US)  # nothing was left of the other's


@pytest.mark.parametrize("out", ["file", "file/a", "file/a/b", "loose/a"])
def test_a_path_through_a_file_is_refused_beforehand(tmp_path, out):
    (tmp_path / "file").write_text("x")
    (tmp_path / "loose").symlink_to(tmp_path / "nowhere")
    for attempt in (check_folder, write_folder):
        with pytest.raises(OutputError, match="is a file, not a folder; give another folder"):
            attempt(tmp_path / out, NEW, US)
    assert everything(tmp_path) == ["file", "loose"]


@pytest.mark.parametrize("out", ["x" * 300, "new/" + "x" * 300, "/".join(["x" * 200] * 30)])
def test_a_name_too_long_is_refused_beforehand(tmp_path, out):
    for attempt in (check_folder, write_folder):
        with pytest.raises(OutputError, match="name too long; give another folder"):
            attempt(tmp_path / out, NEW, US)
    assert everything(tmp_path) == []


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may do all")
@pytest.mark.parametrize("out", ["shut", "shut/new"])
def test_a_folder_without_search_right_is_refused(tmp_path, out):
    (tmp_path / "shut").mkdir(mode=0o600)
    with pytest.raises(OutputError, match="no right to write in"):
        check_folder(tmp_path / out, NEW, US)


@pytest.mark.parametrize(
    "text",
    [
        "mine",
        "[]",
        '{"schema": "brazeclock/folder/2"}',
        '{"schema": "brazeclock/folder/1", "command": "heat", "case": "x", "files": {"../a": "x"}}',
    ],
)
def test_a_list_that_is_not_ours_is_refused(tmp_path, text):
    (tmp_path / ".brazeclock").mkdir()
    (tmp_path / ".brazeclock" / "files.json").write_text(text)
    for attempt in (check_folder, write_folder):
        with pytest.raises(OutputError, match=r"files\.json: is no list of files"):
            attempt(tmp_path, NEW, US)


def test_a_strangers_file_in_place_of_what_we_keep_is_refused(tmp_path):
    (tmp_path / ".brazeclock").write_text("mine")
    for attempt in (check_folder, write_folder):
        with pytest.raises(OutputError, match="is no folder of brazeclock's; move it away"):
            attempt(tmp_path, NEW, US)
    assert everything(tmp_path) == []
    assert (tmp_path / ".brazeclock").read_text() == "mine"


def failing(monkeypatch, count, fault, lasting):
    """Let the call of this number to the system fail, and if lasting all after it."""
    calls = []

    def guarded(name, real):
        def call(*args, **options):
            calls.append(name)
            if len(calls) == count or (lasting and len(calls) > count):
                raise fault
            return real(*args, **options)

        return call

    for name in CALLS:
        monkeypatch.setattr(os, name, guarded(name, getattr(os, name)))
    monkeypatch.setattr(folders, "open", guarded("write", open), raising=False)
    return calls


@pytest.mark.parametrize("before", ["old", "empty", "none"])
@pytest.mark.parametrize("kind", ["interrupt", "fault", "lasting"])
def test_wherever_it_fails_the_folder_is_wholly_old_or_new(tmp_path, monkeypatch, before, kind):
    fault = KeyboardInterrupt() if kind == "interrupt" else OSError(5, "disk is broken")
    monkeypatch.setattr(os, "fsync", lambda handle: None)  # counted, but slow
    for count in range(1, 200):
        folder = tmp_path / f"{kind}-{count}" / "out"
        if before == "old":
            write_folder(folder, OLD, US)
        elif before == "empty":
            folder.mkdir(parents=True)
        with monkeypatch.context() as patched:
            calls = failing(patched, count, fault, kind == "lasting")
            with contextlib.suppress(KeyboardInterrupt if kind == "interrupt" else OutputError):
                write_folder(folder, NEW, US)
        if len(calls) < count:
            break
        old = OLD if before == "old" else {}
        if kind == "interrupt":  # what is left to do is done before it ends
            assert not folder.is_dir() or contents(folder) in (old, NEW)
        if before == "none" and kind != "lasting" and not folder.is_dir():
            assert not folder.parent.exists()
        if folder.is_dir():
            check_folder(folder, NEW, US)
            assert contents(folder) in (old, NEW)
        write_folder(folder, NEW, US)
        assert contents(folder) == NEW
        assert kept(folder) == ["files.json", "lock"]
    assert count > 20


KILLED = """
import os, signal, sys
from pathlib import Path
from thermo.show.folder import Owner, write_folder
left = int(sys.argv[2])
def counting(real):
    def call(*args, **options):
        global left
        left -= 1
        if left < 0:
            os.kill(os.getpid(), signal.SIGKILL)
        return real(*args, **options)
    return call
for name in ("rename", "replace", "unlink", "rmdir"):
    setattr(os, name, counting(getattr(os, name)))
new = {"card.txt": b"new card", "result.json": b'{"new": 1}', "rod.png": b"new"}
write_folder(Path(sys.argv[1]), new, Owner("heat", "../mercury.toml"))
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no such signal here")
@pytest.mark.parametrize("count", range(7))
def test_the_run_after_a_killed_one_finds_all_or_nothing(tmp_path, count):
    write_folder(tmp_path, OLD, US)
    where = os.environ | {"PYTHONPATH": str(Path(thermo.__file__).parents[1])}
    words = [sys.executable, "-c", KILLED, str(tmp_path), str(count)]
    assert subprocess.run(words, env=where).returncode == -signal.SIGKILL
    assert contents(tmp_path) == OLD if count < 2 else contents(tmp_path) != OLD
    check_folder(tmp_path, NEW, US)
    assert contents(tmp_path) == (OLD if count == 0 else NEW)
    assert not [name for name in kept(tmp_path) if name not in ("files.json", "lock")]


def test_what_is_ready_never_replaces_a_file_that_came_since(tmp_path, monkeypatch):
    write_folder(tmp_path, OLD, US)
    with monkeypatch.context() as patched:
        patched.setattr(os, "replace", lambda *paths: (_ for _ in ()).throw(OSError(5, "broken")))
        with pytest.raises(OutputError, match="broken; files of two runs lie there until the next"):
            write_folder(tmp_path, NEW, US)
    (tmp_path / "rod.png").write_bytes(b"mine")
    with pytest.raises(OutputError, match=r"rod\.png: was changed"):
        check_folder(tmp_path, NEW, US)
    assert (tmp_path / "rod.png").read_bytes() == b"mine"
    (tmp_path / "rod.png").unlink()
    check_folder(tmp_path, NEW, US)
    assert contents(tmp_path) == NEW


def test_two_runs_do_not_write_at_once(tmp_path, monkeypatch):
    write_folder(tmp_path, OLD, US)
    monkeypatch.setattr(folders, "locked", lambda path: locked(path, 0.0))
    with locked(tmp_path / ".brazeclock" / "lock"):
        for attempt in (check_folder, write_folder):
            with pytest.raises(OutputError, match="another run is writing there; wait for it"):
                attempt(tmp_path, NEW, US)
    assert contents(tmp_path) == OLD
    write_folder(tmp_path, NEW, US)
    assert json.loads((tmp_path / ".brazeclock" / "files.json").read_text())["command"] == "heat"
