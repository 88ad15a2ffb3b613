"""What `new` wrote, as JSON values."""

from __future__ import annotations

from thermo.show.documents.base import Document

SCHEMA = "brazeclock/new/1"


class NewDocument(Document):
    """The case file that was written."""

    file: str


def new_document(file: str) -> NewDocument:
    """The case file that was written."""
    return NewDocument(schema=SCHEMA, file=file)
