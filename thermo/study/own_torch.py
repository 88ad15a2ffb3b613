"""The torch file that a fit leaves."""

from __future__ import annotations

from typing import Any

from thermo.constants import IN_MM
from thermo.files.setup import GRAMS_PER_HOUR
from thermo.files.torch_file import read_torch_file, torch_file_text
from thermo.study.fit_torch import TorchFit


def torch_text(fit: TorchFit, torch: str) -> str:
    """A torch file with the fitted torch and how sure it is.

    The fuel rate is set to what a torch of the kind of this strength burns: it is no weighing.

    Parameters
    ----------
    fit : TorchFit
    torch : str
        The kind, or the torch file, that was started from.
    """
    strength, transfer = (factor.after.middle or 1.0 for factor in fit.factors)
    start = fit.setup.torch
    turned = start.turned(strength)
    values: dict[str, Any] = {"kind": torch}
    if torch.endswith(".toml"):
        values = read_torch_file(torch)["torch"]
    values["fuel_rate_g_per_h"] = turned.fuel_rate / GRAMS_PER_HOUR
    if "cone_mm" in values:
        values["cone_mm"] = IN_MM * turned.cone_length
    values["transfer_factor"] = transfer * start.transfer_factor
    rows = len({one.surrogate.witness.row for one in fit.told}) - len(fit.outliers)
    note = (
        f"Fitted to {rows} row{'' if rows == 1 else 's'} of a log. The fuel rate is what a torch "
        "of the kind of this strength burns, not weighed."
    )
    spread = {factor.key: factor.span for factor in fit.factors}
    return torch_file_text("Own torch, fitted", note, values, spread)
