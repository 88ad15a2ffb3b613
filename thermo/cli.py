"""The command brazeclock: reads what is asked, hands it on, prints what comes back."""

from __future__ import annotations

import contextlib
import io
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from thermo import __version__

if TYPE_CHECKING:  # the rest is imported where it is used: help and check answer at once
    from thermo.braze import Braze
    from thermo.files import Case

OURS = ("card.txt", "result.json")
as_json_option = click.option(
    "--json", "as_json", is_flag=True, help="Print one JSON document and nothing else."
)


class Refused(click.ClickException):
    """Something the user gave cannot be used."""

    exit_code = 2


class Failed(click.ClickException):
    """The run failed."""

    exit_code = 1


@click.group()
@click.version_option(__version__, prog_name="brazeclock", message="%(prog)s %(version)s")
def brazeclock() -> None:
    """Time the silver brazing of a drilled steel ball onto its rod with a hand torch."""


def _no_band(context: click.Context, option: click.Parameter, value: int) -> int:
    if value != 0:
        raise click.BadParameter("no band is computed yet: give 0", context, option)
    return value


@brazeclock.command()
@click.argument("case", required=False)
@click.option("--ball", type=float, metavar="MM", help="Ball's diameter, in place of a CASE.")
@click.option("--rod", type=float, metavar="MM", help="Rod's diameter, in place of a CASE.")
@click.option("--torch", metavar="KIND", help="pocket, pencil, hand, or a torch file.")
@click.option(
    "--accuracy",
    type=click.Choice(["quick", "normal", "fine"]),
    default="normal",
    show_default=True,
    help="How fine the mesh is.",
)
@click.option(
    "--members",
    type=int,
    default=0,
    metavar="N",
    callback=_no_band,
    help="Runs for a band of times; 0, none, is all there is yet.",
)
@click.option(
    "--engine",
    type=click.Choice(["march"]),
    default="march",
    show_default=True,
    help="What computes the heat.",
)
@as_json_option
@click.option("--out", metavar="DIR", help="Folder for the files; default: the case's name.")
@click.option("--no-pictures", is_flag=True, help="Write card and JSON only.")
def heat(
    case: str | None,
    ball: float | None,
    rod: float | None,
    torch: str | None,
    accuracy: str,
    members: int,
    engine: str,
    as_json: bool,
    out: str | None,
    no_pictures: bool,
) -> None:
    """Heat one joint: what to watch for, and when.

    CASE is a file that `brazeclock new` writes. Three options will do instead: --ball 6 --rod 2.4
    --torch pocket.
    """
    with _told():
        told = _case(case, ball, rod, torch)
        folder = _folder(out, told, as_json)
        found = _run(told, accuracy)
        _deliver(found, told, folder, as_json, not no_pictures)


@brazeclock.command()
@click.argument("file")
@as_json_option
def new(file: str, as_json: bool) -> None:
    """Write a commented case to FILE, which must not be there yet."""
    with _told():
        from thermo.files import new_case_text
        from thermo.show.writing import as_json as text_of
        from thermo.show.writing import write_new

        write_new(Path(file), new_case_text())
        if as_json:
            click.echo(text_of({"schema": "brazeclock/new/1", "file": file}))
        else:
            click.echo(f"{file} written; change it, then: brazeclock heat {file}")


@brazeclock.command()
@click.argument("case")
@as_json_option
def check(case: str, as_json: bool) -> None:
    """Say what is unusual about CASE, and what it leaves open."""
    with _told():
        from thermo.files import read_case
        from thermo.show.checking import check_document, check_text
        from thermo.show.writing import as_json as text_of

        told = read_case(case)
        click.echo(text_of(check_document(told)) if as_json else check_text(told))


def _case(case: str | None, ball: float | None, rod: float | None, torch: str | None) -> Case:
    """The case from a file or from three options, never both."""
    from thermo.files import case_from_options, read_case

    options = {"--ball": ball, "--rod": rod, "--torch": torch}
    given = [name for name, value in options.items() if value is not None]
    if case is not None:
        if given:
            raise click.UsageError(f"give a CASE or {', '.join(given)}, not both")
        return read_case(case)
    if ball is None or rod is None or torch is None:
        missing = [name for name in options if name not in given]
        if not given:
            raise click.UsageError("give a CASE, or --ball, --rod and --torch")
        raise click.UsageError(f"without a CASE, {' and '.join(missing)} must be given too")
    return case_from_options(ball, rod, torch)


def _folder(out: str | None, case: Case, as_json: bool) -> Path | None:
    """Where files go, None for nowhere; looked at before the run, which may be long."""
    from thermo.show.writing import check_folder

    if out is None and as_json:
        return None
    if out is not None and not out.strip():
        raise click.UsageError("--out is empty; give a folder")
    name = case.name if case.name.strip(". ") else "braze"
    folder = Path(out or name)
    check_folder(folder, OURS)
    return folder


def _run(case: Case, accuracy: str) -> Braze:
    from rich.console import Console

    from thermo.braze import BrazeError, braze
    from thermo.files import to_setup
    from thermo.heat import MarchError

    screen = Console(stderr=True)
    doing = screen.status("heating ...") if screen.is_terminal else contextlib.nullcontext()
    with doing:
        try:
            return braze(to_setup(case), accuracy)
        except (BrazeError, MarchError) as fault:
            raise Failed(f"{case.source}: the run failed: {_one_line(fault)}") from fault


def _deliver(
    found: Braze, case: Case, folder: Path | None, as_json: bool, with_pictures: bool
) -> None:
    """Write the files, whole or not at all, then print."""
    from thermo.show.card import card_text, heat_card, print_card
    from thermo.show.export import heat_document
    from thermo.show.writing import as_json as text_of
    from thermo.show.writing import write_folder

    document, card = text_of(heat_document(found, case)), heat_card(found, case)
    if folder is not None:
        files = {"card.txt": card_text(card).encode(), "result.json": document.encode()}
        if with_pictures:
            from thermo.show.plots import pictures

            files |= pictures(found)
        write_folder(folder, files)
    if as_json:
        click.echo(document)
        return
    print_card(card)
    click.echo(f"\nFiles are in the folder {folder}")


@contextlib.contextmanager
def _told() -> Iterator[None]:
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


def _one_line(fault: Exception) -> str:
    return " ".join(str(fault).split())


def main() -> None:
    """Run the command; a screen that lacks a letter gets a question mark in its place."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    brazeclock(prog_name="brazeclock")


if __name__ == "__main__":
    main()
