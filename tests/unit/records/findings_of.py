"""What a reading found in one log."""

from corrosion.records.logbook import Logbook


def rules(logbook: Logbook, log: str) -> dict[str, int]:
    """Rule to rows of the findings of one log."""
    mine = logbook.findings[logbook.findings["log"] == log]
    return dict(zip(mine["rule"], mine["rows"], strict=True))
