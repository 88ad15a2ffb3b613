"""What the commands share: options, messages with exit codes, folders, progress."""

from __future__ import annotations

import contextlib
import functools
import os
import sys
import traceback
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, TypeVar, cast

import click

from thermo.stopping import exit_code, last_words

if TYPE_CHECKING:  # the rest is imported where it is used: help and check answer at once
    from pydantic import BaseModel
    from rich.console import RenderableType

    from thermo.files import Case
    from thermo.show.folder import Owner


Command = TypeVar("Command", bound=Callable[..., Any])

DEBUG = f"{__name__}.debug"
PICTURES = {
    "heat": ("overview", "times", "section", "gap", "filling", "leeway", "rod", "neighbour"),
    "fill": ("fill",),
    "compare": ("strategies", "leeway"),
    "rods": ("rods",),
    "sizes": ("sizes",),
    "diagnose": ("diagnose",),
    "fit-torch": ("torch",),
    "practice": (),
    "plan": (),
    "sheet": (),
}
"""Pictures that a command may draw."""
FIRST = {"heat": ("overview", "section", "neighbour")}
"""Those of them that it draws unless all are asked for."""


@dataclass(frozen=True)
class Wanted:
    """Which pictures are asked for: none, the first or all of them; as .svg, too."""

    none: bool
    svg: bool
    all: bool = False

    def names(self, command: str) -> tuple[str, ...]:
        """Pictures of a command."""
        if self.none:
            return ()
        return PICTURES[command] if self.all else FIRST.get(command, PICTURES[command])

    @property
    def kinds(self) -> tuple[str, ...]:
        """What each is kept as."""
        return ("png", "svg") if self.svg else ("png",)


def picture_options(what: str, *, more: bool = False) -> Callable[[Command], Command]:
    """Options about pictures, which reach the command as one `pictures`; `what` is else written."""

    def decorated(command: Command) -> Command:
        @functools.wraps(command)
        def packed(*args: Any, no_pictures: bool, svg: bool, **other: Any) -> Any:
            wanted = Wanted(no_pictures, svg, other.pop("all_pictures", False))
            return command(*args, pictures=wanted, **other)

        found: Any = packed
        if more:
            found = click.option("--all-pictures", is_flag=True, help="Draw all there are.")(found)
        found = click.option("--svg", is_flag=True, help="Keep pictures as .svg, too.")(found)
        help_ = f"Write {what} only."
        found = click.option("--no-pictures", is_flag=True, help=help_)(found)
        return cast("Command", found)

    return decorated


class Refused(click.ClickException):
    """Something the user gave cannot be used."""

    exit_code = 2


class Failed(click.ClickException):
    """The run failed."""

    exit_code = 1


class Interrupted(click.ClickException):
    """A signal, as Ctrl-C, ended the run."""

    def __init__(self, fault: KeyboardInterrupt) -> None:
        super().__init__(last_words(fault))
        self.exit_code = exit_code(fault)  # type: ignore[misc]

    def show(self, file: IO[Any] | None = None) -> None:
        """Say so on stderr; it is no error."""
        click.echo(self.message, file=file, err=True)


