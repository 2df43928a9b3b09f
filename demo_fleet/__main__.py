"""``python -m demo_fleet FOLDER [--seed N] [--answers FOLDER]`` writes the simulated fleet."""

from __future__ import annotations

import argparse
from pathlib import Path

from demo_fleet.maker import DEFAULT_SEED, write_fleet


def main() -> None:
    """Read the command line and write the fleet."""
    parser = argparse.ArgumentParser(prog="python -m demo_fleet", description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--seed", type=int, default=DEFAULT_SEED)
    parser.add_argument("--answers", type=Path, help="default: FOLDER/answers")
    chosen = parser.parse_args()
    print(write_fleet(chosen.folder, chosen.seed, answers=chosen.answers))


if __name__ == "__main__":
    main()
