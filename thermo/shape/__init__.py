"""Shape of the joint and its mesh."""

from thermo.shape.fillet import Fillet, far_fillet, fillets, mouth_fillet
from thermo.shape.joint import Joint, thread_radius
from thermo.shape.mesh import ACCURACIES, Gap, Mesh, build_mesh
from thermo.shape.patches import Patches

__all__ = [
    "ACCURACIES",
    "Fillet",
    "Gap",
    "Joint",
    "Mesh",
    "Patches",
    "build_mesh",
    "far_fillet",
    "fillets",
    "mouth_fillet",
    "thread_radius",
]
