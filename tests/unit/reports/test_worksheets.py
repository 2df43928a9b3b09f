"""What a work sheet says of each anode, and what the yard takes along."""

from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from corrosion.records.checks import Checked, check_logs
from corrosion.records.logbook import read_fleet
from corrosion.reports.worksheets import Job, jobs, pick_list, picking, work_sheets
from corrosion.reports.worksheets.jobs import in_access_order
from tests.fleets import FleetLogs, usual_fleet
from tests.plans import pull, pulls

UTC = ZoneInfo("UTC")


def checked(fleet: FleetLogs, folder: Path) -> Checked:
    return check_logs(read_fleet(fleet.write(folder), "2031-06-01"))


def the_job(fleet: FleetLogs, folder: Path, **cells: object) -> Job:
    usual = {"replace": ("pencil",), "measure": ("plate",)}
    (job,) = jobs(checked(fleet, folder), pulls(pull("H1", "2031-06-03", **(usual | cells))))
    return job


def test_the_last_three_looks_are_given_oldest_first_with_their_dates(tmp_path: Path) -> None:
    fleet = usual_fleet()
    for day, size_mm in (("05", 8.8), ("12", 8.4), ("19", 8.0), ("26", 7.6)):
        fleet.reading("H1", "pencil", f"2031-05-{day} 09:00", size_mm)
    pencil, plate = the_job(fleet, tmp_path).tasks
    assert pencil.looks == ("12 May 2031: 8.4 mm", "19 May 2031: 8.0 mm", "26 May 2031: 7.6 mm")
    assert plate.looks == ()


def test_a_look_at_an_anode_that_was_changed_since_is_not_given(tmp_path: Path) -> None:
    fleet = usual_fleet().reading("H1", "pencil", "2031-05-05 09:00", 6.5)
    fleet.reading("H1", "pencil", "2031-05-10 09:00", 6.4, removed=True)
    fleet.fitting("H1", "pencil", "2031-05-10 09:30")
    fleet.reading("H1", "pencil", "2031-05-20 09:00", 8.9)
    pencil = the_job(fleet, tmp_path).tasks[0]
    assert pencil.looks == ("20 May 2031: 8.9 mm",)
    assert pencil.fitted == "10 May 2031"


def test_looks_by_eye_and_verdicts_are_said_as_what_they_are(tmp_path: Path) -> None:
    fleet = usual_fleet()
    fleet.reading("H1", "pencil", "2031-05-05 09:00", size_low_mm=7.0, size_high_mm=8.0)
    fleet.reading("H1", "pencil", "2031-05-12 09:00", verdict="ok")
    looks = the_job(fleet, tmp_path).tasks[0].looks
    assert looks == ("5 May 2031: by eye 7.0–8.0 mm", "12 May 2031: seen: ok")


def test_sizes_are_in_the_unit_of_the_caliper(tmp_path: Path) -> None:
    fleet = usual_fleet().setting(length_unit="in")
    fleet.reading("H1", "pencil", "2031-05-05 09:00", 7.62)
    pencil = the_job(fleet, tmp_path).tasks[0]
    assert pencil.limit == "0.252 in"  # 6.4 / 25.4
    assert pencil.looks == ("5 May 2031: 0.300 in",)


def test_what_is_neither_replaced_nor_measured_stays_shut(tmp_path: Path) -> None:
    job = the_job(usual_fleet(), tmp_path, measure=())
    assert [(task.position, task.do) for task in job.tasks] == [("pencil", "replace")]
    assert job.untouched == ("plate",)


def test_positions_behind_one_cover_stay_together_in_the_order_of_the_plan() -> None:
    places = pd.DataFrame(
        {"position": ["a", "b", "c", "d"], "access_group": ["cap", None, "cap", None]}
    )
    assert in_access_order(places, ["a", "b", "c", "d"]) == ["a", "c", "b", "d"]
    assert in_access_order(places, ["d", "c", "b", "a"]) == ["d", "c", "a", "b"]


def test_a_position_that_the_register_does_not_know_is_still_on_the_sheet(tmp_path: Path) -> None:
    job = the_job(usual_fleet(), tmp_path, replace=("elbow",), measure=())
    html = work_sheets([job], stamp="s", simulated=False)
    assert job.tasks[0].limit == ""
    assert "Limit: see its manual." in html
    assert "no page is registered" in html


def sheet_of(fleet: FleetLogs, folder: Path, **cells: object) -> str:
    return work_sheets([the_job(fleet, folder, **cells)], stamp="s", simulated=False)


