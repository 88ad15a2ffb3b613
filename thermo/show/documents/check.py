"""What `check` says of a case, as JSON values."""

from __future__ import annotations

from typing import Any

from thermo import __version__
from thermo.files import Case, findings

SCHEMA = "brazeclock/check/1"


def check_document(case: Case) -> dict[str, Any]:
    """The same as JSON values."""
    return {
        "schema": SCHEMA,
        "case": case.name,
        "title": case.title,
        "version": __version__,
        "findings": [
            {"level": f.level, "text": f.text, "source": f.source} for f in findings(case)
        ],
        "assumed": [{"key": a.key, "value": a.value, "why": a.why} for a in case.assumed],
    }
