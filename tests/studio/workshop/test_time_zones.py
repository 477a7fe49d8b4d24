import zoneinfo

from studio.workshop import time_zones


def test_a_place_is_found_under_its_part_of_the_world():
    assert ("America/Argentina/Salta", "Argentina, Salta") in dict(time_zones.choices())["America"]


def test_every_choice_is_a_zone_that_python_knows():
    names = [name for area, places in time_zones.choices()[1:] for name, _ in places]

    assert set(names) <= zoneinfo.available_timezones()


def test_a_machine_that_names_its_zone_is_believed(tmp_path, monkeypatch):
    zone = tmp_path / "zoneinfo" / "Europe" / "Berlin"
    zone.parent.mkdir(parents=True)
    zone.touch()
    (tmp_path / "localtime").symlink_to(zone)
    monkeypatch.setattr(time_zones, "LOCAL_TIME", tmp_path / "localtime")

    assert time_zones.of_this_machine() == "Europe/Berlin"


def test_a_machine_that_names_no_zone_keeps_utc(tmp_path, monkeypatch):
    monkeypatch.setattr(time_zones, "LOCAL_TIME", tmp_path / "localtime")

    assert time_zones.of_this_machine() == "UTC"