def test_a_mechanics_sheet_bears_no_chance_no_reason_and_no_cost(tmp_path: Path) -> None:
    html = sheet_of(usual_fleet(), tmp_path, why="1 in 3 by Tue", risk_now=0.37, slip_cost=123.0)
    body = html.partition("</style>")[2]
    for word in ("1 in 3", "0.37", "123", "risk", "chance"):
        assert word not in body


def test_torque_and_compound_are_the_manuals_with_its_page_and_never_a_number(
    tmp_path: Path,
) -> None:
    fleet = FleetLogs().mooring("E").hull("H1").berth("H1", "E")
    fleet.position("pencil", limit_source="engine manual, page 42")
    html = sheet_of(fleet, tmp_path, measure=())
    assert "see manual, <bdi>engine manual, page 42</bdi>" in html
    assert " Nm" not in html


CAUTIONS = (
    *("Not for hire", "Key and lanyard out", "Lifting: gear", "weight with fuel and water"),
    *("Ventilate, test for fuel vapour", "battery off", "Shore lead", "Hot engine"),
    *("Nobody alone in an enclosed", "lifejacket", "Eyes and gloves", "respirator"),
    *("Size <span", "Metal contact", "Drain plug in", "seacock reopened before starting"),
    *("look for leaks, then for cooling flow", "swimmers clear", "carbon monoxide", "Tag off"),
)


def test_cautions_stand_in_the_order_of_the_work(tmp_path: Path) -> None:
    html = sheet_of(usual_fleet(), tmp_path)
    places = [html.find(caution) for caution in CAUTIONS]
    assert min(places) > 0
    assert places == sorted(places)
    assert "Never paint an anode" in html


def test_magnesium_is_warned_of_where_it_is_worked_on_and_only_there(tmp_path: Path) -> None:
    fleet = FleetLogs().mooring("L", "fresh").hull("H1").berth("H1", "L")
    fleet.position("rod", alloy="magnesium").position("pencil", alloy="aluminium")
    assert "Magnesium chips burn" in sheet_of(fleet, tmp_path / "a", replace=("rod",), measure=())
    assert "Magnesium" not in sheet_of(fleet, tmp_path / "b", measure=())


def test_a_job_that_measures_first_says_so(tmp_path: Path) -> None:
    job = the_job(usual_fleet(), tmp_path, kind="measure-first")
    assert "Measure first." in work_sheets([job], stamp="s", simulated=False)


def test_names_from_the_logs_are_text(tmp_path: Path) -> None:
    fleet = FleetLogs().mooring("E").position("<img src=x>").hull("H1", name="<script>")
    html = sheet_of(fleet.berth("H1", "E"), tmp_path, replace=("<img src=x>",), measure=())
    assert "<img" not in html
    assert "<script" not in html


def on_hand(store: dict[str, dict[str, int]]) -> pd.DataFrame:
    """Pieces by part and mooring, as the store is counted."""
    rows = [(part, shelf, n) for part, places in store.items() for shelf, n in places.items()]
    return pd.DataFrame(rows, columns=["part_number", "mooring_id", "pieces"])


def picks(*rows: dict[str, object], store: dict[str, dict[str, int]]) -> list[tuple[object, ...]]:
    table = picking(pulls(*rows), on_hand(store), UTC)
    return list(zip(table.mooring, table.day, table.part_number, table.pieces, table.on_hand,
                    table.short, strict=True))  # fmt: skip


def test_parts_of_one_day_and_mooring_are_added_up_and_earlier_days_take_first() -> None:
    picked = picks(
        pull("H2", "2031-06-05", parts={"A": 2}),
        pull("H1", "2031-06-03", parts={"A": 1}),
        pull("H3", "2031-06-03", parts={"A": 1}),
        store={"A": {"": 3}},
    )
    assert picked == [
        ("E", date(2031, 6, 3), "A", 2, 3.0, 0),
        ("E", date(2031, 6, 5), "A", 2, 1.0, 1),
    ]


def test_a_mooring_takes_from_its_own_shelf_before_the_common_store() -> None:
    picked = picks(
        pull("H1", "2031-06-03", parts={"A": 2}),
        pull("H2", "2031-06-04", parts={"A": 2}, mooring_id="B"),
        store={"A": {"E": 1, "": 2, "L": 9}},
    )
    # E takes its own piece and one of two common ones; nobody takes the lake's
    assert [row[0] for row in picked] == ["B", "E"]
    assert picked[1][4:] == (3.0, 0)
    assert picked[0][4:] == (1.0, 1)


