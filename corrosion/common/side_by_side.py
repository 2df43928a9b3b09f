"""Work that is the same for many, on all cores of the machine: numpy lets others run meanwhile."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from typing import TypeVar

Item = TypeVar("Item")
Result = TypeVar("Result")


def side_by_side(work: Callable[[Item], Result], items: Iterable[Item]) -> list[Result]:
    """Return what a piece of work makes of each item, in their order.

    Parameters
    ----------
    work : callable
        Takes an item and looks at nothing that another item changes. What it raises is raised here.
    items : iterable

    Returns
    -------
    list
        The same as one after the other.
    """
    every = list(items)
    workers = min(len(every), os.cpu_count() or 1)
    if workers < 2:
        return [work(item) for item in every]
    with ThreadPoolExecutor(workers) as pool:
        # each in the surroundings of who asks: how numpy takes an overflow is part of them
        asked = [pool.submit(copy_context().run, work, item) for item in every]
        return [each.result() for each in asked]
