"""The commands that ask for many brazes at once: compare, rods, sizes, diagnose."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from difflib import get_close_matches
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

import click

from thermo.cli.progress import counting, foretell
from thermo.cli.shared import (
    Command,
    Refused,
    Wanted,
    accuracy_option,
    as_json_option,
    case_from,
    deliver,
    error_boundary,
    force_option,
    joint_options,
    known_torch,
    members_option,
    no_members_option,
    output_for,
    picture_options,
    run_of,
    workers_option,
)
from thermo.constants import MM

if TYPE_CHECKING:
    from thermo.braze import Work
    from thermo.files import Case
    from thermo.files.tables import Table
    from thermo.study.choose import Way

OURS = ("table.txt", "result.json")
MOST = 24
DRAWS = 32
"""Members of each braze, unless the maker says."""

Found = TypeVar("Found")


def run_options(members: Callable[[Command], Command]) -> Callable[[Command], Command]:
    """Accuracy, members, workers, JSON, folder and pictures: what every study takes."""
    out = click.option(
        "--out", metavar="DIR", help="Folder for the files; default: named after the case."
    )
    numbers = (accuracy_option, members, workers_option)
    output = (as_json_option, out, force_option, picture_options("table and JSON"))

    def decorated(command: Command) -> Command:
        for option in reversed((*numbers, *output)):
            command = option(command)
        return command

    return decorated


def _millimetres(table: str) -> Callable[[click.Context, click.Parameter, Any], Any]:
    """Reads a comma separated list of diameters, each as a case file allows it in a table [m]."""

    def parse(
        context: click.Context, option: click.Parameter, value: str | None
    ) -> list[float] | None:
        if value is None:
            return None
        items = [item.strip() for item in value.split(",")]
        try:
            if len(items) > MOST:
                raise ValueError(f"{len(items)} values; give no more than {MOST}")
            found = [_millimetre(item, table) * MM for item in items]
            _no_decimal_commas(items)
            return found
        except ValueError as fault:
            raise click.BadParameter(str(fault), context, option) from None

    return parse


def _no_decimal_commas(items: Sequence[str]) -> None:
    """Ask where whole sizes go up and down, and would rise were every other comma a point."""
    meant = [f"{a}.{b}" for a, b in zip(items[::2], items[1::2], strict=False)]
    whole = len(items) in range(4, MOST + 1, 2) and all(item.isdigit() for item in items)
    if whole and not _rising(items) and _rising(meant):
        text = f"did you mean {','.join(meant)}? A comma parts sizes; decimals take a point"
        raise ValueError(f"{','.join(items)}: {text}. Else give sizes from small to large")


def _rising(items: Sequence[str]) -> bool:
    return sorted(items, key=float) == list(items)


def _millimetre(item: str, table: str) -> float:
    """One diameter [mm]; ValueError with what to give."""
    from thermo.files.errors import shown
    from thermo.files.hints import meant

    example = "give millimetres, comma separated, as in 1.2,1.6,2.4"
    if not item:
        raise ValueError(f"a value is missing; {example}")
    try:
        number = float(item)
    except ValueError:
        number = math.nan
    if math.isnan(number):
        number_meant = meant(item)
        text = example if number_meant is None else f"write {number_meant}: the unit is mm"
        raise ValueError(f"{shown(item)} is not a number; {text}")
    try:
        return float(_range(table).check(number))
    except ValueError as fault:
        raise ValueError(f"{item}: {fault}") from None


def _range(table: str) -> Any:
    """What a case file allows for the diameter of "ball" or "rod"."""
    from thermo.files.tables import Ball, Rod

    models: dict[str, type[Table]] = {"ball": Ball, "rod": Rod}
    (found,) = models[table].model_fields["diameter_mm"].metadata
    return found


@click.command()
@joint_options
@run_options(members_option(DRAWS))
def compare(
    case: str | None,
    ball: float | None,
    rod: float | None,
    torch: str | None,
    accuracy: str,
    members: int,
    workers: int | None,
    as_json: bool,
    out: str | None,
    force: bool,
    pictures: Wanted,
) -> None:
    """Rank ways of holding the torch: the usual ones and yours.

    Three options will do in place of a CASE: --ball 6 --rod 2.4 --torch pocket.
    """
    with error_boundary():
        from thermo.files import strategies_of, to_setup
        from thermo.show.documents.compare import compare_document
        from thermo.show.tables.compare import compare_text
        from thermo.study.compare import compare as compared

        read = case_from(case, ball, rod, torch)
        output = output_for("compare", read, OURS, out, as_json, pictures, force)
        strategies = list(strategies_of(read).values())
        found = _run(
            read,
            workers,
            partial(
                compared, to_setup(read), strategies, accuracy, workers, case=read, members=members
            ),
            members,
        )

        def drawn() -> dict[str, bytes]:
            from thermo.show.pictures.studies import compare_pictures

            return compare_pictures(found, output.kinds)

        deliver(output, compare_document(found, read), partial(compare_text, found, read), drawn)


@click.command()
@joint_options
@run_options(members_option(DRAWS))
@click.option(
    "--rods",
    "diameters",
    metavar="MM,MM,...",
    callback=_millimetres("rod"),
    required=True,
    help="Rods' diameters.",
)
def rods(
    case: str | None,
    ball: float | None,
    rod: float | None,
    torch: str | None,
    accuracy: str,
    members: int,
    workers: int | None,
    as_json: bool,
    out: str | None,
    force: bool,
    pictures: Wanted,
    diameters: list[float],
) -> None:
    """Try rods of several diameters: how thin may one be.

    Each has its hole drilled with the case's own gap, and the flame held on the ball, at the mouth
    and on the rod: brazeclock rods CASE --rods 1.2,1.6,2.4. Three options will do in place of a
    CASE: --ball 6 --rod 2.4 --torch pocket.
    """
    with error_boundary():
        from thermo.files import to_setup
        from thermo.show.documents.rods import rods_document
        from thermo.show.tables.rods import rods_text
        from thermo.study.rods import rods as tried

        read = case_from(case, ball, rod, torch)
        output = output_for("rods", read, OURS, out, as_json, pictures, force)
        found = _run(
            read,
            workers,
            partial(
                tried, to_setup(read), diameters, accuracy, workers, case=read, members=members
            ),
            members,
        )

        def drawn() -> dict[str, bytes]:
            from thermo.show.pictures.studies import rods_pictures

            return rods_pictures(found, output.kinds)

        deliver(output, rods_document(found, read), partial(rods_text, found, read), drawn)


@click.command()
@joint_options
@run_options(members_option(DRAWS))
@click.option(
    "--balls",
    metavar="MM,MM,...",
    callback=_millimetres("ball"),
    required=True,
    help="Balls' diameters.",
)
@click.option(
    "--rods",
    "diameters",
    metavar="MM,MM,...",
    callback=_millimetres("rod"),
    help="One rod for each ball; default: the case's own for all.",
)
@click.option("--scale-rod", is_flag=True, help="Rods by rule: as much thicker as the ball.")
def sizes(
    case: str | None,
    ball: float | None,
    rod: float | None,
    torch: str | None,
    accuracy: str,
    members: int,
    workers: int | None,
    as_json: bool,
    out: str | None,
    force: bool,
    pictures: Wanted,
    balls: list[float],
    diameters: list[float] | None,
    scale_rod: bool,
) -> None:
    """Braze balls of other sizes: where does the torch give up.

    All else is the case's own, the rod too: brazeclock sizes CASE --balls 3,4,6,8, if need be with
    --torch KIND.
    Three options will do in place of a CASE: --ball 6 --rod 2.4 --torch pocket.
    """
    with error_boundary():
        from thermo.files import to_setup
        from thermo.show.documents.sizes import sizes_document
        from thermo.show.tables.sizes import GIVEN, OWN, SCALED, sizes_text
        from thermo.study.sizes import on_one_rod
        from thermo.study.sizes import sizes as tried

        if scale_rod and diameters is not None:
            raise click.UsageError("give --rods or --scale-rod, not both")
        read = case_from(case, ball, rod, known_torch(torch), other_torch=True)
        output = output_for("sizes", read, OURS, out, as_json, pictures, force)
        setup, left_out = to_setup(read, _way(read, members).strategy), dict[float, str]()
        rule = SCALED if scale_rod else GIVEN
        if diameters is None and not scale_rod:
            rule, (fit, left_out) = OWN, on_one_rod(setup, balls)
            balls = fit or balls
            diameters = [setup.joint.rod_diameter] * len(balls)
        found = _run(
            read,
            workers,
            partial(tried, setup, balls, diameters, accuracy, workers, case=read, members=members),
            members,
        )

        def drawn() -> dict[str, bytes]:
            from thermo.show.pictures.studies import sizes_pictures

            return sizes_pictures(found, output.kinds)

        text = partial(sizes_text, found, read, rule, left_out)
        deliver(output, sizes_document(found, read, left_out), text, drawn)


def _symptoms(
    context: click.Context, option: click.Parameter, value: tuple[str, ...]
) -> tuple[str, ...]:
    from thermo.study.causes import SYMPTOMS

    for name in value:
        if name not in SYMPTOMS:
            near = get_close_matches(name.casefold(), SYMPTOMS, 1)
            meant = f" (nearest: {near[0]})" if near else ""
            text = f"{name!r} is not known{meant}; give {', '.join(SYMPTOMS)}"
            raise click.BadParameter(text, context, option)
    return value


@click.command()
@click.argument("case")
@run_options(no_members_option)
@click.option(
    "--seen",
    "symptoms",
    metavar="SYMPTOM",
    callback=_symptoms,
    required=True,
    multiple=True,
    help="What was seen: ran-outside, gap-dry, black-flux, burst, rod-burnt, neighbour-let-go, "
    "filler-balled; may be given more than once.",
)
def diagnose(
    case: str,
    accuracy: str,
    members: int,
    workers: int | None,
    as_json: bool,
    out: str | None,
    force: bool,
    pictures: Wanted,
    symptoms: tuple[str, ...],
) -> None:
    """Rank what may have gone wrong, by how near the case comes to it.

    What may help is tried in the model: brazeclock diagnose CASE --seen ran-outside --seen gap-dry
    """
    with error_boundary():
        from thermo.files import read_case, to_setup
        from thermo.show.documents.diagnose import diagnose_document
        from thermo.show.tables.diagnose import diagnose_text
        from thermo.study.diagnose import diagnose as diagnosed

        read = read_case(case)
        output = output_for("diagnose", read, OURS, out, as_json, pictures, force)
        found = _run(read, workers, partial(diagnosed, to_setup(read), symptoms, accuracy, workers))

        def drawn() -> dict[str, bytes]:
            from thermo.show.pictures.diagnose import diagnose_pictures

            return diagnose_pictures(found, output.kinds)

        deliver(output, diagnose_document(found, read), partial(diagnose_text, found, read), drawn)


def _way(case: Case, members: int) -> Way:
    """How the torch is held, as `heat` takes it."""
    from thermo.study.choose import way_for

    with run_of(case), counting("trying ways of holding the torch ...") as tell:
        return way_for(case, done=tell, members=members)


def _run(case: Case, workers: int | None, study: Callable[..., Found], members: int = 0) -> Found:
    """Run a study with a bar, long ones foretold; joints that do not fit are refused."""
    from thermo.study.fit import Misfit
    from thermo.study.pool import processes

    def begins(runs: Sequence[Work]) -> None:
        every = [*runs, *(run.drawn(members) for run in runs if members)]
        foretell(case, every, processes(len(every), workers))

    with run_of(case), counting("heating ...") as done:
        try:
            return study(done=done, begins=begins)
        except Misfit as fault:
            raise Refused(f"{case.source}: {fault}") from fault


STUDIES = (compare, rods, sizes, diagnose)
