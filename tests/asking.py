"""What the tests of all commands share: the smallest case, the command as typed, what it left."""

import json

from click.testing import CliRunner

from thermo.cli import brazeclock
from thermo.show.writing import as_json

SMALLEST = '[ball]\ndiameter_mm = 3\n[rod]\ndiameter_mm = 1.2\n[torch]\nkind = "pocket"\n'


def ask(*words):
    return CliRunner().invoke(brazeclock, words, prog_name="brazeclock")


def everything(folder):
    """All that lies in a folder; of what is kept beside results, only what should not be left."""
    paths = (path.relative_to(folder) for path in folder.rglob("*"))
    kept = {".brazeclock", "files.json", "lock"}
    return sorted(
        str(path) for path in paths if ".brazeclock" not in path.parts or path.name not in kept
    )


def values(part):
    """A document, or a part of one, as it is read back from JSON."""
    return json.loads(as_json(part))