def test_a_part_that_was_never_counted_is_not_called_short() -> None:
    ((*_, left_over, short),) = picks(pull("H1", "2031-06-03", parts={"A": 2}), store={})
    assert pd.isna(left_over)
    assert short == 0
    html = pick_list(
        picking(pulls(pull("H1", "2031-06-03", parts={"A": 2})), on_hand({}), UTC),
        stamp="s",
        simulated=False,
    )
    assert "not counted" in html
    assert "SHORT" not in html


def test_an_inspection_takes_its_seal_too_and_no_anode_from_the_shelf() -> None:
    rows = (pull("H1", "2031-06-03", seals={"A": 1}), pull("H2", "2031-06-04", parts={"A": 1}))
    table = picking(pulls(*rows), on_hand({"A": {"": 1}}), UTC)
    assert table["kind"].tolist() == ["seal", "anode"]
    assert table["on_hand"].isna().tolist() == [True, False]
    assert table["short"].tolist() == [0, 0]


def test_an_anode_without_a_part_number_is_taken_along_all_the_same(tmp_path: Path) -> None:
    rows = [pull("H1", "2031-06-03", replace=("pencil", "plate"), parts={"A": 1})]
    table = picking(pulls(*rows), on_hand({"A": {"": 5}}), UTC)
    assert table["part_number"].tolist() == ["A", "anode without a part number"]
    assert "1 &times; anode for <bdi>pencil</bdi>" in sheet_of(usual_fleet(), tmp_path)


def test_an_empty_week_has_an_empty_list() -> None:
    table = picking(pulls(), on_hand({}), UTC)
    assert table.empty
    assert "Nothing is to be taken along." in pick_list(table, stamp="s", simulated=False)


@given(
    st.lists(
        st.tuples(
            st.sampled_from("EB"), st.integers(3, 9), st.sampled_from("AC"), st.integers(1, 4)
        ),
        max_size=8,
    ),
    st.dictionaries(
        st.sampled_from("AC"),
        st.dictionaries(st.sampled_from(["", "E", "B"]), st.integers(0, 6)),
    ),
)
def test_what_is_short_is_what_the_shelves_lack_and_nothing_is_taken_twice(
    needs: list[tuple[str, int, str, int]], store: dict[str, dict[str, int]]
) -> None:
    rows = [
        pull("H1", f"2031-06-{day:02d}", mooring_id=mooring, parts={part: pieces})
        for mooring, day, part, pieces in needs
    ]
    table = picking(pulls(*rows), on_hand(store), UTC)
    counted = [part for part in store if store[part]]
    for part in counted:
        own = table[table["part_number"] == part]
        taken = own["pieces"].sum() - own["short"].sum()
        assert 0 <= taken <= sum(store[part].values())
        assert (own["short"] >= 0).all()
    assert (table.loc[~table["part_number"].isin(counted), "short"] == 0).all()


@pytest.mark.parametrize("hulls", [0, 2])
def test_the_title_of_a_document_says_what_it_is(hulls: int, tmp_path: Path) -> None:
    table = pulls(*(pull(f"H{n + 1}", "2031-06-03") for n in range(hulls)))
    work = jobs(checked(usual_fleet(), tmp_path), table)
    html = work_sheets(work, stamp="s", simulated=False, days="2 to 8 Jun 2031")
    assert "<title>Work sheets · 2 to 8 Jun 2031</title>" in html


# ---- metal left ----------------------------------------------------------------------------


def test_a_sheet_draws_the_metal_that_is_left_with_its_words_beside(tmp_path: Path) -> None:
    fleet = usual_fleet().reading("H1", "pencil", "2031-05-20 09:00", 8.0)
    logs = checked(fleet, tmp_path)
    anodes = pd.DataFrame(
        {
            "hull_id": ["H1"], "position": ["pencil"], "worn": [0.69], "worn_low": [0.62],
            "worn_high": [0.76], "last_worn": [0.66],
        }
    )  # fmt: skip
    (job,) = jobs(logs, pulls(pull("H1", "2031-06-03", replace=("pencil",))), anodes)
    marked = [task.metal is not None for task in job.tasks]
    assert [task.position for task in job.tasks][marked.index(True)] == "pencil"
    assert sum(marked) == 1, "an anode without a forecast has no mark"
    html = work_sheets([job], stamp="s", simulated=False)
    assert html.count('<svg class="metal"') == 1
    assert "31 % left (24 to 38 %)" in html
    usual = pulls(pull("H1", "2031-06-03", replace=("plate",), measure=("pencil",)))
    (job,) = jobs(logs, usual, anodes)
    assert [task.metal for task in job.tasks] == [None, None], "who measures is not told"
    assert "new (right) to limit (line)" in html
