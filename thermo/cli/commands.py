"""The command brazeclock: reads what is asked, hands it on, prints what comes back."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from thermo import __version__
from thermo.cli.answering import answered
from thermo.cli.bench import BENCH
from thermo.cli.shared import (
    Guarded,
    Output,
    Wanted,
    accuracy_option,
    as_json_option,
    case_from,
    debug_option,
    deliver,
    error_boundary,
    force_option,
    joint_options,
    members_option,
    output_for,
    picture_options,
    say,
)
from thermo.cli.studies import STUDIES

if TYPE_CHECKING:  # the rest is imported where it is used: help and check answer at once
    from rich.console import RenderableType

    from thermo.study.answer import Answer

OURS = ("card.txt", "report.txt", "result.json")
FILL = ("fill.txt", "result.json")
LISTS = ("solids", "fillers", "fluxes", "flames", "torches", "colours")
FORMS = "schema"


@click.group(cls=Guarded)
@click.version_option(__version__, prog_name="brazeclock", message="%(prog)s %(version)s")
@debug_option
def brazeclock() -> None:
    """Time the silver brazing of a drilled steel ball onto its rod with a hand torch.

    Files go to a folder, all of them or none. Of what is there, only files that brazeclock wrote
    and nobody changed since are replaced or removed. Run a case again, and its results are
    replaced; those of another case, or another command, only with --force.

    Exit codes: 0 done, 1 the run failed, 2 something given cannot be used, 130 stopped with
    Ctrl-C (128 + the number of any other signal).
    """


@brazeclock.command()
@joint_options
@click.option(
    "--way",
    metavar="NAME",
    help="How the torch is held, by its name; default: the case's first [[strategy]], else the "
    "best of all usual ways, tried.",
)
@accuracy_option
@members_option(64)
@click.option(
    "--engine",
    type=click.Choice(["march", "fipy"]),
    default="march",
    show_default=True,
    help="What computes the heat; fipy is a second opinion, and slow.",
)
@as_json_option
@click.option("--out", metavar="DIR", help="Folder for the files; default: the case's name.")
@force_option
@picture_options("card, report and JSON", more=True)
@click.option("--full", is_flag=True, help="Print the whole report instead of the card.")
def heat(
    case: str | None,
    ball: float | None,
    rod: float | None,
    torch: str | None,
    way: str | None,
    accuracy: str,
    members: int,
    engine: str,
    as_json: bool,
    out: str | None,
    force: bool,
    pictures: Wanted,
    full: bool,
) -> None:
    """Heat one joint: what to watch for, and when.

    CASE is a file that `brazeclock new` writes. Three options will do instead: --ball 6 --rod 2.4
    --torch pocket. Where CASE does not say how the torch is held, all usual ways are tried, and the
    best is taken.
    """
    with error_boundary():
        read = case_from(case, ball, rod, torch)
        output = output_for("heat", read, OURS, out, as_json, pictures, force)
        _deliver(output, answered(read, way, accuracy, members, engine), full=full)


@brazeclock.command()
@click.argument("case")
@as_json_option
@click.option("--out", metavar="DIR", help="Folder for the files; default: named after the case.")
@force_option
@picture_options("text and JSON")
def fill(case: str, as_json: bool, out: str | None, force: bool, pictures: Wanted) -> None:
    """Say how much filler the joint of CASE takes, and in what pieces.

    No heat is run. With length_mm in the case, that length is held against what the joint takes.
    """
    with error_boundary():
        from thermo.files import read_case, to_setup
        from thermo.show.documents.fill import fill_document
        from thermo.show.tables.fill import fill_text
        from thermo.study.fill import fill as filled

        read = read_case(case)
        output = output_for("fill", read, FILL, out, as_json, pictures, force)
        found = filled(to_setup(read))

        def drawn() -> dict[str, bytes]:
            from thermo.show.pictures.studies import fill_pictures

            return fill_pictures(found, output.kinds)

        deliver(output, fill_document(found, read), partial(fill_text, found, read), drawn)


@brazeclock.command()
@click.argument("file")
@as_json_option
def new(file: str, as_json: bool) -> None:
    """Write a commented case to FILE, which must not be there yet."""
    with error_boundary():
        from thermo.files import new_case_text
        from thermo.show.writing import as_json as text_of
        from thermo.show.writing import write_new

        write_new(Path(file), new_case_text())
        if as_json:
            from thermo.show.documents.new import new_document

            say(text_of(new_document(file)))
        else:
            say(f"{file} written; change it, then: brazeclock heat {file}")


@brazeclock.command()
@click.argument("case")
@as_json_option
def check(case: str, as_json: bool) -> None:
    """Say what is unusual about CASE, and what it leaves open."""
    with error_boundary():
        from thermo.files import read_case
        from thermo.show.documents.check import check_document
        from thermo.show.tables.check import check_text
        from thermo.show.writing import as_json as text_of

        read = read_case(case)
        say(text_of(check_document(read)) if as_json else check_text(read))


@brazeclock.command("list")
@click.argument("what", type=click.Choice((*LISTS, FORMS)), metavar="|".join((*LISTS, FORMS)))
@as_json_option
def list_(what: str, as_json: bool) -> None:
    """Show a table behind the model: values, ranges, sources.

    `schema` shows the form of every JSON document, as JSON Schema.
    """
    with error_boundary():
        from thermo.show.documents.listing import list_document
        from thermo.show.tables.listing import list_text
        from thermo.show.writing import as_json as text_of

        if what == FORMS:
            from thermo.show.documents.schema import schema_document

            say(text_of(schema_document()))
        elif as_json:
            say(text_of(list_document(what)))
        else:
            say(list_text(what))


def _deliver(output: Output, answer: Answer, *, full: bool) -> None:
    from thermo.show.documents.heat import heat_document

    def texts() -> tuple[RenderableType, RenderableType]:
        from thermo.show.card.bench import heat_card
        from thermo.show.card.report import heat_report

        return heat_card(answer), heat_report(answer)

    def drawn() -> dict[str, bytes]:
        from thermo.show.pictures.heat import pictures
        from thermo.show.pictures.neighbour import neighbour_pictures

        ours = [name for name in output.pictures if name != "neighbour"]
        found = pictures(answer.run, ours, output.kinds, answer.spread)
        if answer.beside is not None and "neighbour" in output.pictures:
            found |= neighbour_pictures(answer.beside, output.kinds, answer.spread)
        return found

    deliver(output, heat_document(answer), texts, drawn, shown=int(full))


for study in (*STUDIES, *BENCH):
    brazeclock.add_command(study)
for command in brazeclock.commands.values():
    debug_option(command)
