"""Objections to the logs: which rows can't be true, which are doubtful, and what to do."""

from corrosion.records.checks.catalogue import RULES, STAGES
from corrosion.records.checks.flushes import BULK_HULLS
from corrosion.records.checks.objections import Checked, check_logs
from corrosion.records.checks.samples import (
    CONDUCTIVITY_MS_PER_CM,
    SALINITY_G_PER_KG,
    TEMPERATURE_C,
)

__all__ = [
    "BULK_HULLS",
    "CONDUCTIVITY_MS_PER_CM",
    "RULES",
    "SALINITY_G_PER_KG",
    "STAGES",
    "TEMPERATURE_C",
    "Checked",
    "check_logs",
]
