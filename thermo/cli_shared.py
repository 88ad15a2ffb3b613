"""What the commands share: options, messages with exit codes, folders, progress."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:  # the rest is imported where it is used: help and check answer at once
    from rich.console import RenderableType

    from thermo.files import Case


PICTURES = {
    "heat": ("times", "section", "gap", "filling", "leeway", "rod", "neighbour"),
    "fill": ("fill",),
    "compare": ("strategies", "leeway"),
    "rods": ("rods",),
    "sizes": ("sizes",),
    "diagnose": ("diagnose",),
}
"""Pictures of each command, as .png and .svg; those of an earlier run go when not drawn again."""


class Refused(click.ClickException):
    """Something the user gave cannot be used."""

    exit_code = 2


class Failed(click.ClickException):
    """The run failed."""

    exit_code = 1


def _no_band(context: click.Context, option: click.Parameter, value: int) -> int:
    if value != 0:
        raise click.BadParameter("no band is computed yet: give 0", context, option)
    return value


as_json_option = click.option(
    "--json", "as_json", is_flag=True, help="Print one JSON document and nothing else."
)
accuracy_option = click.option(
    "--accuracy",
    type=click.Choice(["quick", "normal", "fine"]),
    default="normal",
    show_default=True,
    help="How fine the mesh is.",
)
members_option = click.option(
    "--members",
    type=int,
    default=0,
    metavar="N",
    callback=_no_band,
    help="Runs for a band of times; 0, none, is all there is yet.",
)


@contextlib.contextmanager
def told() -> Iterator[None]:
    """Turn every fault into one message and an exit code: 2 for input, 1 for a run."""
    from thermo.files import CaseError
    from thermo.show.writing import OutputError

    try:
        yield
    except (CaseError, OutputError) as fault:
        raise Refused(str(fault)) from fault
    except (click.ClickException, BrokenPipeError):
        raise
    except Exception as fault:
        text = f"a fault of brazeclock, not of yours: {type(fault).__name__}: {_one_line(fault)}"
        raise Failed(text) from fault


@contextlib.contextmanager
def run_of(case: Case) -> Iterator[None]:
    """Turn a failure of the model into a message that names the case."""
    from thermo.braze import BrazeError
    from thermo.heat import MarchError

    try:
        yield
    except (BrazeError, MarchError) as fault:
        raise Failed(f"{case.source}: the run failed: {_one_line(fault)}") from fault


@dataclass(frozen=True)
class Output:
    """What is asked for: text and document by name in a folder, None for nowhere; on the screen."""

    files: tuple[str, str]
    folder: Path | None
    as_json: bool
    pictures: bool


def output_for(
    out: str | None,
    case: Case,
    as_json: bool,
    no_pictures: bool,
    files: tuple[str, str],
    ending: str = "",
) -> Output:
    """What is asked for; the folder is looked at before the run, which may be long.

    By default it is named after the case, with an ending for studies.
    """
    from thermo.show.writing import check_folder

    if out is None and as_json:
        return Output(files, None, as_json, False)
    if out is not None and not out.strip():
        raise click.UsageError("--out is empty; give a folder")
    name = case.name if case.name.strip(". ") else "braze"
    folder = Path(out or name + ending)
    check_folder(folder, files)
    return Output(files, folder, as_json, not no_pictures)


def deliver(
    output: Output,
    document: Mapping[str, Any],
    text: Callable[[], RenderableType],
    pictures: Callable[[], Mapping[str, bytes]],
) -> None:
    """Write the files, whole or not at all, then print.

    `text` and `pictures` are called only where they are needed.
    Pictures of an earlier run that are not drawn now are taken away: they would tell of another.
    """
    from thermo.show.writing import as_json as text_of
    from thermo.show.writing import write_folder

    whole = text_of(document)
    if output.folder is None:
        click.echo(whole)
        return
    from thermo.files.errors import screened
    from thermo.show.printing import as_text, put

    content = text()
    written = (as_text(content).encode(), whole.encode())
    files = dict(zip(output.files, written, strict=True))
    ours = PICTURES[document["schema"].split("/")[1]]
    outdated = [f"{name}.{ending}" for name in ours for ending in ("png", "svg")]
    write_folder(output.folder, files | (dict(pictures()) if output.pictures else {}), outdated)
    if output.as_json:
        click.echo(whole)
        return
    put(content)
    click.echo(screened(f"\nFiles are in the folder {output.folder}"))


def _one_line(fault: Exception) -> str:
    return " ".join(str(fault).split())
