"""What holds for every test."""

import gc
import os

from hypothesis import settings

# Before numpy is loaded: each core has a test of its own, and threads would be in their way.
for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(threads, "1")

# A law holds on a slow or busy machine too: no example is failed for the time it takes. Everything
# else stays as the machine's own default, which on a continuous-integration machine is repeatable.
settings.register_profile("patient", parent=settings(), deadline=None)
settings.load_profile("patient")


def pytest_collection_finish() -> None:
    """Spare the collector what the imports left behind: it would go through all of it again."""
    gc.collect()
    gc.freeze()
