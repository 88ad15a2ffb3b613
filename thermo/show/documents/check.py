"""What `check` says of a case, as JSON values."""

from __future__ import annotations

from thermo import __version__
from thermo.files import Case, findings
from thermo.show.documents.base import Assumption, Document, Part

SCHEMA = "brazeclock/check/1"


class FindingPart(Part):
    """Something to know of a case: "unusual", "note" or "usual"."""

    level: str
    text: str
    source: str


class CheckDocument(Document):
    """What is usual in a case and what is not, and what it leaves open."""

    case: str
    title: str
    version: str
    findings: list[FindingPart]
    assumed: list[Assumption]


def check_document(case: Case) -> CheckDocument:
    """What is usual in a case and what is not.

    Parameters
    ----------
    case : Case
    """
    return CheckDocument(
        schema=SCHEMA,
        case=case.name,
        title=case.title,
        version=__version__,
        findings=[FindingPart.model_validate(finding) for finding in findings(case)],
        assumed=[Assumption.model_validate(item) for item in case.assumed],
    )
