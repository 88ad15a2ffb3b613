"""A folder of results: written whole or not at all, and nobody else's file is ever touched.

Beside the files lies a folder `.brazeclock`:

- `files.json`: whose results these are, and each file's name and SHA-256 as written;
- `lock`: held by the run that writes;
- `new-...`: a run's files until all of them are there;
- `ready`: all of them. Its making, one rename, is what counts: whatever ends a run before leaves
  the old files, whatever ends it after leaves the rest to do for the next run into the folder.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from thermo.show.lock import Busy, locked
from thermo.show.writing import OutputError

KEPT, LIST, LOCK, READY, FRESH = ".brazeclock", "files.json", "lock", "ready", "new-"
SCHEMA = "brazeclock/folder/1"
ELSEWHERE = "give another folder with --out"
AWAY = f"move it away, or {ELSEWHERE}"


@dataclass(frozen=True)
class Owner:
    """Whose results a folder holds.

    Parameters
    ----------
    command : str
    case : str
        Path of the case file as seen from the folder, so that both may move together; or the
        options that stand for one.
    """

    command: str
    case: str


@dataclass(frozen=True)
class _Written:
    """What was written to a folder: whose it is, and each file's SHA-256."""

    owner: Owner | None = None
    files: Mapping[str, str] = field(default_factory=dict)


def check_folder(folder: Path, names: Iterable[str], owner: Owner, force: bool = False) -> None:
    """Make sure, as far as can be told beforehand, that files can be written to a folder.

    What an earlier run left undone there is finished.

    Parameters
    ----------
    folder : Path
    names : iterable of str
        Files to be written.
    owner : Owner
    force : bool
        Replace the results of another case or command.

    Raises
    ------
    OutputError
        With what to do instead.
    """
    with _told(folder):
        _check_way(folder)
        if (folder / KEPT).is_dir():
            with locked(folder / KEPT / LOCK):
                _finish(folder)
        _check_room(folder, names, owner, force)


def write_folder(
    folder: Path, files: Mapping[str, bytes], owner: Owner, force: bool = False
) -> None:
    """Write files to a folder: all of them, or none.

    Files that an earlier run wrote there, as they were written, are replaced or taken away;
    all others are left alone.

    Parameters
    ----------
    folder : Path
        Made where it is not there.
    files : mapping of str to bytes
    owner : Owner
    force : bool
        Replace the results of another case or command.

    Raises
    ------
    OutputError
        With what to do instead.
    """
    with _told(folder):
        _check_way(folder)
        with _made(folder), locked(folder / KEPT / LOCK):
            try:
                _finish(folder)
                _check_room(folder, files, owner, force)
                _make_ready(folder / KEPT, files, owner)
                _finish_even_so(folder)
            finally:
                if os.listdir(folder / KEPT) == [LOCK]:
                    os.unlink(folder / KEPT / LOCK)


@contextlib.contextmanager
def _told(folder: Path) -> Iterator[None]:
    """Turn faults of the system into what to do instead."""
    try:
        yield
    except Busy:
        text = f"{folder}: another run is writing there; wait for it, or {ELSEWHERE}"
        raise OutputError(text) from None
    except OSError as fault:
        reason = fault.strerror or str(fault)
        half = "; files of two runs lie there until the next run into it"
        left = half if os.path.isdir(folder / KEPT / READY) else ""
        raise OutputError(f"{folder}: cannot be written: {reason}{left}; {ELSEWHERE}") from fault


def _check_way(folder: Path) -> None:
    """Refuse a folder that cannot be reached, made or written in."""
    whole = folder.absolute()
    nearest = next(path for path in (whole, *whole.parents) if os.path.lexists(path))
    if not nearest.is_dir():
        raise OutputError(f"{folder}: {nearest} is a file, not a folder; {ELSEWHERE}")
    if not os.access(nearest, os.W_OK | os.X_OK):
        raise OutputError(f"{folder}: no right to write in {nearest.resolve()}; {ELSEWHERE}")
    parts = whole.relative_to(nearest).parts
    for path in (*(nearest / part for part in parts), whole / KEPT / READY / LIST):
        with contextlib.suppress(FileNotFoundError, NotADirectoryError):
            os.lstat(path)  # a name too long is told by the system
    kept = folder / KEPT
    if os.path.lexists(kept) and (kept.is_symlink() or not kept.is_dir()):
        raise OutputError(f"{kept}: is no folder of brazeclock's; {AWAY}")


