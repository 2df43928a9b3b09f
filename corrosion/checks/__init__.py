"""Objections to the logs: which rows can't be true, which are doubtful, and what to do."""

from .catalogue import RULES, STAGES
from .objections import Checked, check_logs

__all__ = ["RULES", "STAGES", "Checked", "check_logs"]
