"""Facts about fleet.toml."""

import copy
from datetime import date, time
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from corrosion.common.errors import LogRefused
from corrosion.records.settings import Bay, DaysOff, Mechanic, Settings, read_settings

EVERY_KEY = """
name = "Three Moorings"
timezone = "Europe/Lisbon"
currency = "EUR"
length_unit = "in"
simulated = true
tolerated_risk = 0.05
wage_per_hour = 42
flush_minutes = 6.5

[[bays]]
mooring_id = "E"
weekdays = ["Monday", "wed", "FRI."]
hulls_per_day = 3
hours_per_day = 6.5
hours = ["08:30", "15:00"]

[[bays]]
mooring_id = 12

[stock]
"PC-9" = 14
"PP-15" = 0
"PB-4" = { E = 3, 12 = 1 }
"""


def settings_of(folder: Path, text: str) -> Settings:
    (folder / "fleet.toml").write_text(text, encoding="utf-8")
    return read_settings(folder)


def test_a_fleet_without_settings_has_the_defaults_of_the_contract(tmp_path: Path) -> None:
    settings = read_settings(tmp_path)
    assert settings == Settings()
    assert (settings.tolerated_risk, settings.length_unit) == (0.10, "mm")
    assert (settings.timezone, settings.simulated) == (ZoneInfo("UTC"), False)


def test_every_key_of_the_contract_is_read(tmp_path: Path) -> None:
    assert settings_of(tmp_path, EVERY_KEY) == Settings(
        name="Three Moorings",
        timezone=ZoneInfo("Europe/Lisbon"),
        currency="EUR",
        length_unit="in",
        simulated=True,
        tolerated_risk=0.05,
        wage_per_hour=42.0,
        flush_minutes=6.5,
        bays=(Bay("E", (0, 2, 4), 3, 6.5, (time(8, 30), time(15))), Bay("12")),
        stock={"PC-9": 14, "PP-15": 0, "PB-4": {"E": 3, "12": 1}},
    )


YARD = """
haul_hours = 0.5
unplanned_per_week = 2
late_days = 45
churn_cost = 20
lead_days = 10
service_level = 0.9
horizon_weeks = 4

[lead]
"PC-9" = 21

[[days_off]]
from = 2031-05-01
to = "2031-05-03"
reason = "holiday"

[[days_off]]
from = 2031-06-02
mooring_id = "E"

[[mechanics]]
name = "day shift"
moorings = ["E", 12]
weekdays = ["Mon", "Tue"]
hours_per_day = 6
days_off = [2031-05-06]

[[mechanics]]
name = "anybody"
"""


def test_every_key_of_the_yard_is_read(tmp_path: Path) -> None:
    assert settings_of(tmp_path, YARD) == Settings(
        haul_hours=0.5,
        unplanned_per_week=2,
        late_days=45.0,
        churn_cost=20.0,
        lead_days=10.0,
        lead={"PC-9": 21.0},
        service_level=0.9,
        horizon_weeks=4,
        days_off=(
            DaysOff(date(2031, 5, 1), date(2031, 5, 3), None, "holiday"),
            DaysOff(date(2031, 6, 2), date(2031, 6, 2), "E"),
        ),
        mechanics=(
            Mechanic("day shift", ("E", "12"), (0, 1), 6.0, (date(2031, 5, 6),)),
            Mechanic("anybody"),
        ),
    )


def test_a_yard_that_says_nothing_has_modest_defaults() -> None:
    fleet = Settings()
    assert (fleet.haul_hours, fleet.unplanned_per_week, fleet.horizon_weeks) == (0.75, 1, 6)
    assert (fleet.late_days, fleet.lead_days, fleet.service_level) == (30.0, 14.0, 0.95)


def test_a_byte_order_mark_before_the_settings_is_no_part_of_them(tmp_path: Path) -> None:
    assert settings_of(tmp_path, '\ufeffname = "Marked"').name == "Marked"


def test_unknown_keys_are_kept_also_those_of_a_bay(tmp_path: Path) -> None:
    text = 'harbour_master = "night shift"\n[[bays]]\nmooring_id = "E"\nroof = true\n'
    text += '[[mechanics]]\nname = "anybody"\nshoes = 44\n'
    extra = settings_of(tmp_path, text).extra
    assert extra == {"harbour_master": "night shift", "bays.1.roof": True, "mechanics.1.shoes": 44}


