"""Calendar files written, unfolded and held to the letter of RFC 5545."""

from __future__ import annotations

import re
from datetime import date
from zoneinfo import ZoneInfo

import pandas as pd
from icalendar import Calendar

from corrosion.records.settings import Bay, Settings
from corrosion.reports.calendar_file import calendar

LISBON = ZoneInfo("Europe/Lisbon")
NOW = pd.Timestamp("2031-03-24 07:30", tz="UTC")
NO_WINDOWS = pd.DataFrame(
    {
        "mooring_id": pd.Series(dtype=object),
        "opens": pd.Series(dtype="datetime64[us, UTC]"),
        "closes": pd.Series(dtype="datetime64[us, UTC]"),
    }
)


def line(hull_id: str, day: str, **cells: object) -> dict[str, object]:
    usual = {"mooring_id": "E", "bay": 1, "replace": "pencil", "measure": "", "hours": 1.5}
    return {"hull_id": hull_id, "day": date.fromisoformat(day), "parts": "1 x A", **usual, **cells}


def lines(*rows: dict[str, object]) -> pd.DataFrame:
    columns = dict.fromkeys([*line("H", "2031-03-24"), *(name for row in rows for name in row)])
    return pd.DataFrame(list(rows), columns=list(columns))


def written(
    *rows: dict[str, object],
    earlier: tuple[pd.DataFrame, ...] = (),
    zone: ZoneInfo = LISBON,
    bays: tuple[Bay, ...] = (),
    windows: pd.DataFrame = NO_WINDOWS,
    week: str = "2031-03-24",
    issued: bool = True,
    moment: pd.Timestamp = NOW,
) -> bytes:
    return calendar(
        lines(*rows),
        earlier,
        Settings(timezone=zone, bays=bays),
        windows,
        week=date.fromisoformat(week),
        moment=moment,
        issued=issued,
    )


def events(text: bytes) -> dict[str, dict[str, object]]:
    """Hull to its event, as a strict reader of the library sees it."""
    parsed = Calendar.from_ical(text)
    assert not parsed.errors
    read = {}
    for event in parsed.walk("VEVENT"):
        assert not event.errors
        read[str(event["summary"]).split()[0]] = {
            "uid": str(event["uid"]),
            "begins": event.decoded("dtstart"),
            "ends": event.decoded("dtend"),
            "status": str(event["status"]),
            "sequence": int(event["sequence"]),
            "said": str(event["description"]),
        }
    return read


def unfolded(text: bytes) -> list[str]:
    """RFC 5545, 3.1: a line break before a space or tab is a fold; nothing else is removed."""
    return re.sub(r"\r\n[ \t]", "", text.decode("utf-8")).split("\r\n")


def by_the_letter(text: bytes) -> None:
    """Check against RFC 5545 without the library that wrote it."""
    assert text.endswith(b"\r\n")
    for raw in text.split(b"\r\n"):
        assert len(raw) <= 75  # 3.1: lines SHOULD NOT be longer than 75 octets
        assert b"\r" not in raw
        assert b"\n" not in raw
    rows = unfolded(text)[:-1]
    assert rows[0] == "BEGIN:VCALENDAR"
    assert rows[-1] == "END:VCALENDAR"
    open_: list[str] = []
    names: list[list[str]] = []
    for row in rows:
        # 3.1: name *(";" param) ":" value; names are letters, digits and hyphens
        assert re.match(r"[A-Z0-9-]+(;[A-Z-]+=(\"[^\"]*\"|[^\";:,]*))*:", row), row
        name, _, value = row.partition(":")
        if name == "BEGIN":
            open_.append(value)
            names.append([])
        elif name == "END":
            assert open_.pop() == value
            within = names.pop()
            if value == "VEVENT":  # 3.6.1: required once each
                for must in ("UID", "DTSTAMP", "DTSTART", "DTEND", "SEQUENCE", "STATUS"):
                    assert within.count(must) == 1
            if value == "VTIMEZONE":  # 3.6.5
                assert within.count("TZID") == 1
            if value in ("STANDARD", "DAYLIGHT"):
                for must in ("DTSTART", "TZOFFSETFROM", "TZOFFSETTO"):
                    assert within.count(must) == 1
        else:
            names[-1].append(name.partition(";")[0])
        if name.partition(";")[0] in ("SUMMARY", "LOCATION", "DESCRIPTION"):
            # 3.3.11: comma, semicolon and backslash are escaped; no control characters
            assert not re.search(r"(?<!\\)(\\\\)*[,;]", value), row
            assert not re.search(r"[\x00-\x08\x0a-\x1f\x7f]", value)
    assert not open_
    assert rows.count("VERSION:2.0") == 1
    assert sum(row.startswith("PRODID:") for row in rows) == 1
