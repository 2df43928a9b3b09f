"""Pages run as the server runs them: through app.py, and each alone."""

import shutil
from collections.abc import Iterator
from functools import cache
from hashlib import blake2b
from pathlib import Path

import pytest
from streamlit.components.v2 import manifest_scanner
from streamlit.runtime.pages_manager import PagesManager
from streamlit.testing.v1 import AppTest

from pages._shared import session
from tests.fleets import FleetLogs, usual_fleet
from tests.pages.reading import HOUSE, Run, Standing

PAGES = {
    "week": "pages/this_week.py",
    "fleet": "pages/fleet.py",
    "hull": "pages/hull.py",
    "looks": "pages/looks.py",
    "parts": "pages/parts.py",
    "costs": "pages/costs.py",
    "moorings": "pages/moorings.py",
    "flushing": "pages/flushing.py",
    "habits": "pages/habits.py",
    "book": "pages/log_book.py",
    "registers": "pages/registers.py",
    "check": "pages/log_check.py",
    "moving": "pages/import_export.py",
    "record": "pages/track_record.py",
    "chemistry": "pages/chemistry.py",
}


@pytest.fixture(autouse=True, scope="session")
def packages_looked_through_once() -> Iterator[None]:
    """Spare each opening 0.2 s: the harness seeks components in every installed package anew."""
    with pytest.MonkeyPatch.context() as patch:
        scan = manifest_scanner.scan_component_manifests
        patch.setattr(manifest_scanner, "scan_component_manifests", cache(scan))
        yield


@pytest.fixture(autouse=True)
def router_decides(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep app.py in charge: the test harness switches the pages folder on again at each run."""
    begin = PagesManager.__init__

    def without_pages_folder(self: PagesManager, *args: object, **options: object) -> None:
        begin(self, *args, **options)  # type: ignore[arg-type]
        PagesManager.uses_pages_directory = False

    monkeypatch.setattr(PagesManager, "__init__", without_pages_folder)


@pytest.fixture(autouse=True)
def nothing_opened(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """No fleet is chosen on this server, before and after."""
    monkeypatch.delenv("FLEET_LOGS", raising=False)
    session.OPENED.clear()
    yield
    session.OPENED.clear()


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch) -> Run:
    """Open a page on a fleet folder, through app.py or alone, with an address."""

    def opened(page: str, folder: Path | None, alone: bool = False, **address: str) -> AppTest:
        if folder is not None:
            monkeypatch.setenv("FLEET_LOGS", str(folder))
        script = PAGES[page] if alone else "app.py"
        app = AppTest.from_file(str(HOUSE / script), default_timeout=60)
        app.session_state["browser"] = "the same browser"  # the harness has no cookies
        for name, value in address.items():
            app.query_params[name] = value
        if not alone and page != "week":
            app.switch_page(PAGES[page])
        return app.run()

    return opened


@pytest.fixture(scope="session")
def standing(tmp_path_factory: pytest.TempPathFactory) -> Standing:
    """Put a fleet where the same fleet always lies, as it was written: to the minute of its files.

    Pages then know what they answered about it in another test, and fit it once a worker. Tests may
    write to it: it is put back for the next one.
    """
    base = tmp_path_factory.mktemp("standing")

    def put_back(fleet: FleetLogs) -> Path:
        rows = repr((fleet.rows, fleet.settings)).encode()
        name = blake2b(rows, digest_size=6).hexdigest()
        written, folder = base / f"{name}-as-written", base / name / "fleet"
        if not written.exists():
            fleet.write(written)
        if folder.exists():
            shutil.rmtree(folder)
        shutil.copytree(written, folder)
        return folder

    return put_back


@pytest.fixture
def worn_fleet() -> FleetLogs:
    """Three hulls over a season: H1 in salt wears a pencil down, H3 in fresh water hardly."""
    fleet = usual_fleet(3).setting(name="Ferry *Steps*", timezone="Europe/Lisbon")
    for number, lost_mm in ((1, 2.3), (2, 1.2), (3, 0.1)):
        hull_id = f"H{number}"
        fleet.season(hull_id, "2031-04-02", 58)
        for day, share in ((10, 0.15), (25, 0.4), (40, 0.7), (57, 1.0)):
            at = f"2031-{4 + day // 30:02d}-{1 + day % 30:02d} 07:00"
            fleet.reading(hull_id, "pencil", at, round(9.0 - share * lost_mm, 2))
            fleet.reading(hull_id, "plate", at, round(15.0 - share * lost_mm / 2, 2))
        fleet.booking(hull_id, "2031-06-02 09:00", "2031-06-02 11:00", engine_hours=1.8)
    return fleet


@pytest.fixture
def live_fleet() -> FleetLogs:
    """One hull with logs from before today, as a fleet that is not simulated has them."""
    fleet = FleetLogs().setting(name="Ferry Steps").mooring("E", "salt").position("pencil")
    fleet.hull("H1").berth("H1", "E", since="2025-04-01")
    fleet.fitting("H1", "pencil", "2025-04-01").season("H1", "2025-04-02", 60)
    return fleet.reading("H1", "pencil", "2025-05-30 07:00", 7.4)
