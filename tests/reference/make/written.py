"""How the scripts write their JSON: a header over several lines, then one case per line."""

import json
import platform
from importlib.metadata import version


def versions(*packages):
    """Versions of Python and of the packages that a file was made with."""
    found = {"python": platform.python_version()}
    found.update({name: version(name) for name in packages})
    return found


def write(path, header, name, cases):
    """Numbers are written by repr, so that they read back to the same double."""
    lines = ["{"]
    for key, value in header.items():
        lines.append(f"{json.dumps(key)}: {json.dumps(value, indent=1, ensure_ascii=False)},")
    lines.append(f"{json.dumps(name)}: [")
    rows = [json.dumps(case, ensure_ascii=False, allow_nan=False) for case in cases]
    lines.append(",\n".join(rows))
    lines.append("]")
    lines.append("}")
    with open(path, "w", encoding="utf-8", newline="\n") as file:
        file.write("\n".join(lines) + "\n")
