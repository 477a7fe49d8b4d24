import zoneinfo
from datetime import UTC, datetime

import pytest
from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from studio.baths.fields import MassField
from studio.pages.fields import AmountField, MomentField, NumberField, ask_for_what_is_needed

litres = NumberField(low=0.1, high=500, unit="L")
degrees = NumberField(low=-20, high=60, unit="°C", required=False)


@pytest.mark.parametrize(("typed", "number"), [("1,5", 1.5), ("1.5", 1.5), ("1 1/2", 1.5), (" 12 ", 12), ("½", 0.5)])
def test_a_number_is_read_as_people_type_it(typed, number):
    assert litres.clean(typed) == number


@pytest.mark.parametrize("typed", ["1,000", "1.000,5", "1e5", "NaN", "-3", "twelve", "１２"])
def test_a_number_that_could_mean_two_things_is_refused(typed):
    with pytest.raises(ValidationError):
        litres.clean(typed)


def test_a_number_out_of_range_is_told_the_range():
    with pytest.raises(ValidationError, match=r"5000 is outside 0\.1 to 500 L"):
        litres.clean("5000")


@pytest.mark.parametrize(("typed", "number"), [("-5", -5), ("−5", -5), ("", None)])
def test_only_a_field_that_reaches_below_nought_takes_a_minus(typed, number):
    assert degrees.clean(typed) == number


def test_an_amount_comes_in_base_units():
    assert AmountField(dimension="mass").clean("2.5 kg") == 2_500_000


def test_a_number_alone_is_asked_for_the_unit_that_is_shown():
    with pytest.raises(ValidationError, match=r"The unit is missing; write 2\.5 kg or 2\.5 g\."):
        AmountField(dimension="mass", unit="kg").clean("2.5")


def test_cups_follow_the_studio():
    assert AmountField(dimension="volume", cups="us").clean("1 cup") == 236_588
    assert AmountField(dimension="volume", cups="metric").clean("1 cup") == 250_000


def test_a_unit_of_another_dimension_is_refused_with_what_would_be_understood():
    with pytest.raises(ValidationError, match="measures volume, and mass is asked for"):
        AmountField(dimension="mass").clean("3 L")


def test_a_field_left_empty_asks_in_its_own_way_and_one_with_its_own_sentence_keeps_it():
    name, place, bath = forms.CharField(), forms.ChoiceField(), forms.CharField(error_messages={"required": "Which?"})

    ask_for_what_is_needed([name, place, bath])

    said = [field.error_messages["required"] for field in (name, place, bath)]
    assert said == ["Needed: fill this in.", "Needed: choose one.", "Which?"]


def in_berlin(typed, now, monkeypatch):
    berlin = zoneinfo.ZoneInfo("Europe/Berlin")
    monkeypatch.setattr(timezone, "now", lambda: datetime.fromisoformat(now))
    with timezone.override(berlin):
        return MomentField().clean(typed).astimezone(UTC).isoformat()


def test_a_time_in_the_hour_that_the_clocks_repeat_is_the_later_one_that_has_come(monkeypatch):
    # Europe/Berlin went from 3:00 back to 2:00 on 26 October 2025 (tz database)
    repeated = "2025-10-26T02:30"

    assert in_berlin(repeated, "2025-10-26T00:40+00:00", monkeypatch) == "2025-10-26T00:30:00+00:00"
    assert in_berlin(repeated, "2025-10-26T01:40+00:00", monkeypatch) == "2025-10-26T01:30:00+00:00"
    assert in_berlin("2025-10-26T03:30", "2025-10-27T00:00+00:00", monkeypatch) == "2025-10-26T02:30:00+00:00"


def test_a_time_that_the_clocks_left_out_is_refused_in_words(monkeypatch):
    # and from 2:00 on to 3:00 on 30 March 2025
    with pytest.raises(ValidationError, match="there was no such time"):
        in_berlin("2025-03-30T02:30", "2025-04-01T00:00+00:00", monkeypatch)


@pytest.mark.parametrize("typed", ["5 lb bag", ["5 lb bag", "kg"], ["sac de 2,27 kg", "g"]])
def test_every_field_for_an_amount_reads_it_with_its_vessel(typed):
    kept = AmountField(dimension="mass")
    kept.ask_for("mass", "g", "metric")
    read = [kept.clean(typed), *([MassField().clean(typed) * 1000] if isinstance(typed, list) else [])]

    assert read == [pytest.approx(2_267_962, rel=2e-3)] * len(read)
