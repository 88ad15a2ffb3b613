"""The form of every document as JSON Schema."""

from __future__ import annotations

from typing import Any

from thermo.show.documents import (
    check,
    compare,
    diagnose,
    fill,
    fit_torch,
    heat,
    listing,
    new,
    plan,
    practice,
    rods,
    sizes,
)
from thermo.show.documents.base import Document

DOCUMENTS: dict[str, type[Document]] = {
    heat.SCHEMA: heat.HeatDocument,
    compare.SCHEMA: compare.CompareDocument,
    rods.SCHEMA: rods.RodsDocument,
    sizes.SCHEMA: sizes.SizesDocument,
    fill.SCHEMA: fill.FillDocument,
    diagnose.SCHEMA: diagnose.DiagnoseDocument,
    fit_torch.SCHEMA: fit_torch.FitTorchDocument,
    plan.SCHEMA: plan.PlanDocument,
    practice.SCHEMA: practice.PracticeDocument,
    new.SCHEMA: new.NewDocument,
    check.SCHEMA: check.CheckDocument,
    listing.SCHEMA: listing.ListDocument,
}
SCHEMA = "brazeclock/schema/1"


class SchemaDocument(Document):
    """Every document's form, as JSON Schema, by the value of its key "schema"."""

    documents: dict[str, dict[str, Any]]


def schema_document() -> SchemaDocument:
    """The form of every document."""
    forms = {
        name: model.model_json_schema(mode="serialization") for name, model in DOCUMENTS.items()
    }
    return SchemaDocument(schema=SCHEMA, documents=forms)
