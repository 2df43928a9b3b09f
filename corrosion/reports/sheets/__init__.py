"""Printable sheets: one self-contained page of HTML each, black on white, in large type.

A sheet is written from `templates/` with everything escaped, carries its own style, and asks
nothing of another machine: it can be saved, sent and printed years later.
"""

from corrosion.reports.sheets.page import PAPERS, Paper, render, sheet

__all__ = ["PAPERS", "Paper", "render", "sheet"]
