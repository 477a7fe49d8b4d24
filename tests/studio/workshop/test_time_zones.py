import zoneinfo

import pytest

from studio.workshop import time_zones


def test_a_place_is_found_under_its_part_of_the_world():
    assert ("America/Argentina/Salta", "Argentina, Salta") in dict(time_zones.choices())["America"]


def test_every_choice_is_a_zone_that_python_knows():
    names = [name for area, places in time_zones.choices()[1:] for name, _ in places]

    assert set(names) <= zoneinfo.available_timezones()


@pytest.mark.parametrize(
    ("zone", "believed"), [("Europe/Berlin", "Europe/Berlin"), ("Etc/UTC", "UTC"), ("Mars/Base", "UTC")]
)
def test_a_machine_that_names_a_place_is_believed(tmp_path, monkeypatch, zone, believed):
    (tmp_path / "localtime").symlink_to(tmp_path / "zoneinfo" / zone)
    monkeypatch.setattr(time_zones, "LOCAL_TIME", tmp_path / "localtime")

    assert time_zones.of_this_machine() == believed


def test_a_machine_that_names_no_zone_keeps_utc(tmp_path, monkeypatch):
    monkeypatch.setattr(time_zones, "LOCAL_TIME", tmp_path / "localtime")

    assert time_zones.of_this_machine() == "UTC"
