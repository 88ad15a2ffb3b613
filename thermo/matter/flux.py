"""Brazing fluxes by EN 1045 / ISO 18496 and AWS A5.31 class, and the stages seen as they heat."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType

from thermo.matter.records import Record, find, table

FUME_CAUTION = (
    "Flux gives off fume that can hold fluorides, and spits as its water leaves: ventilate, keep "
    "out of the fume, wear eye protection."
)
STEAM_CAUTION = (
    "Water goes on leaving flux up to about 300 °C, long after it looks dry: steam shut in a hole "
    "can throw the rod or hot flux. Give it a way out and heat slowly."
)
RESIDUE_CAUTION = "Residue corrodes and takes up water: wash it off."


@dataclass(frozen=True)
class Flux:
    """A flux and what is seen as it heats.

    Parameters
    ----------
    name, standard : str
        Class and the standard that defines it.
    low_C, high_C : float
        Range in which it works [°C].
    form, composition, use, residue : str
        As told by the class; "" where not known.
    corrosive : bool
        True when the residue corrodes, or when that is not known.
    stages : mapping
        Records [°C] of "dry", "milky" and "clear".
    source, provenance : str
        Where the range comes from.
    """

    name: str
    standard: str
    low_C: float
    high_C: float
    form: str
    composition: str
    use: str
    residue: str
    corrosive: bool
    stages: Mapping[str, Record]
    source: str
    provenance: str

    @classmethod
    def custom(cls, low_C: float, high_C: float) -> Flux:
        """Make a flux of one's own from its working range.

        Raises
        ------
        ValueError
            Upper end not above the lower.
        """
        if high_C <= low_C:
            raise ValueError(f"flux range {low_C:g} to {high_C:g} °C: upper end must be higher")
        return cls(
            name=f"{low_C:g} to {high_C:g} °C",
            standard="",
            low_C=low_C,
            high_C=high_C,
            form="",
            composition="",
            use="",
            residue="not known: treat as corrosive and wash off",
            corrosive=True,
            stages=flux_stages(low_C),
            source="assumed",
            provenance="given by the user",
        )

    def __repr__(self) -> str:
        return f"<Flux {self.name}: {self.low_C:g} to {self.high_C:g} °C>"

    @property
    def boric(self) -> bool:
        """False only where the class is known to hold no boron compounds, which bind water."""
        return "no boron" not in self.composition

    @property
    def cautions(self) -> tuple[str, ...]:
        """What can hurt."""
        residue = (RESIDUE_CAUTION,) if self.corrosive else ()
        return (FUME_CAUTION, STEAM_CAUTION, *residue)


def flux_names() -> list[str]:
    """Classes of all fluxes listed."""
    return [row["name"] for row in table("fluxes.csv")]


def get_flux(name: str) -> Flux:
    """Look up a flux by class; case, spaces and hyphens do not matter.

    Raises
    ------
    UnknownName
        No such class.

    References
    ----------
    EN 1045 and AWS A5.31; each flux's `source` and `provenance` tell where its range comes from.

    Examples
    --------
    >>> from thermo import get_flux
    >>> get_flux("FH10")
    <Flux FH10: 550 to 800 °C>
    """
    return _fluxes()[find("flux", name, flux_names())]


def flux_stages(low_C: float) -> Mapping[str, Record]:
    """Temperatures at which a flux dries, turns milky and goes clear.

    They were read for white paste flux. The rule for others: free water and puffing are the same,
    as boric compounds bring them; clear is where white paste goes clear, but never below the
    flux's own range, and its band moves along.

    Parameters
    ----------
    low_C : float
        Lower end of the flux's range [°C].

    Returns
    -------
    mapping
        Records "dry", "milky" and "clear" [°C].
    """
    stages = {row["name"]: Record.of(row) for row in table("flux_stages.csv")}
    white = stages["clear"]
    shift = low_C - white.value
    if shift > 0.0:
        low, high = white.range
        stages["clear"] = replace(
            white,
            value=low_C,
            low=low + shift,
            high=high + shift,
            source="assumed",
            provenance="assumed: clear at the lower end of its range; band of white paste moved",
        )
    return MappingProxyType(stages)


@cache
def _fluxes() -> Mapping[str, Flux]:
    return MappingProxyType({row["name"]: _read(row) for row in table("fluxes.csv")})


def _read(row: Mapping[str, str]) -> Flux:
    low_C = float(row["low_C"])
    return Flux(
        name=row["name"],
        standard=row["standard"],
        low_C=low_C,
        high_C=float(row["high_C"]),
        form=row["form"],
        composition=row["composition"],
        use=row["use"],
        residue=row["residue"],
        corrosive=row["corrosive"] == "yes",
        stages=flux_stages(low_C),
        source=row["source"],
        provenance=row["provenance"],
    )
