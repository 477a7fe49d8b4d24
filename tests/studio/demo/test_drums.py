"""What a visitor of the demo finds in the waste corner."""

import pytest

from studio.waste import content, record
from studio.waste.models import Deposit, Disposal, Drum, Incident

pytestmark = pytest.mark.django_db


def drum_now(name):
    return content.content_of_drum(Drum.objects.get(name=name))


def test_rinse_and_cleaner_are_kept_apart(tallow_street):
    for each in content.contents_of_drums(Drum.objects.standing()).values():
        assert each.kinds == [each.drum.kind]


def test_the_first_rinse_drum_holds_what_its_trays_brought(tallow_street):
    rinse = drum_now("W1")

    assert rinse.volume.value == pytest.approx(15.9)
    assert 500 < rinse.copper_per_l.value < 5000  # what a first rinse holds: chemistry's streams


def test_the_used_cleaner_holds_a_gram_or_so_in_a_litre(tallow_street):
    cleaner = drum_now("W4")

    assert 100 < cleaner.copper_per_l.value < 5000
    assert cleaner.copper_per_l.half_width > 0.5 * cleaner.copper_per_l.value


def test_all_metal_of_the_year_is_in_the_tin(tallow_street):
    tin = drum_now("Copper tin")

    assert tin.copper.value == pytest.approx(69.1)
    assert {deposit.source for deposit in tin.deposits} == {Deposit.Source.STRIP}


def test_the_spill_is_in_one_line_with_its_granules_and_its_drum(tallow_street):
    report = Incident.objects.standing().get(kind=Incident.Kind.SPILL)

    assert report.entry.bath_events.count() == 1
    assert [movement.container.material.name for movement in report.entry.movements.all()] == ["Absorbent granules"]
    assert report.entry.deposits.get().drum.name == "W3"


def test_two_disposal_days_and_one_receipt_that_is_awaited(tallow_street):
    first, second = record.records_of(Disposal.objects.order_by("handed_over_at"))

    assert (first.drums, second.drums) == ("W1, W2, W4", "W1/2, W2/2, W3, W4/2")
    assert (first.status.word, second.status.word) == ("gone", "receipt awaited")
    assert [weights.status.word for weights in first.weights] == ["within the scales"]
    assert first.differences == second.differences == []


def test_every_incident_of_the_year_was_seen_to(tallow_street):
    assert Incident.objects.count() == 3
    assert not Incident.objects.still_open().exists()
