"""Read the command line, answer, and refuse in one line."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterable, Sequence

from corrosion import CAUTION
from corrosion.command_line.answers import Answer
from corrosion.command_line.output import refuse_place, terminal_width
from corrosion.command_line.registry import COMMANDS, Command

DONE, REFUSED, INTERRUPTED = 0, 1, 130
ENDING = (
    "Exit code 0: done. 1: refused; one line on standard error says what, where and what to do, "
    "and no file was changed. 2: the command line was not understood. " + CAUTION
)


def main(words: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    words : sequence of str, optional
        The command line after the program's name; the process's own when left out.

    Returns
    -------
    int
        0 done, 1 refused. A command line that is not understood leaves through
        `SystemExit` with code 2, as `argparse` does.
    """
    options = command_line(COMMANDS).parse_args(words)
    from corrosion.common import (
        Refusal,
    )  # brings numpy and pandas, which `--help` need not wait for

    try:
        answer_to(options)
    except Refusal as refusal:
        return refuse(str(refusal))
    except BrokenPipeError:
        # The reader (`head`, say) has seen enough. Python flushes once more on its way out.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as trouble:
        return refuse(f"{trouble.filename or 'a file'}: {trouble.strerror or trouble}.")
    except KeyboardInterrupt:
        return INTERRUPTED
    return DONE


def command_line(commands: Iterable[Command]) -> argparse.ArgumentParser:
    """Build the reader of the command line from the table of commands."""
    reader = argparse.ArgumentParser(
        prog="python -m corrosion",
        description="Which hulls' anodes need a look first, how long they have, and why; "
        "from the fleet's own logs.",
        epilog=ENDING,
        allow_abbrev=False,
    )
    places = reader.add_subparsers(title="commands", metavar="COMMAND", required=True)
    for command in commands:
        command_parser = places.add_parser(
            command.name,
            help=command.says,
            description=f"Prints {command.says}." if command.name != "demo" else command.says,
            epilog=CAUTION,
            allow_abbrev=False,
        )
        for taken in command.takes:
            command_parser.add_argument(*taken.names, **taken.settings)
        command_parser.set_defaults(command=command)
    return reader


def answer_to(options: argparse.Namespace) -> None:
    """Answer one command, onto the screen or into a file."""
    if options.output:
        refuse_place(options.output, getattr(options, "fleet", None))
    answer: Answer = options.command.answer(options)
    from corrosion.command_line.printing import as_text

    width = None if options.output else terminal_width()
    text = as_text(answer, options.format, width)
    if options.output:
        from corrosion.common import write_whole

        write_whole(options.output, text.encode("utf-8"))
    else:
        sys.stdout.write(text)
        sys.stdout.flush()
    if options.format == "table":
        sys.stderr.write("".join(f"{line}\n" for line in (*answer.about, CAUTION)))


def refuse(sentence: str) -> int:
    """Say why, in one line on standard error."""
    sys.stderr.write(" ".join(sentence.split()) + "\n")
    return REFUSED
