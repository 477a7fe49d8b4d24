import re

import pytest
from django.urls import reverse

from inventory.models import Container, Material, Person
from studio.baths.models import Bath
from studio.safety import summaries
from studio.safety.summaries import summary_of
from studio.workshop.models import Workshop
from tests.factories import BathFactory, MaterialFactory, WorkshopFactory, adopted, stocked
from tests.studio.safety.shop import copied, made_of
from tests.studio.waste.test_lasting import begun, from_a_jar

pytestmark = pytest.mark.django_db

PROMISE = re.compile(r"\b(safe|legal|non-?toxic|harmless)\b", re.IGNORECASE)


@pytest.fixture
def here(today):
    today(1)
    return WorkshopFactory(region="eu")


def lines(summary, title):
    return [said.text for section in summary.sections if section.title == title for said in section.lines]


def every_word(summary):
    told = [said.text for section in (summary.first, *summary.sections) for said in section.lines]
    told += [value for _, value in summary.facts if value]
    return " ".join([summary.kicker, summary.lead, summary.stands, summary.dried, summary.legend, *told])


def test_the_summary_of_a_bath_says_how_strong_it_is_today(here):
    summary = summary_of(adopted(strength_g_per_l=240), here)

    assert summary.lead == "Copper sulfate in water, in range: 240 ± 10 g/L of blue crystals, 12.0 ± 0.2 L."
    assert "at least 15 minutes" in summary.first.lines[0].text
    assert "Harmful if swallowed. (H302)" in summary.dried
    assert "Current off and leads out before hands go in." in lines(summary, "At this bench")


def test_the_summary_of_an_unread_bath_takes_nothing_for_granted(here):
    summary = summary_of(BathFactory(), here)

    assert summary.hazards.word == "needs info"
    assert "at least 15 minutes" in summary.first.lines[0].text


def test_a_flammable_material_is_kept_from_flames_and_drains(here):
    summary = summary_of(made_of(("acetone", 100, 100), storage_group="flammable"), here)

    assert any("no flame" in text for text in lines(summary, "At this bench"))
    assert any("no jet of water" in text for text in lines(summary, "Fire"))
    assert lines(summary, "No longer wanted")[-1].startswith("According to local rules")


def test_what_may_reach_the_lungs_is_never_vomited(here):
    summary = summary_of(made_of(("white_spirit", 100, 100)), here)

    assert "it may reach the lungs" in lines(summary, "Swallowed")[0]


def test_an_unknown_material_gets_the_most_careful_advice(here):
    summary = summary_of(MaterialFactory(), here)

    assert "at least 15 minutes" in summary.first.lines[0].text
    assert ("Supplier’s sheet", "not on file") in summary.facts
    assert ("Classes", None) in summary.facts


def test_what_rests_on_memory_is_marked(here):
    summary = summary_of(MaterialFactory(crystals=True), here)

    assert [said.mark for said in summary.first.lines] == ["", "", "‡", ""]
    assert {
        said.mark for section in summary.sections if section.title == "Keep away from" for said in section.lines
    } == {"†"}
    assert "† from memory" in summary.legend
    assert "copper(II) sulfate pentahydrate" in dict(summary.facts)["From memory"]


def test_a_summary_by_the_suppliers_sheet_says_when_it_was_copied(here):
    polish = MaterialFactory()
    copied(polish, ("H319", "Causes serious eye irritation."), signal_word="Warning")

    facts = dict(summary_of(polish, here).facts)

    assert facts["Classes"] == "the supplier’s sheet of 3 March 2025"
    assert facts["Copied on"] == "3 March 2026"


def test_a_container_tells_what_is_left_in_it_and_a_material_does_not(here):
    jar = stocked("500 g", crystals=True)

    assert "500 g left" in summary_of(jar, here).stands
    assert "500" not in every_word(summary_of(jar.material, here))


def test_a_summary_names_nobody(here):
    summary = summary_of(adopted(), here)

    assert not [person.name for person in Person.objects.all() if person.name in every_word(summary)]


def test_many_summaries_take_three_queries(here, django_assert_num_queries):
    materials = [stocked("5 g").material for _ in range(6)]

    with django_assert_num_queries(3):
        summaries.summaries_of_materials(materials, here)


@pytest.mark.parametrize("region", ["eu", "gb", "us", "elsewhere"])
def test_no_summary_promises_anything(here, region):
    here.region = region
    stocked("1 kg", crystals=True)
    made_of(("water", 100, 100))
    made_of(("hydrogen_peroxide_3pct", 100, 100))
    adopted()

    things = [*Container.objects.all(), *Material.objects.all(), *Bath.objects.all()]

    assert not [thing for thing in things if PROMISE.search(every_word(summary_of(thing, here)))]


@pytest.mark.parametrize(("region", "said"), [("us", "OSHA"), ("eu", "EU"), ("gb", "Great Britain")])
def test_limits_in_the_air_are_those_of_the_region(here, region, said):
    here.region = region
    told = lines(summary_of(made_of(("acetone", 100, 100)), here), "Limits in the air, over 8 hours")

    assert told[0].startswith(said)
    assert not [text for text in told if not text.startswith((said, "NIOSH" if region == "us" else said))]


def test_what_is_on_record_for_a_substance_alone_reaches_its_summary(here):
    ground = summary_of(made_of(("beeswax", 50, 60), ("rosin", 40, 50)), here)

    told = lines(ground, "Of this in particular")
    assert "Beeswax: Never water on burning wax: heat off, lid on." in told
    assert "Rosin (colophony): Heated fume can cause asthma: draw it off where it rises." in told
    assert "Never water on burning wax" in " ".join(lines(ground, "Fire"))


def test_a_drum_tells_air_mask_shield_and_limits_by_what_is_in_it():
    limits, air, wear = "Limits in the air, over 8 hours", "Air and mask", "Wear"
    wanted = [
        # kind, what a jar brought, region, then what is said where
        ("bath_spent", None, "US", limits, "OSHA"),
        ("bath_spent", None, "EU", limits, "EU"),
        ("cathode_powder", None, "US", limits, "opper"),
        ("sludge", None, "US", limits, "Needs info"),
        ("solvent_spent", None, "US", limits, "Needs info"),
        ("solvent_spent", None, "US", wear, "face shield"),
        ("solvent_spent", "turpentine", "US", limits, "OSHA, NIOSH: 100 ppm"),
        ("solvent_spent", "turpentine", "GB", limits, "Great Britain"),
        ("solvent_spent", "turpentine", "US", air, "Where exhaust is not enough"),
    ]
    for kind, jar, region, section, words in wanted:
        vessel = begun(kind)
        if jar:
            from_a_jar(kind, (jar, 100, 100))(vessel)
        assert words in " ".join(lines(summary_of(vessel, Workshop(region=region)), section)), (kind, jar, region)


def test_limits_in_the_air_are_folded_on_a_page(stranger):
    vessel = begun("bath_spent")

    shown = stranger.get(reverse("safety:open_drum", args=[vessel.pk])).content.decode()

    assert "Limits in the air, over 8 hours (" in shown
    assert "<h2>Limits in the air" not in shown
