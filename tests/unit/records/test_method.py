"""Every print says which fleet, which moment and which method."""

from corrosion.records import method
from corrosion.records.logbook import read_fleet
from tests.fleets import usual_fleet


def test_the_stamp_says_fleet_local_moment_and_method(tmp_path):
    fleet = usual_fleet().setting(name="Harbour fleet", timezone="Europe/Lisbon")
    stamp = method.stamp(read_fleet(fleet.write(tmp_path), on="2031-06-14T06:30:00Z"))
    expected = "Harbour fleet · as of Sat 14 Jun 2031, 07:30 (Europe/Lisbon)"
    assert stamp == f"{expected} · method {method.VERSION}"


def test_a_simulated_fleet_is_called_so_and_one_without_a_name_goes_by_its_folder(tmp_path):
    folder = usual_fleet().setting(simulated=True).write(tmp_path / "harbour")
    stamp = method.stamp(read_fleet(folder, on="2031-06-14"))
    assert stamp.startswith("harbour · as of ")
    assert stamp.endswith(f"method {method.VERSION} · Simulated")
