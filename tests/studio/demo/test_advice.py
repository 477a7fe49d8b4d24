"""Whom the demo's studio asked, and what came of it."""

import pytest
from django.utils import timezone

from studio.demo import load
from studio.waste import advice, content, threshold_warnings, treatments
from studio.waste.content import contents_here
from studio.waste.flags import flags_of_drum
from studio.waste.models import Drum, LocalAdvice
from studio.workshop.models import Workshop

pytestmark = pytest.mark.django_db


def test_the_sewer_takes_what_the_water_company_wrote_until_its_letter_runs_out(tallow_street):
    told = advice.told()

    assert told.sewer_limit.cu_mg_per_l == 1
    assert [
        ask.word for ask in threshold_warnings.action_items(contents_here(), Workshop.objects.get(), timezone.now())
    ] == ["advice ends"]


def test_the_rinse_of_the_demo_is_far_above_that_limit(tallow_street):
    rinse = Drum.objects.filter(kind="rinse").latest("pk")

    flags = flags_of_drum(content.content_of_drum(rinse), Workshop.objects.get())

    assert next(flag.state for flag in flags.flags if flag.rule_id == "local.sewer_copper") == "applies"


def test_spirits_count_as_hazardous_and_nobody_has_decided_about_rinse(tallow_street):
    told = advice.told()

    assert told.counts_as_hazardous("solvent_spent") is True
    assert told.counts_as_hazardous("rinse") is None


def test_nobody_allowed_a_treatment(tallow_street):
    told = advice.told()

    assert not any(
        treatments.permitted(each, told) for each in content.contents_of_drums(Drum.objects.standing()).values()
    )


def test_the_next_collection_of_the_demo_is_still_to_come(tallow_street):
    collection = LocalAdvice.objects.get(kind=LocalAdvice.Kind.COLLECTION)

    assert collection.next_on - timezone.localdate() == load.date(2025, 9, 11) - load.LAST_DAY
