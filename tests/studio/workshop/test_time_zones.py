import zoneinfo

import pytest

from studio.workshop import regions


def test_a_place_is_found_under_its_part_of_the_world():
    assert ("America/Argentina/Salta", "Argentina, Salta") in dict(regions.time_zones())["America"]


def test_every_choice_is_a_zone_that_python_knows():
    names = [name for area, places in regions.time_zones()[1:] for name, _ in places]

    assert set(names) <= zoneinfo.available_timezones()


def test_the_likely_zones_of_a_region_stand_before_all_others():
    _, likely, *others = regions.time_zones("us")

    assert likely == (
        "United States",
        [
            ("America/Anchorage", "Anchorage"),
            ("America/Chicago", "Chicago"),
            ("America/Denver", "Denver"),
            ("Pacific/Honolulu", "Honolulu"),
            ("America/Los_Angeles", "Los Angeles"),
            ("America/New_York", "New York"),
            ("America/Phoenix", "Phoenix"),
        ],
    )
    assert ("America/New_York", "New York") in dict(others)["America"]


@pytest.mark.parametrize(
    ("zone", "believed"), [("Europe/Berlin", "Europe/Berlin"), ("Etc/UTC", "UTC"), ("Mars/Base", "UTC")]
)
def test_a_machine_that_names_a_place_is_believed(tmp_path, monkeypatch, zone, believed):
    (tmp_path / "localtime").symlink_to(tmp_path / "zoneinfo" / zone)
    monkeypatch.setattr(regions, "LOCAL_TIME", tmp_path / "localtime")

    assert regions.time_zone_of_this_machine() == believed


def test_a_machine_that_names_no_zone_keeps_utc(tmp_path, monkeypatch):
    monkeypatch.setattr(regions, "LOCAL_TIME", tmp_path / "localtime")

    assert regions.time_zone_of_this_machine() == "UTC"
