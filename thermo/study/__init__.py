"""Questions beyond one braze: comparing strategies, rods and ball sizes; filler."""

from thermo.study.compare import Comparison, Ranked, compare
from thermo.study.fill import Fill, fill
from thermo.study.fit import Misfit
from thermo.study.neighbour import Held, Neighbour, neighbour
from thermo.study.rods import RodRow, rods
from thermo.study.sizes import SizeRow, sizes

__all__ = [
    "Comparison",
    "Fill",
    "Held",
    "Misfit",
    "Neighbour",
    "Ranked",
    "RodRow",
    "SizeRow",
    "compare",
    "fill",
    "neighbour",
    "rods",
    "sizes",
]
