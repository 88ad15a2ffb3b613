"""What people write and read: case and torch files, their units and their messages."""

from thermo.files.case import case_from_options, read_case, under_torch
from thermo.files.errors import CaseError, Problem
from thermo.files.findings import Finding, findings
from thermo.files.setup import strategies_of, to_setup
from thermo.files.tables import Assumed, Case
from thermo.files.template import new_case_text
from thermo.files.torch_file import read_torch_file

__all__ = [
    "Assumed",
    "Case",
    "CaseError",
    "Finding",
    "Problem",
    "case_from_options",
    "findings",
    "new_case_text",
    "read_case",
    "read_torch_file",
    "strategies_of",
    "to_setup",
    "under_torch",
]
