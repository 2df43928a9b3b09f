"""The same answers as the dashboard's, without a screen: `python -m corrosion COMMAND FLEET`.

In: words of the command line. Out: a table, CSV or JSON on standard output or in a file, and an
exit code; a refusal is one line on standard error. `registry` names the commands, `answers` asks
the core, `printing` and `output` write the answer, `run` puts it together.
"""

from corrosion.command_line.run import main

__all__ = [
    "main",
]
