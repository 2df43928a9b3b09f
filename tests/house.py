"""How the house hangs together: `python -m tests.house` prints the arrows between its wings.

An arrow is an import, at the top of a file or inside a function, of one wing by another; the number
beside it counts the files that import. Which arrows may be stands in `.importlinter`.
"""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

HOUSE = Path(__file__).parents[1]
CORE = HOUSE / "corrosion"


def wings() -> list[str]:
    """Return the wings of the core, by name."""
    return sorted(path.parent.name for path in CORE.glob("*/__init__.py"))


@cache
def imported(file: Path) -> tuple[str, ...]:
    """Return the full name of every module or name that a file imports."""
    return tuple(_imported(file))


def _imported(file: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert not node.level, f"{file}: imports by dots hide where a name comes from"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def wing_of(file: Path) -> str:
    """Return the part of the house that a file belongs to: a wing, `pages`, `demo_fleet`."""
    parts = file.relative_to(HOUSE).parts
    if parts[0] == "corrosion":
        return parts[1].removesuffix(".py")
    return "pages" if parts[0] == "app.py" else parts[0]


def arrows() -> Counter[tuple[str, str]]:
    """Count, for each pair of parts, the files of the first that import the second."""
    counts: Counter[tuple[str, str]] = Counter()
    for file in sorted([*CORE.rglob("*.py"), *(HOUSE / "pages").rglob("*.py"), HOUSE / "app.py"]):
        reached = {name.split(".")[1] for name in imported(file) if name.startswith("corrosion.")}
        counts.update((wing_of(file), wing) for wing in reached & {*wings()} - {wing_of(file)})
    return counts


if __name__ == "__main__":
    for (one, other), files in sorted(arrows().items()):
        print(f"{one:13} -> {other:13} {files:4} files")
