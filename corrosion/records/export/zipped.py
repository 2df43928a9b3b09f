"""Everything in one file: the logs of a fleet, zipped, for a download."""

from __future__ import annotations

import io
import tempfile
import zipfile
from pathlib import Path

from corrosion.records.export.writing import Form, export_logs


def export_zip(folder: Path, form: Form, *, history: bool = True) -> bytes:
    """Put every log that has rows, and the settings, into one zip file.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    form : {'csv', 'parquet'}
        As `export_logs`; a zip of Parquet, unpacked, is a fleet again.
    history : bool
        True: every row, also those since corrected or struck out.

    Returns
    -------
    bytes
        The zip file.

    Raises
    ------
    Refusal
        The logs cannot be read, or there is no room to put them together.
    """
    packed = io.BytesIO()
    with tempfile.TemporaryDirectory() as away:
        target = Path(away) / "export"
        export_logs(folder, target, form=form, history=history)
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as file:
            for path in sorted(target.iterdir()):
                file.write(path, path.name)
    return packed.getvalue()