class Guarded(click.Group):
    """Commands of which none ends in a traceback, unless `--debug` asks for it.

    What is given them is shown without the characters that steer a screen.
    """

    def make_context(self, *args: Any, **extra: Any) -> click.Context:
        """Read the words before the command's name."""
        with _screened():
            return super().make_context(*args, **extra)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command that is asked for."""
        try:
            with _screened():
                return super().invoke(ctx)
        except (click.ClickException, KeyboardInterrupt) as fault:
            if ctx.meta.get(DEBUG):
                traceback.print_exception(fault)
            if isinstance(fault, KeyboardInterrupt):
                raise Interrupted(fault) from fault
            raise


@contextlib.contextmanager
def _screened() -> Iterator[None]:
    """Screen the message of every fault on its way out, and shorten lines too long to read."""
    try:
        yield
    except click.ClickException as fault:
        from thermo.files.errors import screened, shortened

        fault.message = "\n".join(map(shortened, screened(fault.message).split("\n")))  # type: ignore[misc]
        raise


def _debug(context: click.Context, option: click.Parameter, value: bool) -> None:
    if value:
        context.meta[DEBUG] = True


def _no_band(context: click.Context, option: click.Parameter, value: int) -> int:
    if value != 0:
        raise click.BadParameter("no band is computed here: give 0", context, option)
    return value


as_json_option = click.option(
    "--json", "as_json", is_flag=True, help="Print one JSON document and nothing else."
)
debug_option = click.option(
    "--debug",
    is_flag=True,
    expose_value=False,
    is_eager=True,
    callback=_debug,
    help="Show the traceback of a fault too.",
)
force_option = click.option(
    "--force",
    is_flag=True,
    help="Write over the results of another case or command in the folder; never over other files.",
)
accuracy_option = click.option(
    "--accuracy",
    type=click.Choice(["quick", "normal", "fine"]),
    default="normal",
    show_default=True,
    help="How fine the mesh is.",
)
workers_option = click.option(
    "--workers",
    type=click.IntRange(1, 64),
    metavar="N",
    help="Processes, 1 to 64; default: one per core. The numbers are the same with any.",
)
no_members_option = click.option(
    "--members",
    type=int,
    default=0,
    metavar="N",
    callback=_no_band,
    help="0: no band of times is computed here.",
)


def members_option(count: int) -> Callable[[Command], Command]:
    """How many draws are marched, so many unless the maker says."""
    return click.option(
        "--members",
        type=click.IntRange(0, 1024),
        default=count,
        show_default=True,
        metavar="N",
        help="Draws of what is not known, torch and hand among it, for bands; 0, none, to 1024.",
    )


class Millimetres(click.ParamType):  # type: ignore[type-arg]
    """A size in millimetres, a plain number."""

    name = "millimetres"

    def convert(
        self, value: Any, param: click.Parameter | None, context: click.Context | None
    ) -> float:
        """The number; a message with what was most likely meant otherwise."""
        from thermo.files.errors import shown
        from thermo.files.hints import meant

        try:
            return float(value)
        except ValueError:
            number = meant(str(value))
            hint = "give millimetres, as in 2.4" if number is None else f"write {number}, in mm"
            self.fail(f"{shown(value)} is not a number; {hint}", param, context)


def joint_options(command: Command) -> Command:
    """A case, or three options in its place."""
    for option in (
        click.option("--torch", metavar="KIND", help="pocket, pencil, hand, or a torch file."),
        click.option(
            "--rod", type=Millimetres(), metavar="MM", help="Rod's diameter, in place of a CASE."
        ),
        click.option(
            "--ball", type=Millimetres(), metavar="MM", help="Ball's diameter, in place of a CASE."
        ),
        click.argument("case", required=False),
    ):
        command = option(command)
    return command


def case_from(
    case: str | None,
    ball: float | None,
    rod: float | None,
    torch: str | None,
    *,
    other_torch: bool = False,
) -> Case:
    """The case from a file or from three options, never both; a file under another torch, maybe."""
    from thermo.files import case_from_options, read_case, under_torch

    if other_torch and case is not None and torch is not None and ball is None and rod is None:
        return under_torch(read_case(case), torch)

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


@contextlib.contextmanager
def error_boundary() -> Iterator[None]:
    """Turn every fault into one message and an exit code: 2 for input, 1 for a run."""
    from thermo.files import CaseError
    from thermo.show.writing import OutputError

    try:
        yield
    except (CaseError, OutputError) as fault:
        raise Refused(str(fault)) from fault
    except click.ClickException:
        raise
    except Exception as fault:
        text = f"a fault of brazeclock, not of yours: {type(fault).__name__}: {_one_line(fault)}"
        raise Failed(text) from fault


@dataclass(frozen=True)
class Named:
    """What a command was asked about, where that is no case: its short name, and its source."""

    name: str
    source: str


def known_torch(torch: str | None) -> str | None:
    """A torch that there is, or else a message with all kinds."""
    from thermo.matter import torch_kinds

    if torch is not None and torch not in torch_kinds() and not torch.endswith(".toml"):
        known = ", ".join(torch_kinds())
        raise click.BadParameter(
            f"{torch!r} is not known; give {known}, or a torch file (.toml)", param_hint="'--torch'"
        )
    return torch


@contextlib.contextmanager
def run_of(case: Case | Named) -> Iterator[None]:
    """Turn a failure of the model into a message that names the case."""
    from thermo.braze import BrazeError
    from thermo.heat import MarchError
    from thermo.stopping import WorkerLost

    try:
        yield
    except (BrazeError, MarchError, WorkerLost) as fault:
        raise Failed(f"{case.source}: the run failed: {_one_line(fault)}") from fault


@dataclass(frozen=True)
class Output:
    """What is asked for: texts and document by name in a folder, None for nowhere; the screen."""

    files: tuple[str, ...]
    folder: Path | None
    as_json: bool
    pictures: tuple[str, ...]
    kinds: tuple[str, ...]
    owner: Owner
    force: bool


def output_for(
    command: str,
    case: Case | Named,
    files: tuple[str, ...],
    out: str | None,
    as_json: bool,
    pictures: Wanted,
    force: bool,
) -> Output:
    """What is asked for; the folder is looked at before the run, which may be long.

    By default it is named after the case, for studies after the command too.
    """
    from thermo.show.folder import check_folder

    if out is not None and not out.strip():
        raise click.UsageError("--out is empty; give a folder")
    name = case.name if case.name.strip(". ") else "braze"
    folder = Path(out or (name if command == "heat" else f"{name}-{command}"))
    owner = _owner(command, case, folder)
    if out is None and as_json:
        return Output(files, None, as_json, (), pictures.kinds, owner, force)
    drawn = pictures.names(command)
    names = [*files, *(f"{name}.{ending}" for name in drawn for ending in pictures.kinds)]
    check_folder(folder, names, owner, force)
    return Output(files, folder, as_json, drawn, pictures.kinds, owner, force)


def _owner(command: str, case: Case | Named, folder: Path) -> Owner:
    """Whose results go to a folder: a case file's, seen from there, or those of three options."""
    from thermo.files.case import FROM_OPTIONS
    from thermo.show.folder import Owner

    if isinstance(case, Named) and case.source.startswith("--"):
        return Owner(command, case.source)
    if not isinstance(case, Named) and case.source == FROM_OPTIONS:
        torch = case.torch.torch_file or case.torch.kind
        ball, rod = case.ball.diameter_mm, case.rod.diameter_mm
        return Owner(command, f"--ball {ball:.12g} --rod {rod:.12g} --torch {torch}")
    file = os.path.realpath(case.source)
    try:
        return Owner(command, os.path.relpath(file, os.path.realpath(folder)))
    except ValueError:  # on another drive
        return Owner(command, file)


