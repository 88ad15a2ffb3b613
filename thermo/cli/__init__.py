"""The command brazeclock; computes nothing."""

from thermo.cli.commands import brazeclock

__all__ = ["brazeclock"]
