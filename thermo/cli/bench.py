"""The commands round a maker's own bench: fit-torch, practice, plan, sheet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from thermo.cli.answering import answered
from thermo.cli.progress import counting
from thermo.cli.shared import (
    Named,
    Output,
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
    output_for,
    picture_options,
    run_of,
    workers_option,
)

if TYPE_CHECKING:
    from rich.console import RenderableType

    from thermo.braze import Work
    from thermo.files import Case
    from thermo.files.log import LogRow
    from thermo.study.fit_torch import TorchFit
    from thermo.study.score import Score

FIT = ("fit.txt", "torch.toml", "result.json")
SCORE = ("score.txt", "result.json")
PRACTICE = ("practice.txt", "log.csv", "result.json")
SHEET = ("sheet.html", "result.json")
PLAN = ("plan.txt", "log.csv", "result.json")
SAID = "my-torch"
CLOCKED = 256
"""Members of the page's clock, unless the maker says."""
DRAWS = 32
"""Members of each piece, unless the maker says."""


@click.command()
@joint_options
@click.option("--way", metavar="NAME", help="How the torch is held; default: as heat takes it.")
@accuracy_option
@members_option(CLOCKED)
@as_json_option
@click.option("--out", metavar="DIR", help="Folder for the files; default: named after the case.")
@force_option
def sheet(
    case: str | None,
    ball: float | None,
    rod: float | None,
    torch: str | None,
    way: str | None,
    accuracy: str,
    members: int,
    as_json: bool,
    out: str | None,
    force: bool,
) -> None:
    """Write the bench page: to print, or to open for its clock.

    It opens from disk and asks nothing of a network. Three options will do in place of a CASE:
    --ball 6 --rod 2.4 --torch pocket.
    """
    with error_boundary():
        from thermo.show.documents.heat import heat_document

        read, none = case_from(case, ball, rod, torch), Wanted(none=True, svg=False)
        output = output_for("sheet", read, SHEET, out, as_json, none, force)
        answer = answered(read, way, accuracy, members)

        def texts() -> tuple[str, ...]:
            from thermo.show.page.inside import inside
            from thermo.show.page.sheet import sheet_html

            return (sheet_html(answer, inside(answer.run)),)

        deliver(output, heat_document(answer), texts, dict, quiet=True)


@click.command("fit-torch")
@click.argument("log", required=False)
@click.option("--saw", metavar="WORDS", help='In place of a LOG: "6 on 2.4: clear 41, filled 62".')
@click.option(
    "--torch",
    metavar="KIND",
    default="pocket",
    show_default=True,
    help="What it was taken for: pocket, pencil, hand, or a torch file.",
)
@click.option("--score", is_flag=True, help="Only say how past bands did.")
@workers_option
@as_json_option
@click.option("--out", metavar="DIR", help="Folder for the files; default: named after the log.")
@force_option
@picture_options("text, torch file and JSON")
def fit_torch(
    log: str | None,
    saw: str | None,
    torch: str,
    score: bool,
    workers: int | None,
    as_json: bool,
    out: str | None,
    force: bool,
    pictures: Wanted,
) -> None:
    """Learn how strong your torch is from what you saw.

    LOG is a CSV file with a header, or TOML: a row for each joint, with ball_diameter_mm,
    rod_diameter_mm and what was seen, such as flux_clear_s and filled_s. It writes a torch file
    that cases can name.
    """
    with error_boundary():
        from thermo.files.log import read_log, said
        from thermo.study.score import score as scored

        if (log is None) == (saw is None):
            raise click.UsageError("give a LOG, or --saw, not both")
        known_torch(torch)
        whose = Named(Path(log).stem, log) if log is not None else Named(SAID, "--saw")
        files = SCORE if score else FIT
        output = output_for("fit-torch", whose, files, out, as_json, pictures, force)
        rows = read_log(log) if log is not None else said(saw or "")
        if score:
            _deliver_score(output, scored(rows), torch)
            return
        folder = Path(log).parent if log is not None else Path()
        _deliver_fit(output, _fitted(whose, rows, torch, folder, workers), scored(rows), torch)