def deliver(
    output: Output,
    document: BaseModel,
    texts: Callable[[], RenderableType | tuple[RenderableType, ...]],
    pictures: Callable[[], Mapping[str, bytes]],
    *,
    shown: int = 0,
    quiet: bool = False,
) -> None:
    """Write the files, whole or not at all, then print the text of a number, unless quiet.

    `texts` and `pictures` are called only where they are needed.
    """
    from thermo.show.writing import as_json as text_of

    whole = text_of(document)
    if output.folder is None:
        say(whole)
        return
    from thermo.show.folder import write_folder
    from thermo.show.printing import as_text

    found = texts()
    contents = found if isinstance(found, tuple) else (found,)
    plain = (one if isinstance(one, str) else as_text(one) for one in contents)
    written = (*(one.encode() for one in plain), whole.encode())
    files = dict(zip(output.files, written, strict=True))
    drawn = dict(pictures()) if output.pictures else {}
    write_folder(output.folder, files | drawn, output.owner, output.force)
    if output.as_json:
        say(whole)
        return
    if not quiet:
        say(contents[shown])
        say("")
    say(f"Files are in the folder {output.folder}")


def say(content: RenderableType) -> None:
    """Print to stdout, whole."""
    try:
        if isinstance(content, str):
            from thermo.files.errors import screened

            click.echo(screened(content))
        else:
            from thermo.show.printing import put

            put(content)
        sys.stdout.flush()
    except OSError as fault:
        raise Failed(f"cannot print to stdout: {fault.strerror}") from fault


def _one_line(fault: Exception) -> str:
    return " ".join(str(fault).split())
