import pytest

from chemistry.bath import DensityRead, LevelRead, Titrated
from chemistry.solution import sulfate
from inventory.refusals import Refused
from studio.baths import operations, readings
from studio.baths.models import BathEvent
from studio.pages.quantities import Units
from tests.factories import adopted, signed

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

    assert said == "reads 307 ± 5 g/L, the book says 240 ± 10 g/L"


def test_a_level_held_out_is_compared_in_litres():
    bath = adopted()
    event = operations.read(bath, LevelRead(day=0, volume_l=10, sd_l=0.04), words="", by=signed(1)).bath_events.get()

    assert str(readings.held_out(event, Units())) == "reads 10.00 ± 0.08 L, the book says 12.0 ± 0.2 L"


def test_a_titration_held_out_is_compared_as_strength():
    bath = adopted()
    event = operations.read(bath, Titrated(day=0, mol_per_l=1.2, sd=0.01), words="", by=signed(1)).bath_events.get()

    assert readings.held_out(event, Units()).reading.value == "300"


def test_a_hydrometer_in_plain_water_reads_no_strength():
    assert str(readings.held_out(far_off(adopted(), sg=0.998), Units()).reading) == "0 ± 5 g/L"


def test_a_reading_the_book_believes_has_nothing_to_compare():
    event = far_off(adopted(), sg=1.151)

    assert readings.held_out(event, Units()) is None


def test_a_reading_is_found_again_when_its_estimates_are_of_an_older_model():
    event = far_off(adopted())
    type(event.bath).objects.update(estimated_model=-1)

    assert readings.held_out(BathEvent.objects.get(pk=event.pk), Units()) is not None
