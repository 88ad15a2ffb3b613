"""Files and folders written whole or not at all, and values as JSON text."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

ELSEWHERE = "give another folder with --out"


class OutputError(Exception):
    """Files cannot be written where they were asked for."""


def as_json(document: Mapping[str, Any]) -> str:
    """The document as text, in plain ASCII, without NaN."""
    return json.dumps(document, allow_nan=False)


def check_folder(folder: Path, names: Iterable[str] = ()) -> None:
    """Make sure, as far as can be told beforehand, that files can be written to a folder.

    Raises
    ------
    OutputError
        With what to do instead.
    """
    nearest = _nearest(folder)
    if not nearest.is_dir():
        raise OutputError(f"{folder}: {nearest} is a file, not a folder; {ELSEWHERE}")
    if not os.access(nearest, os.W_OK | os.X_OK):
        raise OutputError(f"{folder}: no right to write in {nearest.resolve()}; {ELSEWHERE}")
    for name in names:
        if (folder / name).is_dir():
            raise OutputError(f"{folder / name}: is a folder; move it away, or {ELSEWHERE}")


def write_folder(folder: Path, files: Mapping[str, bytes], outdated: Iterable[str] = ()) -> None:
    """Write files to a folder: all of them, or none.

    They are written under another name first, then moved into place. Files of the same names are
    replaced, outdated ones that are not among them taken away, others left alone.

    Raises
    ------
    OutputError
        Nothing was written, with what to do instead.
    """
    check_folder(folder, files)
    nearest = _nearest(folder)
    fresh = nearest / f".brazeclock-{os.getpid()}"
    try:
        fresh.mkdir()
        for name, content in files.items():
            (fresh / name).write_bytes(content)
        if folder.is_dir():
            for name in files:
                os.replace(fresh / name, folder / name)
            for name in set(outdated) - set(files):
                if not (folder / name).is_dir():
                    (folder / name).unlink(missing_ok=True)
        else:
            _move(fresh, folder, nearest)
    except OSError as fault:
        reason = fault.strerror or str(fault)
        raise OutputError(f"{folder}: cannot be written: {reason}; {ELSEWHERE}") from None
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def write_new(path: Path, text: str) -> None:
    """Write a file that is not there yet.

    Raises
    ------
    OutputError
        There is one already, or it cannot be written; nothing was written.
    """
    if path.is_dir():
        raise OutputError(f"{path}: is a folder; name the file in it")
    if os.path.lexists(path):
        raise OutputError(f"{path}: is there already; move it away or give another name")
    if not path.parent.is_dir():
        raise OutputError(f"{path}: there is no folder {path.parent}; make it first")
    fresh = path.parent / f".brazeclock-{os.getpid()}"
    try:
        fresh.write_text(text, encoding="utf-8")
        os.rename(fresh, path)
    except OSError as fault:
        fresh.unlink(missing_ok=True)
        reason = fault.strerror or str(fault)
        raise OutputError(f"{path}: cannot be written: {reason}") from None


def _nearest(folder: Path) -> Path:
    """The folder itself, or the first thing above it that is there."""
    return next(path for path in (folder, *folder.absolute().parents) if os.path.lexists(path))


def _move(fresh: Path, folder: Path, nearest: Path) -> None:
    """Move a new folder into place; folders made above it are taken away again on failure."""
    above = [path for path in folder.absolute().parents if not path.exists()]
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        os.rename(fresh, folder)
    except OSError:
        for path in above:
            if path.is_dir():
                path.rmdir()
        raise
