"""The dashboard's server, with a line in a file for each time that a fleet is worked out.

`python -m tests.bench.counted_server run app.py ...`, with the file's name in COUNTED. It is the
real server: the one thing added is the line.
"""

import os
import sys
from pathlib import Path
from typing import Any

import corrosion.forecast
from corrosion.forecast import appraise


def counted(folder: Any, *arguments: Any, **named: Any) -> Any:
    """Work a fleet out, and note that it was."""
    with Path(os.environ["COUNTED"]).open("a", encoding="utf-8") as notes:
        notes.write(f"{folder} {arguments}\n")
    return appraise(folder, *arguments, **named)


if __name__ == "__main__":
    from streamlit.web.cli import main

    corrosion.forecast.appraise = counted  # before any page has taken it
    sys.exit(main())
