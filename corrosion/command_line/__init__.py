"""The same answers as the dashboard's, without a screen: `python -m corrosion COMMAND FLEET`.

In: words of the command line. Out: a table, CSV or JSON on standard output or in a file, and an
exit code; a refusal is one line on standard error. `registry` names the commands, `answers` asks
the core, `printing` and `output` write the answer, `run` puts it together.

Notes
-----
* Exit code 1 is an answer. A refusal is one line that says what, where and what to do. A
  traceback is a fault of the program, and is shown as one. Warnings of libraries are shown with
  `python -W default`.
* CSV and JSON carry more columns than the table. The table fits a terminal; the command's own
  columns come first in all three.
* Text formats are our own few lines (`printing`): full precision, ISO times, null for unknown and
  cells safe against formulas had to be promised together, and no dependency does so.
* An answer is written beside and renamed, so that nobody reads half a file, and never into the
  logs.
"""

from corrosion.command_line.allocator import keep_freed_memory
from corrosion.command_line.run import main

__all__ = [
    "keep_freed_memory",
    "main",
]
