"""Questions over many brazes: comparing strategies, rods and ball sizes."""

from thermo.study.compare import Comparison, Ranked, compare
from thermo.study.fit import Misfit
from thermo.study.neighbour import Held, Neighbour, neighbour
from thermo.study.rods import RodRow, rods
from thermo.study.sizes import SizeRow, sizes

__all__ = [
    "Comparison",
    "Held",
    "Misfit",
    "Neighbour",
    "Ranked",
    "RodRow",
    "SizeRow",
    "compare",
    "neighbour",
    "rods",
    "sizes",
]
