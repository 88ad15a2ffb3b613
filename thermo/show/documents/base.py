"""What every document is made of: typed parts that take no key they do not know."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from thermo.show.wording.words import number

Number = Annotated[float | None, BeforeValidator(number)]
"""A number, or null where there is none or no finite one."""


class Part(BaseModel):
    """A part of a document; may be read off an object with attributes of the same names."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, from_attributes=True, protected_namespaces=()
    )


class Document(Part):
    """A whole document. Its key "schema" tells which, and the version of its form."""

    model_config = ConfigDict(populate_by_name=True)

    schema_: str = Field(alias="schema")


class Assumption(Part):
    """A value that the case leaves open, and why it is taken."""

    key: str
    value: str
    why: str
