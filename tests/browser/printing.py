"""Printing HTML as Chromium prints it, and reading the pages back."""

from __future__ import annotations

import subprocess
from pathlib import Path

from pypdf import PdfReader

CHROMIUM = "/usr/bin/chromium"
PAPER_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # ISO 216; ANSI/ASME Y14.1, size A
MM_PER_POINT = 25.4 / 72.0


def printed(html: str, folder: Path, name: str = "sheet") -> PdfReader:
    """Print a document to PDF with headless Chromium; its own page margins alone count."""
    source, target = folder / f"{name}.html", folder / f"{name}.pdf"
    source.write_text(html, encoding="utf-8")
    subprocess.run(
        [
            *(CHROMIUM, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer"),
            *(f"--user-data-dir={folder / 'profile'}", f"--print-to-pdf={target}", source.as_uri()),
        ],
        check=True,
        capture_output=True,
        timeout=60,
    )
    return PdfReader(target)


def size_mm(reader: PdfReader) -> set[tuple[float, float]]:
    """Width and height of the pages, rounded to the millimetre."""
    return {
        (
            round(float(page.mediabox.width) * MM_PER_POINT),
            round(float(page.mediabox.height) * MM_PER_POINT),
        )
        for page in reader.pages
    }


def texts(reader: PdfReader) -> list[str]:
    """The words of each page, spaces evened out."""
    return [" ".join(page.extract_text().split()) for page in reader.pages]
