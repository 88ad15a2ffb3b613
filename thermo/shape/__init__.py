"""Shape of the joint and its mesh."""

from thermo.shape.joint import Joint
from thermo.shape.mesh import ACCURACIES, Gap, Mesh, build_mesh
from thermo.shape.skin import Skin

__all__ = ["ACCURACIES", "Gap", "Joint", "Mesh", "Skin", "build_mesh"]
