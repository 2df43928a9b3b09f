"""The dashboard's server, saying at once how far a plan is and looking often.

`python -m tests.browser.impatient_server run app.py ...`. It is the real server: on a machine that
works a week out before a page would say so, it shows what a slower one shows.
"""

import sys

if __name__ == "__main__":
    from streamlit.web.cli import main

    from pages._shared import under_way

    vars(under_way).update(QUIET_S=0.0, EVERY_S=0.02)
    sys.exit(main())