def _check_room(folder: Path, names: Iterable[str], owner: Owner, force: bool) -> None:
    """Refuse a folder that holds other results, or somebody's file of a name we need."""
    written = _read(folder / KEPT / LIST)
    present = any(os.path.lexists(folder / name) for name in written.files)
    if written.owner is not None and written.owner != owner and present and not force:
        other = f"{written.owner.command} of {_as_named(folder, written.owner.case)}"
        raise OutputError(f"{folder}: holds {other}; {ELSEWHERE}, or replace it with --force")
    _check_files(folder, names, written)


def _check_files(folder: Path, names: Iterable[str], *known: _Written) -> None:
    """Refuse to replace what we did not write, or what was changed since."""
    for name in names:
        path = folder / name
        hashes = [written.files[name] for written in known if name in written.files]
        if not os.path.lexists(path) or _is(path, hashes):
            continue
        if path.is_dir():
            raise OutputError(f"{path}: is a folder; {AWAY}")
        why = "was changed after brazeclock wrote it" if hashes else "was not written by brazeclock"
        raise OutputError(f"{path}: {why}; {AWAY}")


def _is(path: Path, hashes: Iterable[str]) -> bool:
    """Whether a plain file of one of these contents lies there."""
    return path.is_file() and not path.is_symlink() and _hash(path.read_bytes()) in hashes


def _hash(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _as_named(folder: Path, case: str) -> str:
    """A case as the user may name it from where he is."""
    return case if case.startswith("--") else os.path.relpath(folder.resolve() / case)


@contextlib.contextmanager
def _made(folder: Path) -> Iterator[None]:
    """Take the folders away that were made for a run which then wrote nothing."""
    kept = folder.absolute() / KEPT
    made = [path for path in (kept, *kept.parents) if not os.path.lexists(path)]
    try:
        yield
    except BaseException:
        for path in made:
            with contextlib.suppress(OSError):  # one that holds something stays
                path.rmdir()
        raise


def _make_ready(kept: Path, files: Mapping[str, bytes], owner: Owner) -> None:
    """Write files and their list under another name, then call them ready, all at once."""
    fresh = Path(tempfile.mkdtemp(prefix=FRESH, dir=kept))
    try:
        for name, content in files.items():
            _write(fresh / name, content)
        _write(fresh / LIST, _listed(files, owner))
        _sync(fresh)
        os.rename(fresh, kept / READY)
        _sync(kept)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def _finish(folder: Path) -> None:
    """Move what is ready into place and take away what it makes outdated; may be done again."""
    kept = folder / KEPT
    for left in kept.glob(f"{FRESH}*"):  # of a run that was killed: the lock is ours
        shutil.rmtree(left, ignore_errors=True)
    ready = kept / READY
    if not ready.exists():
        return
    if (ready / LIST).exists():
        new, old = _read(ready / LIST), _read(kept / LIST)
        waiting = [name for name in new.files if (ready / name).exists()]
        _check_files(folder, waiting, new, old)
        for name in waiting:
            os.replace(ready / name, folder / name)
        for name in old.files.keys() - new.files:
            if _is(folder / name, [old.files[name]]):
                os.unlink(folder / name)
        _sync(folder)
        os.replace(ready / LIST, kept / LIST)
        _sync(kept)
    os.rmdir(ready)


def _finish_even_so(folder: Path) -> None:
    """Finish what is ready; an interrupt has to wait for it, but a second one."""
    try:
        _finish(folder)
    except KeyboardInterrupt:
        _finish(folder)
        raise


def _write(path: Path, content: bytes) -> None:
    """Write a file down to the disk."""
    with open(path, "xb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _sync(folder: Path) -> None:
    """Bring a folder's names down to the disk, where the system knows how."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _listed(files: Mapping[str, bytes], owner: Owner) -> bytes:
    document = {
        "schema": SCHEMA,
        "command": owner.command,
        "case": owner.case,
        "files": {name: _hash(content) for name, content in files.items()},
    }
    return json.dumps(document, indent=1).encode()


def _read(path: Path) -> _Written:
    """What a list says; nothing where there is none. One that is not ours is refused."""
    try:
        document = json.loads(path.read_bytes())
    except FileNotFoundError:
        return _Written()
    except (ValueError, RecursionError):
        document = None
    if not _is_list(document):
        raise OutputError(f"{path}: is no list of files that this brazeclock can read; {AWAY}")
    return _Written(Owner(document["command"], document["case"]), document["files"])


def _is_list(document: Any) -> bool:
    """Whether a document is a list as we write it, with plain names of files."""
    if not isinstance(document, dict) or document.get("schema") != SCHEMA:
        return False
    files = document.get("files")
    if not isinstance(files, dict) or not isinstance(document.get("command"), str):
        return False
    plain = all(Path(name).name == name and name != KEPT for name in files)
    return plain and isinstance(document.get("case"), str)
