"""Values as JSON text, and a single new file written whole or not at all."""

from __future__ import annotations

import json
import os
from pathlib import Path

from pydantic import BaseModel


class OutputError(Exception):
    """Files cannot be written where they were asked for."""


def as_json(document: BaseModel) -> str:
    """The document as text, in plain ASCII, without NaN; keys that were not given are left out."""
    return json.dumps(document.model_dump(by_alias=True, exclude_unset=True), allow_nan=False)


def write_new(path: Path, text: str) -> None:
    """Write a file that is not there yet.

    Raises
    ------
    OutputError
        There is one already, or it cannot be written; nothing was written.
    """
    if os.path.isdir(path):
        raise OutputError(f"{path}: is a folder; name the file in it")
    if os.path.lexists(path):
        raise OutputError(f"{path}: is there already; move it away or give another name")
    if not os.path.isdir(path.parent):
        raise OutputError(f"{path}: there is no folder {path.parent}; make it first")
    try:
        with open(path, "x", encoding="utf-8") as file:
            try:
                file.write(text)
                file.flush()
            except BaseException:
                path.unlink()
                raise
    except OSError as fault:
        reason = fault.strerror or str(fault)
        raise OutputError(f"{path}: cannot be written: {reason}") from fault
