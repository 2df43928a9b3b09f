"""The refusals, and nothing else: what the program says when it cannot answer.

    Refusal
    ├── LogMissing   a log that the answer needs is not in the folder
    ├── LogRefused   a log or the settings hold something that cannot be read
    └── TooLittle    the logs are readable, but hold too little to say

A refusal's text is one line for the person who keeps the logs: which log and column, how many
rows, the first of them, and what to do. A poor fit is no refusal: it is a result with a reason.
"""


class Refusal(Exception):  # noqa: N818 - it is an answer to the user, not a fault of the program
    """The program cannot answer, and says what, where and what to do."""


class LogMissing(Refusal):
    """A log that the answer needs is not there."""


class LogRefused(Refusal):
    """A log, or the settings, hold something that cannot be read."""


class TooLittle(Refusal):
    """Everything can be read, and it is too little to say."""
