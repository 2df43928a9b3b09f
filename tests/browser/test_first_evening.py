"""A new yard's first evening, on a phone over a slow line: from an empty folder to a forecast."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from corrosion.records.logbook import read_fleet
from tests.browser.serving import SLOW_MS, Server, Watched, choose, slow_line

MOST_STEPS = 20
HULLS = ("H01", "H02", "H03")
PLACES = {"cooler-pencil": ("9,0", "6,3"), "jacket-pencil": ("9,0", "6,3"),
          "pump-plate": ("12,5", "8,0")}  # fmt: skip


@dataclass
class Thumb:
    """A thumb on a phone that counts its steps: presses, choices, fields that are typed."""

    page: Page
    steps: int = 0

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name, exact=True).click(timeout=SLOW_MS)
        self.steps += 1

    def follow(self, name: str) -> None:
        self.page.get_by_role("link", name=name).first.click(timeout=SLOW_MS)
        self.steps += 1

    def type(self, label: str, text: str) -> None:
        field = self.page.get_by_label(label, exact=True).first
        expect(field).to_be_visible(timeout=SLOW_MS)
        field.fill(text)
        self.steps += 1

    def choose(self, label: str, option: str) -> None:
        choose(self.page, self.page.get_by_role("combobox", name=label), option)
        self.steps += 1

    def bring(self, *files: Path) -> None:
        self.page.locator("input[type=file]").set_input_files([str(file) for file in files])
        self.steps += 1


@pytest.fixture
def folder() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="first_evening_") as name:
        yield Path(name) / "our fleet"


def days_ago(count: int) -> str:
    return f"{datetime.now() - timedelta(days=count):%d.%m.%Y}"


def outings_kept(folder: Path) -> Path:
    """Sixty outings: a date and two times, one past midnight, one that nobody can read."""
    rows = [
        f"{HULLS[n % 3]};{days_ago(61 - n)};{'21:30;00:20' if n == 7 else '09:10;11:40'};1,6"
        for n in range(60)
    ]
    rows[30] = f"H02;{days_ago(31)};half past nine;11:40;1,6"
    file = folder / "outings.csv"
    file.write_text("\n".join(["Boat;Date;Time out;Time back;Engine hours", *rows]), "utf-8")
    return file


def readings_kept(folder: Path) -> Path:
    """Thirty readings, in mm by their heading, one of them of no day of the calendar."""
    rows = []
    for look in range(10):
        day, worn_mm = days_ago(62 - 6 * look), 0.15 * look
        for at, (hull, (position, (new, _))) in enumerate(zip(HULLS, PLACES.items(), strict=True)):
            size_mm = float(new.replace(",", ".")) - worn_mm * (1 + at / 5)
            rows.append(f"{hull};{position};{day} 08:00;{size_mm:.2f}")
    rows[13] = "H02;jacket-pencil;31.02.2026 08:00;8.10"
    file = folder / "readings.csv"
    file.write_text("\n".join(["Boat;Anode;Date;Size (mm)", *rows]), "utf-8")
    return file


def test_an_empty_folder_comes_to_a_first_forecast_in_few_steps(
    phone: Watched, server: Server, folder: Path, tmp_path: Path
) -> None:
    page, thumb = phone.page, Thumb(phone.page)
    slow_line(page)
    page.goto(f"{server.address}/open_fleet")
    thumb.type("Path of the fleet folder", str(folder))
    thumb.press("Start a fleet here")
    thumb.type("Name of the fleet", "Ferry Steps")
    thumb.press("Next")
    thumb.type("Name of the mooring", "Steps")
    thumb.choose("Its water", "salt")
    thumb.choose("Metal of the anodes", "zinc")
    thumb.type("Manual and page of the limits", "engine manual, p. 41")
    for position, (new, limit) in PLACES.items():
        thumb.type(f"{position}: new, mm", new)
        thumb.type(f"{position}: replace at, mm", limit)
    thumb.type("Hulls of this layout that live there, with commas between", ", ".join(HULLS))
    thumb.type("In the fleet since", f"{datetime.now() - timedelta(days=90):%d %B %Y}")
    thumb.press("Start the fleet")
    expect(page.get_by_text("The fleet is started")).to_be_visible(timeout=SLOW_MS)
    thumb.bring(outings_kept(tmp_path), readings_kept(tmp_path))
    expect(page.get_by_text("59 rows would be taken")).to_be_visible(timeout=SLOW_MS)
    expect(page.get_by_text("line 32, H02: Date and Time out is no time")).to_be_visible()
    expect(page.get_by_text("29 rows would be taken")).to_be_visible(timeout=SLOW_MS)
    expect(page.get_by_text("line 15, H02: Date is no date of the calendar")).to_be_visible()
    thumb.press("Take these rows")
    thumb.follow("See what follows: this week")
    expect(page.get_by_text("If nobody acts").first).to_be_visible(timeout=SLOW_MS)
    logs = read_fleet(folder)
    assert (len(logs.outings), len(logs.readings)) == (59, 29)
    assert (logs.outings["ended"] - logs.outings["started"]).max() == timedelta(hours=2, minutes=50)
    assert logs.settings.timezone.key == "Europe/Lisbon"
    assert thumb.steps <= MOST_STEPS
    assert not phone.wrong