def test_settings_can_be_copied_deeply(tmp_path: Path) -> None:
    settings = settings_of(tmp_path, EVERY_KEY)
    assert copy.deepcopy(settings) == settings


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ('timezone = "Europe/Atlantis"', r"timezone = 'Europe/Atlantis' .*IANA"),
        ('timezone = "../etc"', r"timezone = '../etc' .*IANA"),
        ('timezone = "Europe"', r"timezone = 'Europe' .*IANA"),
        ("timezone = 1", r"timezone = 1 .*text in quotes"),
        ("name = 3", r"name = 3 .*text in quotes"),
        ("tolerated_risk = 0", r"tolerated_risk = 0 .*above 0 and below 1"),
        ("tolerated_risk = 1.0", r"tolerated_risk = 1\.0 .*above 0 and below 1"),
        ("tolerated_risk = nan", r"tolerated_risk = nan .*finite"),
        ('tolerated_risk = "0.1"', r"tolerated_risk = '0\.1' .*without quotes"),
        ("tolerated_risk = true", r"tolerated_risk = True .*Write a number"),
        ("wage_per_hour = -1", r"wage_per_hour = -1 .*zero or more"),
        (f"flush_minutes = 1{'0' * 400}", r"flush_minutes = 1000.* finite"),
        (f"flush_minutes = 1{'0' * 5000}", r"not valid TOML"),
        ('length_unit = "cm"', r"length_unit = 'cm' .*\"mm\" or \"in\""),
        ('simulated = "yes"', r"simulated = 'yes' .*true or false"),
        ("bays = 3", r"bays = 3 .*\[\[bays\]\]"),
        ("bays = [3]", r"bays = \[3\] .*\[\[bays\]\]"),
        ("[[bays]]\nhulls_per_day = 2", r"bays\.1 .*mooring_id"),
        ('[[bays]]\nmooring_id = ""', r"bays\.1\.mooring_id = '' .*id that the logs use"),
        ('[[bays]]\nmooring_id="E"\nweekdays=["Lundi"]', r"bays\.1\.weekdays = 'Lundi' .*Monday"),
        ('[[bays]]\nmooring_id="E"\nweekdays=["T"]', r"bays\.1\.weekdays = 'T' .*Monday"),
        ('[[bays]]\nmooring_id="E"\nweekdays=[1]', r"bays\.1\.weekdays = 1 .*text in quotes"),
        ('[[bays]]\nmooring_id="E"\nweekdays=[]', r"bays\.1\.weekdays = \[\] .*list of weekdays"),
        ('[[bays]]\nmooring_id="E"\nhulls_per_day=1.5', r"hulls_per_day = 1\.5 .*whole number"),
        ('[[bays]]\nmooring_id="E"\nhours=["08:00"]', r"hours = \['08:00'\] .*from and to"),
        ('[[bays]]\nmooring_id="E"\nhours=["8h","9h"]', r"hours = '8h' .*times of day"),
        ('[[bays]]\nmooring_id="E"\nhours=["15:00","08:00"]', r"earlier time first"),
        ("[stock]\nA = { E = -1 }", r"stock\.A\.E = -1 .*zero or more"),
        ("late_days = 0", r"late_days = 0 .*more than zero"),
        ("horizon_weeks = 0", r"horizon_weeks = 0 .*1 or more"),
        ("service_level = 1", r"service_level = 1 .*below 1"),
        ("unplanned_per_week = 0.5", r"whole number"),
        ("lead = 3", r"lead = 3 .*\[lead\]"),
        ('[lead]\nA = "soon"', r"lead\.A = 'soon' .*Write a number"),
        ("[[days_off]]\nreason = 'x'", r"days_off\.1 .*from which day"),
        ("[[days_off]]\nfrom = 'May'", r"days_off\.1\.from = 'May' .*2031-05-02"),
        ("[[days_off]]\nfrom = 2031-05-02\nto = 2031-05-01", r"days_off\.1\.to .*earlier day"),
        ("[[mechanics]]\nweekdays = ['Mon']", r"mechanics\.1 .*which role"),
        ("[[mechanics]]\nname = 'x'\nmoorings = []", r"mechanics\.1\.moorings .*list of the ids"),
        ("[[mechanics]]\nname = 'x'\ndays_off = 3", r"mechanics\.1\.days_off = 3 .*list of dates"),
        ("mechanics = 3", r"mechanics = 3 .*\[\[mechanics\]\]"),
        ("stock = 4", r"stock = 4 .*\[stock\]"),
        ("[stock]\nA = -1", r"stock\.A = -1 .*zero or more"),
        ("[stock]\nA = 1.5", r"stock\.A = 1\.5 .*whole number"),
        ('name = "open\n', r"fleet\.toml: is not valid TOML: .*line 1.*Correct that line"),
        ("day = 2031-13-45\n", r"not valid TOML"),
    ],
)
def test_a_wrong_setting_is_refused_with_key_value_and_what_to_do(
    tmp_path: Path, text: str, why: str
) -> None:
    with pytest.raises(LogRefused, match=why) as refusal:
        settings_of(tmp_path, text)
    assert str(refusal.value).startswith("fleet.toml: ")


def test_settings_that_are_no_text_are_refused(tmp_path: Path) -> None:
    (tmp_path / "fleet.toml").write_bytes(b'name = "\xff"')
    with pytest.raises(LogRefused, match="is not UTF-8 text"):
        read_settings(tmp_path)


def test_a_folder_named_as_the_settings_is_refused(tmp_path: Path) -> None:
    (tmp_path / "fleet.toml").mkdir()
    with pytest.raises(LogRefused, match=r"cannot be opened \(Is a directory\)"):
        read_settings(tmp_path)


@pytest.mark.parametrize(
    ("word", "day"),
    [("Mon", 0), ("tue", 1), ("tues", 1), ("We", 2), ("THURSDAY", 3), ("fri", 4), ("Sa", 5)],
)
def test_weekdays_are_read_by_name_or_abbreviation(tmp_path: Path, word: str, day: int) -> None:
    text = f'[[bays]]\nmooring_id = "E"\nweekdays = "{word}"\n'
    assert settings_of(tmp_path, text).bays[0].weekdays == (day,)


@given(st.binary(max_size=200) | st.text(max_size=200).map(str.encode))
def test_no_bytes_are_anything_but_settings_or_a_refusal(
    tmp_path_factory: pytest.TempPathFactory, content: bytes
) -> None:
    folder = tmp_path_factory.mktemp("fleet")
    (folder / "fleet.toml").write_bytes(content)
    try:
        outcome = repr(read_settings(folder))
    except LogRefused as refusal:
        outcome = str(refusal)
    assert outcome.startswith(("Settings(", "fleet.toml: "))