@click.command()
@joint_options
@accuracy_option
@members_option(DRAWS)
@as_json_option
@click.option("--out", metavar="DIR", help="Folder for the files; default: named after the case.")
@force_option
def practice(
    case: str | None,
    ball: float | None,
    rod: float | None,
    torch: str | None,
    accuracy: str,
    members: int,
    as_json: bool,
    out: str | None,
    force: bool,
) -> None:
    """Say what to practise on spares first, and leave a log to fill in.

    Three options will do in place of a CASE: --ball 6 --rod 2.4 --torch pocket.
    """
    with error_boundary():
        from thermo.show.documents.practice import practice_document
        from thermo.study.practice import practice as practised

        read = case_from(case, ball, rod, torch)
        none = Wanted(none=True, svg=False)
        output = output_for("practice", read, PRACTICE, out, as_json, none, force)
        with run_of(read), counting("heating spares ...") as tell:
            from thermo.study.choose import way_for

            way = way_for(read, done=tell, members=members)
            found = practised(read, way, accuracy, members, tell)

        def texts() -> tuple[RenderableType, ...]:
            from thermo.show.card.practice import log_text, practice_text

            return practice_text(found), log_text(found)

        deliver(output, practice_document(found), texts, dict)


@click.command()
@click.argument("parts", metavar="LIST")
@accuracy_option
@members_option(DRAWS)
@workers_option
@as_json_option
@click.option("--out", metavar="DIR", help="Folder for the files; default: named after the list.")
@force_option
def plan(
    parts: str,
    accuracy: str,
    members: int,
    workers: int | None,
    as_json: bool,
    out: str | None,
    force: bool,
) -> None:
    """Plan a whole build: order of work, filler, spares, gas.

    LIST is a CSV file with the header part,count,case,rod (rod: the same word for joints that share
    one), or TOML with [[part]] tables. Case files are looked for beside it.
    """
    with error_boundary():
        from thermo.cli.progress import foretell
        from thermo.files.build_list import read_build_list
        from thermo.show.documents.plan import plan_document
        from thermo.study.plan import plan as planned

        whose, none = Named(Path(parts).stem, parts), Wanted(none=True, svg=False)
        output = output_for("plan", whose, PLAN, out, as_json, none, force)
        listed = read_build_list(parts)

        def begins(case: Case, work: Work) -> None:
            foretell(case, [work])

        with run_of(whose), counting("heating the parts ...") as tell:
            found = planned(listed, Path(parts).parent, accuracy, members, workers, tell, begins)

        def texts() -> tuple[RenderableType, ...]:
            from thermo.show.tables.plan import plan_log, plan_text

            return plan_text(found), plan_log(found)

        deliver(output, plan_document(found), texts, dict)


def _fitted(
    whose: Named, rows: list[LogRow], torch: str, folder: Path, workers: int | None
) -> TorchFit:
    from thermo.study.fit_torch import fit_torch as fitted

    with run_of(whose), counting("heating with torches of the kind ...") as tell:
        return fitted(rows, torch, folder, workers, tell)


def _deliver_score(output: Output, score: Score, torch: str) -> None:
    from thermo.show.documents.fit_torch import fit_document
    from thermo.show.tables.fit_torch import score_text

    deliver(output, fit_document(None, score, torch), lambda: (score_text(score),), dict)


def _deliver_fit(output: Output, fit: TorchFit, score: Score, torch: str) -> None:
    from thermo.show.documents.fit_torch import fit_document
    from thermo.study.own_torch import torch_text

    def texts() -> tuple[RenderableType, ...]:
        from thermo.show.tables.fit_torch import fit_text

        return fit_text(fit, score, torch), torch_text(fit, torch)

    def drawn() -> dict[str, bytes]:
        from thermo.show.pictures.fit_torch import fit_pictures

        return fit_pictures(fit, output.kinds)

    deliver(output, fit_document(fit, score, torch), texts, drawn)


BENCH = (fit_torch, practice, plan, sheet)
