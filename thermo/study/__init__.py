"""Questions beyond one braze: comparing strategies, rods and ball sizes; filler."""

from thermo.study.after import After, after
from thermo.study.causes import SYMPTOMS
from thermo.study.compare import Comparison, Ranked, compare
from thermo.study.diagnose import Diagnosis, Found, Seen, Tried, diagnose
from thermo.study.fill import Fill, fill
from thermo.study.fit import Misfit
from thermo.study.neighbour import Held, Neighbour, neighbour
from thermo.study.rods import RodRow, rods
from thermo.study.sizes import SizeRow, sizes

__all__ = [
    "SYMPTOMS",
    "After",
    "Comparison",
    "Diagnosis",
    "Fill",
    "Found",
    "Held",
    "Misfit",
    "Neighbour",
    "Ranked",
    "RodRow",
    "Seen",
    "SizeRow",
    "Tried",
    "after",
    "compare",
    "diagnose",
    "fill",
    "neighbour",
    "rods",
    "sizes",
]
