from functools import partial
from html import unescape
from uuid import uuid4

import pytest
from django.http import QueryDict
from django.urls import reverse

from chemistry.bath import DensityRead, LevelRead, Titrated
from chemistry.solution import sulfate
from inventory.refusals import Refused
from studio.baths import logbook, operations, readings
from studio.baths.models import Bath, BathEvent
from studio.pages.quantities import NO_BREAK, Units
from tests.factories import adopted, bitten, jug, signed

pytestmark = pytest.mark.django_db


def far_off(bath, **reading):
    words = "SG 1.190 at 20 °C"
    read = DensityRead(day=0, **{"sg": 1.19} | reading)
    return operations.read(bath, read, words=words, by=signed(1)).bath_events.get()


def test_a_hydrometer_tells_the_strength_it_stands_in():
    sg = sulfate.sg(sulfate.mass_fraction_from_strength(240, 20), 12, 15.56)

    strength, sd = readings.strength_from_hydrometer(sg=sg, temperature_c=12, reference_c=15.56)

    assert strength == pytest.approx(240, abs=0.01)
    assert 2 < sd < 8  # ±0.002 to 0.005 SG is ±3 to 8 g/L; common practice, no source


def test_a_hydrometer_that_shows_water_is_refused_beside_its_field():
    with pytest.raises(Refused, match="no copper sulfate bath") as refused:
        readings.strength_from_hydrometer(sg=0.99, temperature_c=20, reference_c=20)

    assert refused.value.field == "hydrometer"


def test_a_reading_held_out_stands_beside_the_book():
    event = far_off(adopted())

    said = str(readings.held_out(event, Units()))

    assert said == "reads 307 ± 8 g/L, the book says 240 ± 10 g/L"


def test_a_level_held_out_is_compared_in_litres():
    bath = adopted()
    event = operations.read(bath, LevelRead(day=0, volume_l=10, sd_l=0.04), words="", by=signed(1)).bath_events.get()

    assert str(readings.held_out(event, Units())) == "reads 10.00 ± 0.08 L, the book says 12.0 ± 0.2 L"


def test_a_titration_held_out_is_compared_as_strength():
    bath = adopted()
    event = operations.read(bath, Titrated(day=0, mol_per_l=1.2, sd=0.01), words="", by=signed(1)).bath_events.get()

    assert readings.held_out(event, Units()).reading.value == "300"


def test_a_hydrometer_in_plain_water_reads_no_strength():
    assert str(readings.held_out(far_off(adopted(), sg=0.998), Units()).reading) == "0 ± 8 g/L"


def test_a_reading_the_book_believes_has_nothing_to_compare():
    event = far_off(adopted(), sg=1.151)

    assert readings.held_out(event, Units()) is None


def test_a_reading_is_found_again_when_its_estimates_are_of_an_older_model():
    event = far_off(adopted())
    type(event.bath).objects.update(estimated_model=-1)

    assert readings.held_out(BathEvent.objects.get(pk=event.pk), Units()) is not None


def test_a_reading_that_the_book_believes_says_what_it_says_alone(member, today):
    bath = adopted()
    today(1)
    typed = {"key": uuid4(), "hydrometer_0": "1.155", "hydrometer_1": "SG", "temperature_c": "20", "reference_c": "20"}

    shown = member.post(reverse("baths:read_hydrometer", args=[bath.pk]), typed, follow=True).content.decode()

    said = "Alone it says 248 ± 8 g/L; the book said 240 ± 10 g/L; together 245 ± 6 g/L."
    # after writing, and again in the log
    assert unescape(shown).replace(NO_BREAK, " ").count(said) == 2
    assert "Last reading alone: 248" in shown


def test_each_reading_of_the_log_is_held_against_the_bath_before_it():
    bath = adopted()
    for at, litres in ((1, 11.9), (2, 12.0)):
        operations.read(bath, LevelRead(day=0, volume_l=litres, sd_l=0.04), words="", by=signed(at))

    lines = logbook.page(Bath.objects.get(), Units(), QueryDict()).rows

    assert [str(line.said).replace(NO_BREAK, " ") for line in lines if line.said] == [
        "Alone it says 12.00 ± 0.08 L; the book said 11.91 ± 0.07 L; together 11.95 ± 0.05 L.",
        "Alone it says 11.90 ± 0.08 L; the book said 12.0 ± 0.2 L; together 11.91 ± 0.07 L.",
    ]


FRESH = {
    "never read": ([], 3, False),
    "adopted today": ([], 0.5, True),
    "read today": (["level"], 1.5, True),
    "read yesterday": (["level"], 2.5, False),
    "a hydrometer since": (["level", "hydrometer"], 1.5, True),
    "only a hydrometer": (["hydrometer"], 2.5, False),
    "a lid since": (["level", "lid"], 1.5, True),
    "a top-up since": (["level", "water"], 1.5, False),
    "a bite since": (["level", "bite"], 1.5, False),
    "drips since": (["level", "drips"], 1.5, False),
    "taken out since": (["level", "out"], 1.5, False),
    "topped up, then read": (["water", "level"], 1.5, True),
    "held out": (["far"], 1.5, False),
}


@pytest.mark.parametrize(("acts", "now", "is_fresh"), FRESH.values(), ids=FRESH)
def test_the_level_is_asked_for_only_where_it_is_old_or_something_happened(member, today, acts, now, is_fresh):
    bath = adopted()
    level = partial(operations.read, bath, words="")
    by_name = {
        "level": partial(level, LevelRead(day=0, volume_l=12, sd_l=0.04)),
        "far": partial(level, LevelRead(day=0, volume_l=7, sd_l=0.04)),
        "hydrometer": partial(level, DensityRead(day=0, sg=1.152)),
        "lid": partial(operations.cover, bath, lid_on=False),
        "water": partial(operations.top_up, bath, water_l=0.1),
        "bite": lambda by: bitten(bath, at=1.2),
        "drips": partial(operations.drips, bath, plates=1),
        "out": partial(operations.take_out, bath, jug(0.5), where_to="a jar"),
    }
    for number, act in enumerate(acts):
        by_name[act](by=signed(1 + number / 10))
    today(now)

    shown = member.get(reverse("baths:top_up", args=[bath.pk])).content.decode()

    assert ("Read the level first" not in shown) == is_fresh
