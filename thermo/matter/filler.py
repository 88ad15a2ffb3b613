"""Silver fillers by ISO 17672 and AWS A5.8 name."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from thermo.constants import ZERO_C_K
from thermo.matter.records import Record, UnknownName, constant, fold, number, table, trade_words

ATOMIC_MASS = {
    "Ag": 107.868,
    "Cu": 63.546,
    "Zn": 65.38,
    "Sn": 118.71,
    "Cd": 112.414,
    "Ni": 58.693,
    "Mn": 54.938,
}  # IUPAC standard atomic weights 2021, abridged, from memory [g/mol]
ELEMENTS = ("Ag", "Cu", "Zn", "Sn", "Cd", "Ni", "Mn")
STANDARDS_DIFFER_K = 10.0

# A calculated density times these bounds the measured ones of four fillers.
DENSITY_SPREAD = (0.996, 1.051)

# Source: Health and Safety Executive sheet, key hse-eis-31 (fume, lungs, no early symptoms, ban).
CADMIUM_CAUTION = (
    "Contains cadmium: heating it gives off fume that harms lungs and kidneys, at first "
    "unnoticed; banned for brazing in Europe. Do not use it; choose a cadmium-free filler."
)
ZINC_CAUTION = (
    "Contains zinc: overheating drives it off as white fume that causes metal fume fever. "
    "Ventilate and keep out of the fume."
)


@dataclass(frozen=True)
class Filler:
    """A filler metal.

    Parameters
    ----------
    name : str
        As shown: ISO name, or the range of a filler of one's own.
    iso, aws : str
        Names by ISO 17672 and AWS A5.8; "" where there is none.
    melting_iso, melting_aws : tuple of float or None
        Solidus and liquidus [°C] by each standard; None where not listed.
    composition : mapping
        Mass per cent by element; empty for a filler of one's own.
    density_record, brazing_top : Record
        Density at 20 °C [kg/m³], top of the brazing range [°C].
    conductivity : Record or None
        Of the solid at 20 °C [W/(m K)]; None where not known.
    source, provenance : str
        Key of the source of names and temperatures, and how they were reached.
    note : str
        What does not agree between the standards.
    """

    name: str
    iso: str
    aws: str
    melting_iso: tuple[float, float] | None
    melting_aws: tuple[float, float] | None
    composition: Mapping[str, float]
    density_record: Record
    brazing_top: Record
    conductivity: Record | None
    source: str
    provenance: str
    note: str = ""

    @classmethod
    def custom(cls, solidus_C: float, liquidus_C: float) -> Filler:
        """Make a filler of one's own from its melting range; its density is that of Ag 245.

        Raises
        ------
        ValueError
            Liquidus below solidus.
        """
        if liquidus_C < solidus_C:
            raise ValueError(
                f"liquidus {liquidus_C:g} °C lies below solidus {solidus_C:g} °C: swap them"
            )
        twin = get_filler("Ag 245").density_record
        density = Record(
            twin.value, twin.unit, 8500.0, 10000.0, "assumed", "assumed: that of Ag 245"
        )
        return cls(
            name=f"{solidus_C:g}/{liquidus_C:g} °C",
            iso="",
            aws="",
            melting_iso=(solidus_C, liquidus_C),
            melting_aws=None,
            composition={},
            density_record=density,
            brazing_top=_usual_top(liquidus_C),
            conductivity=None,
            source="assumed",
            provenance="given by the user; composition not known",
        )

    def __repr__(self) -> str:
        return f"<Filler {self.name}: {self.solidus_C:g} to {self.liquidus_C:g} °C>"

    @property
    def solidus_C(self) -> float:
        """Melting begins [°C], the ISO column."""
        return self._melting[0]

    @property
    def liquidus_C(self) -> float:
        """Melting is complete [°C], the ISO column."""
        return self._melting[1]

    @property
    def density(self) -> float:
        """Density at 20 °C [kg/m³]."""
        return self.density_record.value

    @property
    def brazing_top_C(self) -> float:
        """Top of the brazing range [°C]; hotter, zinc boils off and the joint suffers."""
        return self.brazing_top.value

    @property
    def cadmium(self) -> bool:
        """True when it contains cadmium."""
        return self.composition.get("Cd", 0.0) > 0.0

    @property
    def zinc_percent(self) -> float | None:
        """Zinc by mass [%]; None when the composition is not known."""
        return self.composition.get("Zn", 0.0) if self.composition else None

    @property
    def zinc_fumes_C(self) -> float | None:
        """Zinc leaves a thin seam fast above this [°C]; None without zinc, or where not known.

        An estimate: p = x γ p°, with the molar share x of zinc, ln p° = A - B / T (Alcock 1984,
        extrapolated) and an activity coefficient γ of common practice.
        """
        if not self.zinc_percent:
            return None
        moles = {
            element: share / ATOMIC_MASS[element] for element, share in self.composition.items()
        }
        activity, pressure, above, slope = (
            constant("zinc", name).value
            for name in (
                "activity-coefficient",
                "fume-pressure",
                "vapour-intercept",
                "vapour-slope",
            )
        )
        pure = pressure / (activity * moles["Zn"] / sum(moles.values()))
        return slope / (above - math.log(pure)) - ZERO_C_K

    @property
    def cautions(self) -> tuple[str, ...]:
        """What can hurt."""
        if not self.composition:
            return ("Composition not known: make sure that it holds no cadmium.",)
        zinc = (ZINC_CAUTION,) if self.zinc_percent else ()
        return ((CADMIUM_CAUTION,) if self.cadmium else ()) + zinc

    @property
    def _melting(self) -> tuple[float, float]:
        melting = self.melting_iso or self.melting_aws
        if melting is None:
            raise ValueError(f"filler {self.name} has no melting range")
        return melting


def filler_names() -> list[str]:
    """ISO names of all fillers listed, cadmium-bearing ones too."""
    return [filler.iso for filler in _fillers()]


def suggested_filler_names() -> list[str]:
    """ISO names of the fillers that may be suggested: none with cadmium."""
    return [filler.iso for filler in _fillers() if not filler.cadmium]


def get_filler(name: str) -> Filler:
    """Look up a filler by ISO or AWS name; case, spaces and hyphens do not matter.

    Raises
    ------
    UnknownName
        No such filler. The names it suggests hold no cadmium.

    References
    ----------
    ISO 17672 and AWS A5.8; each filler's `source` and `provenance` tell where its numbers were
    read, or that they are from memory.

    Examples
    --------
    >>> from thermo import get_filler
    >>> get_filler("Ag 156")
    <Filler Ag 156: 620 to 655 °C>
    >>> get_filler("bag7").source
    'iso-17672'
    """
    key = fold(name)
    for filler in _fillers():
        if key in {fold(filler.iso), fold(filler.aws)} - {""}:
            return filler
    free = [filler for filler in _fillers() if not filler.cadmium]
    known = [f.iso for f in free] + [f.aws for f in free if f.aws]
    raise UnknownName("filler", name, known, trade_words("filler").get(key, {}).get("asks", ""))


@cache
def _fillers() -> tuple[Filler, ...]:
    return tuple(_read(row) for row in table("fillers.csv"))


def _read(row: Mapping[str, str]) -> Filler:
    composition = {element: float(row[element]) for element in ELEMENTS if row[element]}
    iso = (float(row["iso_solidus_C"]), float(row["iso_liquidus_C"]))
    aws = None
    provenance = row["provenance"]
    if row["aws_solidus_C"]:
        aws = (float(row["aws_solidus_C"]), float(row["aws_liquidus_C"]))
        provenance += f"; {row['aws']}: {row['aws_provenance']}"
    return Filler(
        name=row["iso"],
        iso=row["iso"],
        aws=row["aws"],
        melting_iso=iso,
        melting_aws=aws,
        composition=composition,
        density_record=_density(row, composition),
        brazing_top=_top(row, iso[1]),
        conductivity=_conductivity(row),
        source=row["source"],
        provenance=provenance,
        note=_note(row, iso, aws),
    )


def _note(row: Mapping[str, str], iso: tuple[float, float], aws: tuple[float, float] | None) -> str:
    notes = []
    if row["aws_match"] == "near":
        notes.append(f"{row['aws']} is near {row['iso']}, not the same.")
    if aws and max(abs(a - b) for a, b in zip(iso, aws, strict=True)) > STANDARDS_DIFFER_K:
        notes.append(
            f"The standards differ: {row['iso']} {iso[0]:g}/{iso[1]:g} °C, "
            f"{row['aws']} {aws[0]:g}/{aws[1]:g} °C; the first is used."
        )
    return " ".join(notes)


def mixture_density(composition: Mapping[str, float]) -> float:
    """Density of an alloy taken as an ideal mixture of its elements [kg/m³].

    ρ = 100 / Σ (per cent by mass / density of the element).

    Validity: against four measured silver fillers this is 0.4 % high to 5.1 % low.
    Source: arithmetic; densities of the elements in the data with their source.
    """
    density = {row["name"]: float(row["value"]) for row in table("elements.csv")}
    shares = sum(percent / density[element] for element, percent in composition.items())
    return sum(composition.values()) / shares


def _density(row: Mapping[str, str], composition: Mapping[str, float]) -> Record:
    if row["density_kg_m3"]:
        measured = float(row["density_kg_m3"])
        return Record(
            measured, "kg/m3", None, None, row["density_source"], row["density_provenance"]
        )
    value = mixture_density(composition)
    return Record(
        value,
        "kg/m3",
        DENSITY_SPREAD[0] * value,
        DENSITY_SPREAD[1] * value,
        "mixture-rule",
        "calculated; four measured fillers lie 0.4 % below to 5.1 % above such values",
    )


def _conductivity(row: Mapping[str, str]) -> Record | None:
    value = number(row["conductivity_W_mK"])
    if value is None:
        return None
    source, provenance = row["conductivity_source"], row["conductivity_provenance"]
    return Record(value, "W/(m K)", None, None, source, provenance)


def _top(row: Mapping[str, str], liquidus_C: float) -> Record:
    top = number(row["aws_top_C"])
    if top is None:
        return _usual_top(liquidus_C)
    return Record(top, "°C", None, None, row["aws_source"], row["aws_provenance"])


def _usual_top(liquidus_C: float) -> Record:
    above = constant("filler", "overheat-top")
    low, high = above.range
    return Record(
        liquidus_C + above.value,
        "°C",
        liquidus_C + low,
        liquidus_C + high,
        above.source,
        f"liquidus + {above.value:g} K: {above.provenance}",
    )
