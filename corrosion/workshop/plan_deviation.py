"""What became of an issued plan: done, moved, left out, new, or nothing written down.

Notes
-----
* An issued plan is compared from its first day to the end of the week looked at. What moves in
  later weeks is not news: it is planned again every week.
* "Done" is what the logs say: a fitting at a planned position, or, where nothing was to be
  replaced, a look at a planned one. A day that passed without either is asked about, never taken
  as done.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta, tzinfo
from typing import Any, Final

import pandas as pd

from corrosion.common import formatting
from corrosion.forecast import LIFT_STOP
from corrosion.records import Checked
from corrosion.workshop.overrides import HIRE_OUT, PIN, SKIP
from corrosion.workshop.plan import Plan

DONE, UNRECORDED, MOVED, OTHER_WORK, DROPPED, NEW = (
    *("done", "not-recorded", "moved", "other-work", "left-out", "new"),
)
CHANGES: Final = {PIN: "pinned", SKIP: "left out", HIRE_OUT: "hired out", LIFT_STOP: "let sail"}
DRIFT_COLUMNS: Final = ("hull_id", "planned", "now", "what", "said")


@dataclass(frozen=True)
class _Seen:
    """What was written down about a hull since the plan was issued: position and moment."""

    fitted: pd.DataFrame
    read: pd.DataFrame


def since_issue(
    issued: pd.DataFrame, plan: Plan, checked: Checked, decided: pd.DataFrame
) -> pd.DataFrame:
    """Compare an issued plan with today's and with what was written down since.

    Parameters
    ----------
    issued : DataFrame, one row a hull that was in service
        An issued plan as `corrosion.workshop.issued.issued_plan` gives it.
    plan : Plan
        The plan as it would be made now.
    checked : Checked
        The logs now.
    decided : DataFrame
        Decisions that hold, as `corrosion.workshop.overrides.standing_changes` gives them.

    Returns
    -------
    DataFrame, one row a hull that is not simply as issued
        `hull_id`, `planned` and `now` (date or None), `what` (``done``, ``not-recorded``,
        ``moved``, ``other-work``, ``left-out``, ``new``) and `said`, a sentence. Only hulls that
        come out, then or now, between the first day of the issued plan and the end of the week
        that `plan` is for; in order of the earlier day.
    """
    if issued.empty:
        return pd.DataFrame(columns=list(DRIFT_COLUMNS))
    zone = checked.logbook.settings.timezone
    today = plan.on.tz_convert(zone).date()
    first, last = issued["week"].iloc[0] or plan.week, plan.week + timedelta(days=6)
    now = {row["hull_id"]: row for row in plan.pulls.to_dict("records")}
    reasons = dict(zip(plan.left_out["hull_id"], plan.left_out["reason"], strict=True))
    decisions = {row["hull_id"]: _decided(row) for row in decided.to_dict("records")}
    rows: list[dict[str, object]] = []
    for line in issued.to_dict("records"):
        hull_id = line["hull_id"]
        days = [line["day"], now.get(hull_id, {}).get("day")]
        if not any(day is not None and first <= day <= last for day in days):
            continue
        seen = _since(checked, hull_id, line["issued_at"])
        because = decisions.get(hull_id) or _looked(seen, checked)
        reason = because or reasons.get(hull_id) or "it is not judged any more"
        rows += _drift(line, now.get(hull_id), (because, reason), seen, today, zone)
    table = pd.DataFrame(rows, columns=list(DRIFT_COLUMNS))
    order = [min(filter(None, pair)) for pair in zip(table["planned"], table["now"], strict=True)]
    return table.iloc[pd.Series(order, dtype=object).argsort(kind="stable")].reset_index(drop=True)


def _drift(
    line: dict[Any, Any],
    pull: dict[Any, Any] | None,
    why: tuple[str, str],
    seen: _Seen,
    today: date,
    zone: tzinfo,
) -> Iterator[dict[str, object]]:
    """Say how one hull stands against its issued line; nothing where it stands as issued.

    `why` is what moved it (a decision or a reading; empty when neither did), and the same with
    the plan's own reason in its place.
    """
    day, now = line["day"], None if pull is None else pull["day"]
    was = f"{line['hull_id']} was {'to stay' if day is None else f'planned for {_day(day, zone)}'}"
    row = {"hull_id": line["hull_id"], "planned": day, "now": now}
    done = _done(line, seen, zone)
    because, reason = why
    if day is not None and done:
        yield row | {"now": None, "what": DONE, "said": f"{was}; {done}."}
    elif day is not None and day < today and (pull is None or now != day):
        again = "" if pull is None else f" It is planned again, for {_day(now, zone)}."
        nothing = f"{was}; no work is written down: was it done?{again}"
        yield row | {"what": UNRECORDED, "said": nothing}
    elif pull is None:
        yield row | {"what": DROPPED, "said": f"{was}; now left out: {reason.rstrip('.')}."}
    elif day is None:
        yield row | {"what": NEW, "said": f"{was}; now out on {_day(now, zone)}: {pull['why']}."}
    elif now != day:
        moved = f"; {because}" if because else ""
        yield row | {"what": MOVED, "said": f"{was}; now on {_day(now, zone)}{moved}."}
    elif other := _other_work(line, pull):
        yield row | {"what": OTHER_WORK, "said": f"{was}, and still is; {other}."}


def _since(checked: Checked, hull_id: str, issued_at: pd.Timestamp) -> _Seen:
    fitted, read = checked.fittings, checked.readings
    return _Seen(
        fitted[(fitted["hull_id"] == hull_id) & (fitted["fitted_at"] > issued_at)],
        read[(read["hull_id"] == hull_id) & (read["read_at"] > issued_at)],
    )


def _done(line: dict[Any, Any], seen: _Seen, zone: tzinfo) -> str:
    """Say what of the planned work is written down; empty when none is."""
    wanted = positions(line["replace"])
    fitted = list(dict.fromkeys(seen.fitted["position"]))
    if wanted:
        if not set(wanted) & set(fitted):
            return ""
        left = [position for position in wanted if position not in fitted]
        remark = f"; {formatting.listed(left)} not replaced" if left else ""
        return (
            f"{formatting.listed(fitted)} replaced "
            f"{_on(seen.fitted['fitted_at'], line, zone)}{remark}"
        )
    measured = [each for each in positions(line["measure"]) if each in set(seen.read["position"])]
    if not measured:
        return ""
    return f"{formatting.listed(measured)} looked at {_on(seen.read['read_at'], line, zone)}"


def _on(moments: pd.Series[pd.Timestamp], line: dict[Any, Any], zone: tzinfo) -> str:
    day = moments.min().tz_convert(zone).date()
    return "that day" if day == line["day"] else f"on {_day(day, zone)}"


def _looked(seen: _Seen, checked: Checked) -> str:
    """Say the last size that was read since; empty when none was."""
    sizes = seen.read[seen.read["size_mm"].notna()]
    if sizes.empty:
        return ""
    look = sizes.sort_values("read_at", kind="stable").iloc[-1]
    settings = checked.logbook.settings
    size = formatting.size(look["size_mm"], settings.length_unit)
    return f"{look['position']} read {size} on {_day(look['read_at'], settings.timezone)}"


def _decided(row: dict[Any, Any]) -> str:
    reason = f" ({row['reason']})" if isinstance(row["reason"], str) else ""
    return f"{CHANGES[row['change']]} by decision{reason}"


def _other_work(line: dict[Any, Any], pull: dict[Any, Any]) -> str:
    then, now = positions(line["replace"]), list(pull["replace"])
    more = [position for position in now if position not in then]
    less = [position for position in then if position not in now]
    remarks = [f"now also to replace: {formatting.listed(more)}"] if more else []
    return "; ".join(
        [*remarks, *([f"no longer to replace: {formatting.listed(less)}"] if less else [])]
    )


def positions(text: str | None) -> list[str]:
    """Split positions that were joined by commas."""
    return [each.strip() for each in (text or "").split(",") if each.strip()]


def _day(day: date | pd.Timestamp | None, zone: tzinfo) -> str:
    return formatting.day(day, zone, year=False)
