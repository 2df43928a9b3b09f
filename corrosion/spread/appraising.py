"""The whole chain with workers: from logs at an address to the fleet's prospects."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path

import dask
import numpy as np
import pandas as pd
from distributed import Client

from corrosion.common import Floats, Refusal, Remembered
from corrosion.exposure import (
    counts_of_all,
    keep_part,
    place_part,
    usual_engine_share,
    written_by_all,
)
from corrosion.forecast import Appraisal, appraise_from, find_filling, require_enough
from corrosion.life_model import (
    ADDED_UP_BY,
    AnodeLife,
    LooksOfPart,
    Sums,
    added_up_here,
    looks_by_part,
)
from corrosion.records import Checked, Logbook, check_logs, part_of_hulls, read_fleet
from corrosion.spread import part as on_worker
from corrosion.spread.addresses import SPREAD_LOGS, Address
from corrosion.spread.hours import SpreadExposure, gathered
from corrosion.spread.part import Parts
from corrosion.spread.workers import Handle, Workers

HULLS_A_PART = 500
PARTS_A_THREAD = 2
"""Smaller parts wait less for each other; larger ones cost less to hand out."""
LEAST_LOOKS = 50_000
"""Looks from which on a climb is added up by workers; below, asking takes longer than adding."""
CONNECT_WITHIN_S = "20s"
REGISTERS = ("hulls", "moorings", "berths", "water_samples")


def appraise_with_workers(
    scheduler: str,
    fleet: str | Path,
    on: pd.Timestamp | str | date | None = None,
    days: int = 7,
    widen: float = 1.0,
) -> Appraisal:
    """Read, check, fit and forecast a fleet with the workers of a Dask scheduler.

    Parameters
    ----------
    scheduler : address of a running scheduler, such as `tcp://10.0.0.5:8786`
    fleet : path or fsspec address of the fleet's folder, the same for every worker
    on, days, widen
        As `corrosion.forecast.appraise` takes them.

    Returns
    -------
    Appraisal
        As in one process, to rounding. Of outings and flushes it holds what the forecast needs, and
        its exposure answers no more: the clocks went with the workers.

    Raises
    ------
    Refusal
        No scheduler answers there or it has no worker; or as `appraise`.
    """
    try:
        client = Client(  # type: ignore[no-untyped-call]
            scheduler, timeout=CONNECT_WITHIN_S, set_as_default=False
        )
    except (OSError, ValueError) as error:
        raise Refusal(
            f"--workers {scheduler}: no Dask scheduler answers there. Start one, or leave it out."
        ) from error
    # parts are handed out with their tasks, so that a lost worker's part can be handed out again
    with client, dask.config.set({"distributed.admin.large-graph-warning-threshold": "2GB"}):
        if not client.scheduler_info()["workers"]:
            raise Refusal(f"--workers {scheduler}: the scheduler has no worker. Start some.")
        return _appraised(Workers(client), Address.of(fleet), on, days, widen)


def _appraised(
    workers: Workers,
    address: Address,
    on: pd.Timestamp | str | date | None,
    days: int,
    widen: float,
) -> Appraisal:
    with tempfile.TemporaryDirectory() as folder:
        address.fetch_the_rest(Path(folder))
        last = Remembered()
        with last.turned():
            rest = read_fleet(folder, on, remembered=last)
        parts = parts_of(rest, workers.threads)
        rows = _rows(workers, address, rest, parts)
        if on is None:
            rest = _as_of_the_last(workers, rows, rest, Path(folder), last)
    rest = replace(rest, folder=Path(address.url))
    checked, of_parts = _checked(workers, rows, rest, parts)
    require_enough(checked)
    exposure: SpreadExposure = gathered(
        workers, _summed(workers, of_parts, checked, parts), checked, parts
    )
    exposure = replace(exposure, filling=find_filling(checked, exposure))
    token = ADDED_UP_BY.set(_AddedUp(workers))
    try:
        return appraise_from(checked, exposure, days, widen)
    finally:
        ADDED_UP_BY.reset(token)


def parts_of(rest: Logbook, threads: int) -> Parts:
    """Part the hulls by name, in parts of like size."""
    names = sorted(set(rest.hulls["hull_id"].dropna()))
    wanted = max(PARTS_A_THREAD * threads, -(-len(names) // HULLS_A_PART))
    count = max(min(wanted, len(names)), 1)
    return Parts(tuple(names[each * len(names) // count] for each in range(1, count)))


Rows = dict[str, list[Handle]]
"""Of each log of `SPREAD_LOGS`, each part's rows."""


def _rows(workers: Workers, address: Address, rest: Logbook, parts: Parts) -> Rows:
    """Have the files read, taken apart by hull, and put together part by part."""
    zone, rows = rest.settings.timezone, {}
    for log in SPREAD_LOGS:
        files = [
            workers.hand_out(on_worker.apart, address, log, path, parts, zone)
            for path in address.files(log)
        ]
        rows[log] = [
            workers.hand_out(
                on_worker.rows_of_part, log,
                [workers.hand_out(on_worker.piece_of, file, each) for file in files],
                zone,
            )
            for each in range(parts.count)
        ]  # fmt: skip
    return rows


