"""Every page opens: on the demo fleet, on a thin fleet, and where the logs are damaged."""

from pathlib import Path

import pytest

from tests.fleets import FleetLogs, usual_fleet
from tests.pages.conftest import PAGES
from tests.pages.reading import Run, Standing, said
from tests.unit.forecast.test_filled_exposure import fleet as silent_fleet


@pytest.mark.slow
@pytest.mark.parametrize("page", PAGES)
def test_a_page_opens_on_the_demo_without_an_error(run: Run, page: str) -> None:
    app = run(page, None)
    assert not app.exception
    assert "imulated" in said(app)


@pytest.mark.parametrize("page", ["week", "hull", "book", "check"])
def test_a_page_opens_on_a_fleet_that_says_little(run: Run, page: str, standing: Standing) -> None:
    assert not run(page, standing(usual_fleet(1))).exception


@pytest.mark.parametrize("page", ["week", "hull", "book"])
def test_a_page_says_what_to_do_where_a_log_is_missing(
    run: Run, page: str, standing: Standing
) -> None:
    app = run(page, standing(FleetLogs().mooring("E")))
    assert not app.exception
    assert "hulls" in said(app)


@pytest.fixture(scope="module")
def silent(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two docks that wrote nothing for three weeks although hires went by."""
    return silent_fleet().write(tmp_path_factory.mktemp("silent"))


@pytest.mark.slow
@pytest.mark.parametrize("page", ["week", "hull"])
def test_a_page_says_first_who_has_not_written_since_when(
    run: Run, page: str, silent: Path
) -> None:
    app = run(page, silent, on="2031-07-31")
    assert not app.exception
    assert "not all is written since" in app.warning[0].value
    calm = run(page, silent, on="2031-07-09")
    assert not [box for box in calm.warning if "not all is written" in box.value]
