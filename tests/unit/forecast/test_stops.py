"""What stops a hull, what lifts a stop, and whether an anode protects."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest

from corrosion.forecast.alloys import against_water
from corrosion.forecast.protection import protection_of_anodes, protection_of_hulls
from corrosion.forecast.stops import (
    lifted_stops,
    stops_in_words,
    stops_of_anodes,
    stops_of_hulls,
    what_lifts,
)
from corrosion.records import Settings

ON = pd.Timestamp("2031-06-02 06:00", tz="UTC")
CHANGES = ("hull_id", "change", "day", "reason", "decided_at", "entered_at", "entry_id")


def checked(changes: list[dict[str, Any]] | None = None, **settings: Any) -> Any:
    table = pd.DataFrame(changes or [], columns=list(CHANGES))
    for name in ("day", "decided_at", "entered_at"):
        table[name] = pd.to_datetime(table[name], utc=True)
    readings = pd.DataFrame(
        {"hull_id": [], "position": [], "read_at": pd.to_datetime([], utc=True), "bond_ohm": [],
         "potential_mv": []}
    )  # fmt: skip
    logbook = SimpleNamespace(settings=Settings(**settings), on=ON, plan_changes=table)
    return SimpleNamespace(logbook=logbook, readings=readings)


def anodes(**cells: Any) -> pd.DataFrame:
    row = {
        "hull_id": "H1", "position": "pencil", "last_worn": 0.4, "last_verdict": None,
        "not_protecting": 0.02, "last_read_at": ON - pd.Timedelta(days=3),
        "fitted_at": ON - pd.Timedelta(days=60), "beside_sisters": 1.0, "idle_log_odds": 0.0,
    }  # fmt: skip
    return pd.DataFrame([row | cells])


def alloys(alloy: str = "zinc", listed: str = "zinc") -> pd.DataFrame:
    return pd.DataFrame(
        {"hull_id": ["H1"], "position": ["pencil"], "alloy": [alloy], "listed": [listed]}
    )


def stop_of(
    chance: float = 0.01, water: str = "salt", alloy: str = "zinc", listed: str = "zinc",
    **cells: Any,
) -> str:  # fmt: skip
    stops = stops_of_anodes(
        anodes(**cells), np.array([chance]), checked(), alloys(alloy, listed), pd.Series([water])
    )
    return str(stops.iloc[0])


def test_an_anode_within_its_limit_stops_nobody() -> None:
    assert stop_of() == ""


def test_a_believed_look_at_the_limit_stops_the_hull() -> None:
    assert stop_of(chance=0.4, last_worn=1.0) == "past-limit-read"
    assert stop_of(chance=0.4, last_verdict="worn") == "past-limit-read"


def test_a_look_past_the_limit_that_the_fit_does_not_believe_stops_nobody() -> None:
    assert stop_of(chance=0.001, last_worn=1.3) == ""


@pytest.mark.parametrize(("chance", "stop"), [(0.49, ""), (0.5, "past-limit-likely")])
def test_the_stop_chance_is_where_a_hull_stops(chance: float, stop: str) -> None:
    assert stop_of(chance=chance) == stop


@pytest.mark.parametrize(
    ("alloy", "listed", "water", "against"),
    [
        ("magnesium", "magnesium", "salt", True),
        ("magnesium", "zinc", "brackish", True),
        ("magnesium", "magnesium", "fresh", False),
        ("zinc", "magnesium", "fresh", True),
        ("zinc", "zinc", "fresh", False),
        ("aluminium", "zinc", "salt", False),
        (None, None, "salt", False),
    ],
)
def test_which_alloy_is_against_which_water(
    alloy: str, listed: str, water: str, against: bool
) -> None:
    warned = against_water(
        pd.Series([alloy], dtype=object), pd.Series([listed], dtype=object),
        pd.Series([water], dtype=object),
    )  # fmt: skip
    assert warned.tolist() == [against]


def test_an_anode_that_probably_does_not_protect_stops_its_hull() -> None:
    assert stop_of(not_protecting=0.6) == "not-protected"
    assert stop_of(not_protecting=0.4) == ""


def hull_stop(
    changes: list[dict[str, Any]] | None = None, chance: float = 0.2, **cells: Any
) -> Any:
    table = anodes(**cells).assign(stop=cells.get("stop", "past-limit-read"))
    hulls = pd.DataFrame({"hull_id": ["H1"]})
    return stops_of_hulls(table, hulls, np.array([chance]), checked(changes)).iloc[0]


def lift(**cells: Any) -> dict[str, Any]:
    row = {
        "hull_id": "H1", "change": "lift-stop", "day": ON + pd.Timedelta(days=2),
        "reason": "seen by the owner", "decided_at": ON, "entered_at": ON, "entry_id": "a",
    }  # fmt: skip
    return row | cells


def test_a_stop_says_since_when_it_stands() -> None:
    hull = hull_stop()
    assert hull.stop == "past-limit-read"
    assert hull.stop_since == ON - pd.Timedelta(days=3)
    assert "pencil was read at or past its limit" in hull.stop_why


def test_several_anodes_that_may_be_past_stop_a_hull_though_none_alone_does() -> None:
    hull = hull_stop(chance=0.6, stop="")
    assert hull.stop == "past-limit-likely"


def test_the_owners_word_lifts_a_stop_until_its_last_day_and_is_said() -> None:
    hull = hull_stop([lift()])
    assert hull.stop == ""
    assert "seen by the owner" in hull.stop_lifted
    assert "STOP" not in " ".join(stops_in_words(hull.to_frame().T.assign(hull_id="H1")))
    assert hull_stop([lift(day=ON - pd.Timedelta(days=1))]).stop == "past-limit-read"


def test_the_owners_word_does_not_cover_a_look_taken_after_it() -> None:
    late = lift(decided_at=ON - pd.Timedelta(days=10))
    assert hull_stop([late]).stop == "past-limit-read"


def test_a_word_without_a_reason_or_a_last_day_lifts_nothing() -> None:
    assert lifted_stops(checked([lift(reason=None)])) == {}
    assert lifted_stops(checked([lift(day=pd.NaT)])) == {}


def test_a_release_takes_the_owners_word_back() -> None:
    after = lift(change="release", decided_at=ON + pd.Timedelta(hours=1), entry_id="b")
    assert lifted_stops(checked([lift(), after])) == {}


def test_what_lifts_a_stop_is_said_once_a_reason() -> None:
    assert what_lifts("past-limit-read,past-limit-likely") == "change it; measure it, or change it"


def guard(water: str = "salt", alloy: str = "zinc", **cells: Any) -> pd.Series:
    logs = checked()
    table = anodes(**{k: v for k, v in cells.items() if k not in ("bond_ohm", "potential_mv")})
    row = {"hull_id": "H1", "position": "pencil", "read_at": ON - pd.Timedelta(days=1)}
    row |= {name: cells.get(name, np.nan) for name in ("bond_ohm", "potential_mv")}
    logs.readings = pd.DataFrame([row])
    return protection_of_anodes(table, logs, pd.Series([water]), alloys(alloy)).iloc[0]


def test_each_piece_of_evidence_moves_the_chance_its_own_way() -> None:
    nothing = guard().not_protecting
    assert guard(idle_log_odds=4.0).not_protecting > 0.5
    assert guard(bond_ohm=0.05).not_protecting < nothing < guard(bond_ohm=5.0).not_protecting
    assert guard(potential_mv=-600.0).not_protecting > 0.3
    assert guard(potential_mv=-1000.0).not_protecting < nothing
    assert guard(water="fresh").not_protecting > nothing


def test_a_potential_counts_in_salt_water_alone() -> None:
    assert guard("brackish", potential_mv=-600.0).not_protecting == guard("brackish").not_protecting


def test_wear_contact_and_potential_together_leave_little_doubt() -> None:
    judged = guard(idle_log_odds=3.0, bond_ohm=20.0, potential_mv=-600.0, beside_sisters=0.1)
    assert judged.not_protecting > 0.99
    assert "0.1 times what its sisters do" in judged.protection_evidence
    assert "20 ohm" in judged.protection_evidence
    assert "-600 mV" in judged.protection_evidence


def test_a_hull_is_judged_by_its_worst_anode() -> None:
    table = pd.DataFrame(
        {"hull_id": ["H1", "H1"], "position": ["a", "b"], "not_protecting": [0.02, 0.8],
         "protection_evidence": ["", "wears 0 times what its sisters do"]}
    )  # fmt: skip
    judged = protection_of_hulls(table, pd.DataFrame({"hull_id": ["H1", "H2"]}))
    assert judged["not_protecting"].iloc[0] == 0.8
    assert "b is probably not protecting (4 in 5)" in judged["protection"].iloc[0]
    assert judged["protection"].iloc[1].startswith("not known")
