"""Anode life of a small-craft fleet: logs in, risks, dates and reasons out."""
