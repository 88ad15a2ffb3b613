"""brazeclock: how a drilled ball, its rod and the gap between them heat under a hand torch.

The names below are what an engineer's script needs; each brings its room only when it is first
asked for, so that `import thermo` itself imports nothing. SI inside, temperatures in °C.

`run_braze` is `thermo.braze.braze`: the bare name stays with the package `thermo.braze`, for an
import of a submodule sets it as an attribute here, and the name would mean one thing before that
and another after. `from thermo.braze import braze` gives the same function.

Examples
--------
>>> import thermo
>>> case = thermo.case_from_options(3.0, 1.2, "pocket")
>>> result = thermo.run_braze(thermo.to_setup(case), "quick")
>>> result.stage(thermo.StageName.FILLED).time_s == result.filled_s
True
"""

from typing import TYPE_CHECKING

__version__ = "0.1.0"

if TYPE_CHECKING:
    from thermo.braze.limits import LimitName
    from thermo.braze.result import Braze, Leeway, Limit, Stage
    from thermo.braze.run import braze as run_braze
    from thermo.braze.setup import Clamp, Coat, Setup, Snip
    from thermo.braze.stages import StageName
    from thermo.files.case import case_from_options, read_case
    from thermo.files.export import braze_to_csv, braze_to_vtu, mesh_to_vtu
    from thermo.files.setup import strategies_of, to_setup
    from thermo.flame.motion import Phase, Strategy
    from thermo.flame.torch import Torch
    from thermo.heat.history import History
    from thermo.heat.loads import CosineLobeFlux, GreyLoss, LinearLoss, Load
    from thermo.heat.march import march
    from thermo.heat.solids import ConstantSolid
    from thermo.matter.filler import Filler, get_filler
    from thermo.matter.flux import Flux, get_flux
    from thermo.matter.solids import Solid, get_solid
    from thermo.shape.joint import Joint
    from thermo.shape.mesh import Mesh, build_mesh
    from thermo.study.compare import compare

_WHERE = {
    "braze.limits": ("LimitName",),
    "braze.result": ("Braze", "Leeway", "Limit", "Stage"),
    "braze.run": ("run_braze",),
    "braze.setup": ("Clamp", "Coat", "Setup", "Snip"),
    "braze.stages": ("StageName",),
    "files.case": ("case_from_options", "read_case"),
    "files.export": ("braze_to_csv", "braze_to_vtu", "mesh_to_vtu"),
    "files.setup": ("strategies_of", "to_setup"),
    "flame.motion": ("Phase", "Strategy"),
    "flame.torch": ("Torch",),
    "heat.history": ("History",),
    "heat.loads": ("CosineLobeFlux", "GreyLoss", "LinearLoss", "Load"),
    "heat.march": ("march",),
    "heat.solids": ("ConstantSolid",),
    "matter.filler": ("Filler", "get_filler"),
    "matter.flux": ("Flux", "get_flux"),
    "matter.solids": ("Solid", "get_solid"),
    "shape.joint": ("Joint",),
    "shape.mesh": ("Mesh", "build_mesh"),
    "study.compare": ("compare",),
}
_ROOMS = {name: room for room, names in _WHERE.items() for name in names}
_ELSEWHERE = {"run_braze": "braze"}

__all__ = [
    "Braze",
    "Clamp",
    "Coat",
    "ConstantSolid",
    "CosineLobeFlux",
    "Filler",
    "Flux",
    "GreyLoss",
    "History",
    "Joint",
    "Leeway",
    "Limit",
    "LimitName",
    "LinearLoss",
    "Load",
    "Mesh",
    "Phase",
    "Setup",
    "Snip",
    "Solid",
    "Stage",
    "StageName",
    "Strategy",
    "Torch",
    "braze_to_csv",
    "braze_to_vtu",
    "build_mesh",
    "case_from_options",
    "compare",
    "get_filler",
    "get_flux",
    "get_solid",
    "march",
    "mesh_to_vtu",
    "read_case",
    "run_braze",
    "strategies_of",
    "to_setup",
]

if not TYPE_CHECKING:  # else every name would be one to a type checker

    def __getattr__(name: str) -> object:
        """Import a public name's room when the name is first asked for."""
        if name not in _ROOMS:
            raise AttributeError(f"module 'thermo' has no attribute {name!r}")
        from importlib import import_module

        found = getattr(import_module(f"thermo.{_ROOMS[name]}"), _ELSEWHERE.get(name, name))
        globals()[name] = found
        return found

    def __dir__() -> list[str]:
        """What there is, asked for or not."""
        return sorted({*globals(), *__all__})
