"""Anode life of a small-craft fleet: logs in, risks, dates and reasons out."""

CAUTION = "Decision support; does not certify a vessel fit for hire."
"""Said on every page, sheet, calendar and command."""
