"""The auditor's report: facts as logged, corrections visible, forecasts as issued, escaped."""

import pytest

from corrosion.command_line.run import main
from corrosion.common.errors import Refusal
from corrosion.forecast.appraisal import appraise
from corrosion.records.method import VERSION
from corrosion.reports.hull_report import hull_report
from tests.fleets import FleetLogs

pytestmark = pytest.mark.slow

ON = "2031-07-20"


def _fleet() -> FleetLogs:
    fleet = FleetLogs().setting(name="Quay <b>7</b>", simulated=True)
    fleet.mooring("E", "salt")
    fleet.position("pencil", gauge="diameter", limit_source="Manual of the engine, page 41")
    for hull in ("H1", "H2"):
        fleet.hull(hull).berth(hull, "E", "lifted").fitting(hull, "pencil", "2031-04-01")
        fleet.season(hull, "2031-04-02", 20, flushed=True)
        fleet.reading(hull, "pencil", "2031-04-20", 8.6, entry_id=f"{hull}-first")
    fleet.reading("H1", "pencil", "2031-04-21", 8.1, entry_id="H1-slip", note="<script>")
    fleet.reading("H1", "pencil", "2031-04-21", 8.4, entry_id="H1-right", corrects="H1-slip")
    fleet.reading("H1", "pencil", "2031-07-10", 8.0)
    return fleet.add(
        "plans", plan_id="P-1", hull_id="H1", issued_at="2031-07-12 08:00", replace="pencil",
        day="2031-07-16", risk_now=0.2, pull_by="2031-07-18", method="2031-01",
    )  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return _fleet().write(tmp_path_factory.mktemp("report"))


@pytest.fixture(scope="module")
def html(folder) -> str:
    return hull_report(appraise(folder, ON), "H1")


def test_a_corrected_entry_stands_struck_through_beside_its_correction(html):
    assert 'class="gone"' in html
    assert "H1-slip" in html
    assert "H1-right" in html


def test_a_limit_is_printed_with_its_manual_and_page(html):
    assert "Manual of the engine, page 41" in html
    assert "6.4 mm" in html


def test_a_stretch_without_a_look_is_named_as_a_gap(html):
    assert "No look at any anode from Mon 21 Apr 2031 to Thu 10 Jul 2031 (80 days)." in html


def test_a_forecast_appears_as_it_was_issued_with_its_own_method(html):
    assert "P-1" in html
    assert "1 in 5" in html
    assert "2031-01" in html
    assert VERSION in html, "the report itself says by which method it was made"


def test_what_was_typed_into_the_logs_cannot_become_markup(html):
    assert "<script>" not in html.split("</style>")[-1]
    assert "<b>7</b>" not in html


def test_an_invented_fleet_is_called_simulated_and_the_caution_stands(html):
    assert "Simulated" in html
    assert "does not certify a vessel fit for hire" in html


def test_a_hull_that_nobody_knows_is_refused(folder):
    with pytest.raises(Refusal, match="there is no hull H9"):
        hull_report(appraise(folder, ON), "H9")


def test_the_command_writes_the_same_page_into_a_file(folder, html, tmp_path):
    file = tmp_path / "report.html"
    words = ["report", str(folder), "--hull", "H1", "--on", ON, "--output", str(file)]
    assert main(words) == 0
    assert file.read_text(encoding="utf-8").strip() == html.strip()


def test_the_past_stands_in_order_and_hires_ahead_at_the_end(tmp_path):
    fleet = _fleet().booking("H1", "2031-07-25 09:00", "2031-07-25 11:00", engine_hours=1.5)
    html = hull_report(appraise(fleet.write(tmp_path), ON), "H1")
    history = html[html.index("History, oldest first") :]
    past, ahead = history.split("Hires and entries ahead")
    assert past.index("Sun 20 Apr 2031") < past.index("Mon 21 Apr 2031") < past.index("10 Jul 2031")
    assert "Fri 25 Jul 2031" not in past
    assert "Fri 25 Jul 2031" in ahead


def test_everyday_entries_of_one_day_share_a_line_and_none_is_left_out(html):
    past = html[html.index("History, oldest first") :]
    assert past.count("back from an outing") == 20
    shared = [line for line in past.splitlines() if "back from an outing: " in line]
    assert len(shared) >= 18
    assert all("flushed: 13:30" in line or "flushed: 11:30" in line for line in shared)


def test_an_entry_written_up_days_later_keeps_a_line_with_its_name(tmp_path):
    fleet = _fleet().outing("H1", "2031-05-20 09:00", entered_at="2031-05-29 18:00",
                            entered_by="late shift", entry_id="late-outing")  # fmt: skip
    html = hull_report(appraise(fleet.write(tmp_path), ON), "H1")
    line = next(line for line in html.splitlines() if "late-outing" in line)
    assert "Thu 29 May 2031" in line
    assert "by late shift" in line
