"""A group of commands whose messages cannot steer a screen."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from typing import Any

import click


class Spoken(click.Group):
    """Commands that show what was given them without the characters that steer a screen."""

    def make_context(self, *args: Any, **extra: Any) -> click.Context:
        """Read the words before the command's name."""
        with _spoken():
            return super().make_context(*args, **extra)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command that is asked for."""
        with _spoken():
            return super().invoke(ctx)


@contextlib.contextmanager
def _spoken() -> Iterator[None]:
    """Screen the message of every fault on its way out, and shorten lines too long to read."""
    try:
        yield
    except click.ClickException as fault:
        from thermo.files.errors import screened, shortened

        fault.message = "\n".join(map(shortened, screened(fault.message).split("\n")))  # type: ignore[misc]
        raise
