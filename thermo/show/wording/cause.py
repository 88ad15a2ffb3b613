"""One cause in words, and how its numbers are put in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from thermo.show.wording.words import two_digits
from thermo.study.evidence import Evidence


@dataclass(frozen=True)
class Words:
    """A cause in words.

    Attributes
    ----------
    name : str
    practice, change : str
        What practice says of it, and what to change.
    says : mapping
        What the model says, by `Evidence.how`; filled with the sign's numbers.
    brief : mapping
        The same in a few words, to hold two runs against each other.
    source : str
        Where practice has it from.
    asks : str
        What the maker may have seen that decides; empty where nothing does.
    """

    name: str
    practice: str
    change: str
    says: Mapping[str, str]
    brief: Mapping[str, str] = field(default_factory=dict)
    source: str = "common practice, no source"
    asks: str = ""

    def model_says(self, sign: Evidence) -> str:
        """What the model says of a sign."""
        return _filled(self.says[sign.how], sign)

    def in_short(self, sign: Evidence) -> str:
        """The same in a few words."""
        return _filled(self.brief[sign.how], sign)


class _Plain(float):
    """A number that is written without powers of ten."""

    def __format__(self, form: str) -> str:
        return two_digits(self) if form.endswith("g") else super().__format__(form)


def _filled(words: str, sign: Evidence) -> str:
    """Words with the sign's numbers in their places."""
    return words.format(**{name: _Plain(value) for name, value in sign.numbers.items()})
