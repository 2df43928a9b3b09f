"""Exporting: any log, or all, as CSV or Parquet, for people and other programs."""

from corrosion.records.export.writing import export_logs
from corrosion.records.export.zipped import export_zip

__all__ = ["export_logs", "export_zip"]
