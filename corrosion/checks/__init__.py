"""Objections to the logs: which rows can't be true, which are doubtful, and what to do."""

from .catalogue import RULES, STAGES
from .objections import Checked, check_logs
from .samples import CONDUCTIVITY_MS_PER_CM, SALINITY_G_PER_KG, TEMPERATURE_C

__all__ = [
    "CONDUCTIVITY_MS_PER_CM",
    "RULES",
    "SALINITY_G_PER_KG",
    "STAGES",
    "TEMPERATURE_C",
    "Checked",
    "check_logs",
]
