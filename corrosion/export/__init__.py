"""Exporting: any log, or all, as CSV or Parquet, for people and other programs."""

from corrosion.export.writing import export_logs

__all__ = ["export_logs"]
