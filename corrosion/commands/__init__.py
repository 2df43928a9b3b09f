"""The same answers as the dashboard's, without a screen.

registry    the table of commands: name, options, the function that answers
answers     one function a command: options in, rows out
printing    rows as a table for a terminal, CSV or JSON
output      the file that an answer is written to
run         read the command line, answer, refuse in one line
"""

from corrosion.commands.run import main

__all__ = ["main"]
