"""`python -m corrosion COMMAND ...`: the tool without a screen."""

import sys
import warnings

from corrosion.command_line import keep_freed_memory, main

if __name__ == "__main__":
    if not sys.warnoptions:
        # Standard error is for the reader's own fleet; `python -W default` shows these too.
        warnings.simplefilter("ignore")
    keep_freed_memory()
    sys.exit(main())
