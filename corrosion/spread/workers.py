"""The workers of a Dask scheduler: work handed out, and answers brought in."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, TypeAlias

from distributed import Client, Future

Handle: TypeAlias = "Future[Any]"
"""What a worker has, or will have, of some work."""


class Workers:
    """The workers of one scheduler."""

    def __init__(self, client: Client) -> None:
        """Take a client that is connected."""
        self._client = client

    @property
    def threads(self) -> int:
        """Return how many pieces of work can be under way at once."""
        return int(sum(self._client.nthreads().values()))  # type: ignore[no-untyped-call]

    def hand_out(self, work: Callable[..., Any], *arguments: Any) -> Handle:
        """Have one piece of work done; handles among the arguments are what they stand for."""
        return self._client.submit(work, *arguments, pure=False)

    def hand_out_each(
        self, work: Callable[..., Any], each: Sequence[Any], *same: Any
    ) -> list[Handle]:
        """Have a piece of work done for each of some things, with the same other arguments."""
        return [self.hand_out(work, one, *same) for one in each]

    def bring_in(self, handles: Sequence[Handle]) -> list[Any]:
        """Return the answers, as soon as all are there; a worker's refusal is raised here."""
        return list(self._client.gather(list(handles)))  # type: ignore[no-untyped-call]
