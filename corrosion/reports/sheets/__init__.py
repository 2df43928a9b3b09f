"""Printable sheets: one self-contained page of HTML each, black on white, in large type.

A sheet is written from `templates/` with everything escaped, carries its own style, and asks
nothing of another machine: it can be saved, sent and printed years later.

Notes
-----
* Sheets are HTML. `reports.sheets` gives one skeleton (`sheet`) and fills templates with
  autoescape and strict names (`render`); a value that is meant to be markup says so. A PDF
  library would have been a second layout; the browser that shows the sheet prints it.
* Stamp and caution stand twice on paper, at the head of the body and in the margin boxes of each
  page, because only Chromium prints the latter.
* A sheet prints as wide as its paper. Chromium shrinks a page whose content is too wide, and with
  it the type; the print tests measure `scrollWidth` at the paper's width and the least font size.
"""

from corrosion.reports.sheets.page import PAPERS, Paper, render, sheet

__all__ = ["PAPERS", "Paper", "render", "sheet"]
