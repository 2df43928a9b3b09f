"""Commands that look back: how often the forecasts were right, and one hull's whole story."""

from __future__ import annotations

import argparse
import sys
from datetime import tzinfo
from typing import TYPE_CHECKING, Any

from corrosion.command_line.answers import Answer

if TYPE_CHECKING:
    import pandas as pd

    from corrosion.forecast import Record

RECORD = ("about", "what", "forecasts", "looks", "said", "found", "low", "high", "brier", "note")


def track_record(options: argparse.Namespace) -> Answer:
    """Set the forecasts of past weeks beside what the looks since then found."""
    from corrosion.forecast import in_one_line, looks_in_one_line
    from corrosion.forecast import track_record as go_back

    record = go_back(options.fleet, options.on, options.weeks, options.kept_in, _say)
    local = record.on.tz_convert(record.settings.timezone)
    name = record.settings.name or options.fleet.name
    lines = [each for each in (in_one_line(record.reliability), looks_in_one_line(record.looks))
             if each]  # fmt: skip
    label = " (simulated)" if record.settings.simulated and "simulated" not in name.lower() else ""
    about = (
        f"{name}{label}, as on "
        f"{local:%Y-%m-%d %H:%M} ({record.settings.timezone}): forecasts of {record.weeks} "
        f"Mondays, {record.made} of them worked out now, the others kept from before.",
        *(f"{line[0].upper()}{line[1:]}." for line in lines),
        "said: mean chance, or sum of chances; found: share, or sum, of those found worn.",
    )
    return Answer(_rows(record), about, RECORD, record.settings.timezone)


def report(options: argparse.Namespace) -> Answer:
    """Write one hull's whole story as HTML."""
    from corrosion.forecast import appraise
    from corrosion.records import stamp
    from corrosion.reports import hull_report

    appraisal = appraise(options.fleet, options.on)
    html = hull_report(appraisal, options.hull, options.paper)
    zone = appraisal.logbook.settings.timezone
    return Answer(html, (stamp(appraisal.logbook),), (), zone)


def _say(done: int, of: int) -> None:
    """Show on a terminal how far it is."""
    if sys.stderr.isatty():
        sys.stderr.write(f"\r{done} of {of} weeks{chr(10) if done == of else ''}")
        sys.stderr.flush()


def _rows(record: Record) -> pd.DataFrame:
    import pandas as pd

    from corrosion.forecast import scores_by

    parts = [
        _bands(record),
        _use_and_wear(record),
        _rules(record),
        _horizons(record),
        _ranges(record),
        _looks(record),
    ]
    for column, about in (("mooring_id", "mooring"), ("position", "position")):
        table = scores_by(record.judged, column).rename(columns={column: "what", "worn": "found"})
        parts.append(table.assign(about=about))
    parts.append(_misses(record))
    table = pd.concat([part for part in parts if len(part)], ignore_index=True)
    return table.reindex(columns=list(RECORD))


def _bands(record: Record) -> pd.DataFrame:
    table = record.reliability
    what = [f"chance {a:g} to {b:g}" for a, b in zip(table["from_chance"], table["to_chance"],
                                                       strict=True)]  # fmt: skip
    note = [f"{int(worn)} of {looks} looks found it worn" for worn, looks in zip(
        table["worn"], table["looks"], strict=True)]  # fmt: skip
    return table.assign(about="next look", what=what, note=note)


def _use_and_wear(record: Record) -> pd.DataFrame:
    table = record.blame
    what = ["chances of 5 to 95 %, each look once", "all chances, each look once"]
    note = [
        f"{row.said_with_use:.1f} had the engine hours been known ({row.hours_run:.0f} h run, "
        f"{row.hours_said:.0f} expected); by chance alone {row.low:.0f} to {row.high:.0f}"
        for row in table.itertuples()
    ]
    return table.drop(columns=["low", "high"]).assign(about="use and wear", what=what, note=note)


def _rules(record: Record) -> pd.DataFrame:
    table = record.rivals.rename(columns={"rule": "what"})
    note = [f"takes {skill:.2f} of the average's score away" for skill in table["skill"]]
    return table.assign(about="score", note=note)


def _horizons(record: Record) -> pd.DataFrame:
    table = record.horizons
    what = [f"worn within {days} days" for days in table["days"]]
    note = [_judged(row) for row in table.itertuples()]
    return table.drop(columns=["open"]).assign(about="horizon", what=what, note=note)


def _judged(row: Any) -> str:
    return (
        f"{row.judged} judged, {row.between} of them between two looks; not judged: {row.pulled} "
        f"pulled early, {row.unread} not looked at since, {row.open} still open"
    )


def _ranges(record: Record) -> pd.DataFrame:
    table = record.coverage.rename(columns={"range": "what", "judged": "forecasts"})
    note = [f"{n} cannot be told" if n else "" for n in table["cannot_tell"]]
    return table.assign(about="80 % range", said=0.8, found=table["share"], note=note)


def _looks(record: Record) -> pd.DataFrame:
    table = record.looks
    note = ["changed what was done" if changed else "" for changed in table["changed"]]
    return table.drop(columns="changed").assign(about="look", found=table["share"], note=note)


def _misses(record: Record) -> pd.DataFrame:
    import pandas as pd

    zone = record.settings.timezone
    return pd.DataFrame([_miss(row, zone) for row in record.misses.itertuples()])


def _miss(row: Any, zone: tzinfo) -> dict[str, object]:
    return {
        "about": "surprise",
        "what": f"{row.hull_id} {row.position}: {row.what}",
        "said": row.chance,
        "note": f"said on {row.week.tz_convert(zone):%Y-%m-%d}, worn {row.worn_then:.2f} then by "
        f"estimate, {row.last_worn:.2f} at its last look; looked at on "
        f"{row.next_at.tz_convert(zone):%Y-%m-%d}, worn {row.next_worn:.2f}",
    }