def _as_of_the_last(
    workers: Workers, rows: Rows, rest: Logbook, folder: Path, last: Remembered
) -> Logbook:
    """Return the rest of the logs as of the last moment that any log knows of."""
    simulated = rest.settings.simulated
    known = workers.bring_in(
        [
            workers.hand_out(on_worker.last_known, log, each, simulated)
            for log, of_log in rows.items()
            for each in of_log
        ]
    )
    moment = max([rest.on, *(each for each in known if each is not None)])
    with last.turned():
        return read_fleet(folder, moment, remembered=last)


def _checked(
    workers: Workers, rows: Rows, rest: Logbook, parts: Parts
) -> tuple[Checked, list[Handle]]:
    """Check outings and flushes part by part, then everything else beside them."""
    of_parts = [
        workers.hand_out(
            on_worker.checked_part, _own(rest, each, parts),
            {log: of_log[each] for log, of_log in rows.items()}, each, parts,
        )
        for each in range(parts.count)
    ]  # fmt: skip
    said = workers.bring_in(workers.hand_out_each(on_worker.said_by, of_parts))
    tables = dict(rest.tables)
    tables["outings"] = pd.concat([each.outings for each in said], ignore_index=True)
    tables["flushes"] = pd.concat([each.flushes for each in said], ignore_index=True)
    whole = replace(rest, tables=tables)
    checked = check_logs(whole, logs=("readings",), gone_through=SPREAD_LOGS)
    findings = pd.concat([checked.findings, _added(said)], ignore_index=True)
    return replace(checked, findings=findings), of_parts


def _own(rest: Logbook, part: int, parts: Parts) -> Logbook:
    """Return the logs of one part's hulls; of readings, fittings and the like none."""
    tables = {}
    for log, table in rest.tables.items():
        if log in ("hulls", "berths"):
            tables[log] = table[part_of_hulls(table["hull_id"], parts.firsts) == part]
        else:
            tables[log] = table if log in ("moorings", "anode_positions") else table[:0]
        tables[log] = tables[log].reset_index(drop=True)
    return replace(rest, tables=tables, history={}, findings=rest.findings[:0])


def _added(said: list[on_worker.Said]) -> pd.DataFrame:
    """Add the parts' findings up, a row a log and rule."""
    all_of_them = pd.concat([each.findings for each in said], ignore_index=True)
    keys = ["log", "rule", "severity"]
    rows = all_of_them.groupby(keys, sort=False, dropna=False)["rows"].transform("sum")
    return all_of_them.assign(rows=rows).drop_duplicates(keys)


def _summed(
    workers: Workers, of_parts: list[Handle], checked: Checked, parts: Parts
) -> list[Handle]:
    """Have each part's hours summed up, with what hulls share put together in between."""
    out = checked.outings
    length_h = (out["ended"] - out["started"]).dt.total_seconds() / 3600
    share = usual_engine_share(length_h, out["engine_hours"])
    registers = [
        {
            log: table[part_of_hulls(table["hull_id"], parts.firsts) == each].reset_index(drop=True)
            if "hull_id" in table
            else table
            for log, table in ((log, checked.tables[log]) for log in REGISTERS)
        }
        for each in range(parts.count)
    ]
    believed = [
        workers.hand_out(on_worker.believing, *each)
        for each in zip(of_parts, registers, strict=True)
    ]
    placed = workers.hand_out_each(place_part, believed, share)
    facts = workers.bring_in(workers.hand_out_each(on_worker.first_and_written, placed))
    first_h, written = min(first for first, _ in facts), written_by_all([w for _, w in facts])
    kept = workers.hand_out_each(keep_part, placed, written)
    counts = counts_of_all(workers.bring_in(workers.hand_out_each(on_worker.counted, kept)))
    return workers.hand_out_each(on_worker.summed, kept, counts, first_h)


class _AddedUp:
    """Has the sums of a long climb added up by workers, each with the looks of some hulls."""

    def __init__(self, workers: Workers) -> None:
        self._workers = workers

    def __call__(self, model: AnodeLife) -> AbstractContextManager[Sums]:
        return self._adding(model)

    @contextmanager
    def _adding(self, model: AnodeLife) -> Iterator[Sums]:
        workers, hulls = self._workers, model.design.hulls
        if model.design.worn.size < LEAST_LOOKS:
            with added_up_here(model) as here:
                yield here
            return
        first = np.unique(np.arange(workers.threads) * hulls // workers.threads)
        lent = workers.hand_out_each(on_worker.looks_lent, looks_by_part(model, first))

        def sums(params: Floats) -> tuple[float, Floats]:
            params = np.asarray(params, dtype=float)
            each = workers.hand_out_each(LooksOfPart.sums, lent, params)
            value, slope = on_worker.added(workers.bring_in(each))
            return value + model.log_prior(params), slope + model.prior_slope(params)

        yield sums
