"""How far a plan has come while it is worked out: what whoever waits for it can be told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

Stage = Literal["weighing", "days", "hires", "reasons"]
STAGES: Final[dict[Stage, str]] = {
    "weighing": "weighing every hull on every day",
    "days": "days and bays",
    "hires": "half hours, and a hull for every hire",
    "reasons": "the reasons, hull by hull",
}
"""What a plan goes through, in words for the page."""


@dataclass(frozen=True)
class PlanProgress:
    """How far a plan has come.

    Attributes
    ----------
    stage : what is being worked on
    round : int, of the rounds of days and hires, from 1; 0 before the first and after the last
    rounds : int, how many there are at most
    cost : float, total of the cheapest plan so far, currency; None until a round has ended
    gap : float, by how much another plan could be cheaper at most, as the solver proved it for
        that plan (share of the avoidable cost); None until a round has ended
    """

    stage: Stage
    round: int = 0
    rounds: int = 0
    cost: float | None = None
    gap: float | None = None


Watch = Callable[[PlanProgress], None]
"""Is told of every step, in the thread that plans."""


def unwatched(progress: PlanProgress) -> None:
    """Take the news of a plan for which nobody waits."""
