"""`rank` on the demo fleet, the whole process, beside the bare imports it can't do without."""

from tests.bench.clock import HOUSE, Measured, fastest, process

BARE = "import streamlit, pandas, statsmodels.api"


def measure() -> list[Measured]:
    rank, bare = fastest(
        process("-m", "corrosion", "rank", str(HOUSE / "demo_fleet" / "logs")),
        process("-c", BARE),
    )
    return [Measured("rank, demo fleet, whole process", rank, f"`{BARE}`", bare, "at most 3")]
