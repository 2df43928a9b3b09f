"""Measurements are written down by the commands that make them, into `tests/RESULTS.md`.

`--record SECTION` behind any study or bench lets it print as usual and put what it printed into
that section, in place of what stood there, with the date, the method's version and the command.
"""

from __future__ import annotations

import io
import re
import shlex
import sys
from collections.abc import Callable, Sequence
from contextlib import redirect_stdout
from datetime import date
from pathlib import Path

from corrosion.records.method import VERSION

RESULTS = Path(__file__).parent / "RESULTS.md"
OPTION = "--record"


def recorded(
    module: str,
    main: Callable[[list[str]], int],
    words: Sequence[str] | None = None,
    page: Path = RESULTS,
) -> int:
    """Run a study's `main` on the command line's words; write down what it printed if asked."""
    words = [*(sys.argv[1:] if words is None else words)]
    if OPTION not in words:
        return main(words)
    at = words.index(OPTION)
    section, options = words[at + 1], [*words[:at], *words[at + 2 :]]
    printed = io.StringIO()
    with redirect_stdout(printed):
        code = main(options)
    sys.stdout.write(printed.getvalue())
    if code == 0:
        command = shlex.join([".venv/bin/python", "-m", module, *options])
        text = page.read_text(encoding="utf-8")
        page.write_text(with_section(text, section, command, printed.getvalue()), encoding="utf-8")
    return code


def with_section(text: str, section: str, command: str, printed: str) -> str:
    """Return the page with one section replaced, or added at its end."""
    begin, end = f"<!-- {section}: begin -->", f"<!-- {section}: end -->"
    head = f"{date.today():%Y-%m-%d}, method {VERSION}, `{command}`:"
    made = f"{begin}\n{head}\n\n{printed.strip()}\n{end}"
    if begin not in text:
        return f"{text.rstrip()}\n\n## {section}\n\n{made}\n"
    pattern = re.escape(begin) + ".*?" + re.escape(end)
    return re.sub(pattern, lambda _: made, text, count=1, flags=re.S)
