"""What is asked with its unit, and what a page says once something is written."""

import re
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Container
from studio.baths.models import Bath
from studio.waste.models import Drum
from tests.factories import BathFactory, PlaceFactory, adopted, stocked
from tests.studio.baths.test_writing_pages import ASKED, TANK
from tests.studio.waste.shop import drum


def thinner():
    return stocked("1 L", name="Thinner", dimension="volume", shown_unit="mL")


def sent(client, page, *args, **typed) -> str:
    response = client.post(reverse(page, args=args), {"key": uuid4(), **typed}, follow=True)
    return " ".join(response.content.decode().split())


@pytest.mark.parametrize(
    ("typed", "left_ul"),
    [
        ({"amount_0": "50", "amount_1": "mL"}, 950_000),
        ({"amount_0": "50", "amount_1": ""}, 950_000),
        ({"amount_0": "0,05", "amount_1": "L"}, 950_000),
        ({"amount_0": "2", "amount_1": "fl oz"}, 1_000_000 - 59_147),
        ({"amount_0": "50 mL", "amount_1": "L"}, 950_000),
        ({"amount": "50"}, 950_000),
        ({"amount": "0.05 L"}, 950_000),
    ],
)
def test_a_number_counts_in_the_unit_beside_it_and_a_written_unit_goes_before(member, typed, left_ul):
    jar = thinner()

    sent(member, "shelf:use", jar.code, **typed)

    assert Container.objects.get().on_hand == left_ul


def test_the_unit_of_the_jar_is_chosen_before_anything_is_typed(member):
    shown = member.get(reverse("shelf:use", args=[thinner().code])).content.decode()

    first = shown[shown.index("<select") :].partition("</option>")[0]
    assert 'inputmode="decimal"' in shown and 'value="mL"' in first


def test_what_was_refused_stays_as_it_was_typed(member):
    jar = thinner()

    shown = sent(member, "shelf:use", jar.code, amount_0="3", amount_1="L")

    assert "Only 1000 mL in" in shown
    assert 'name="amount_0" value="3"' in shown and '<option value="L" selected>' in shown
    assert (
        reverse("shelf:receive", args=[jar.material_id]) in shown and reverse("shelf:count", args=[jar.code]) in shown
    )


def test_what_was_written_has_the_focus_and_leads_to_its_line(member):
    jar = thinner()

    shown = sent(member, "shelf:use", jar.code, amount="50 mL")

    told = shown[shown.index("data-focus") :].partition("</div>")[0]
    assert "Written: Used 50 mL" in told
    assert jar.movements.latest("pk").entry.get_absolute_url() in told


def test_what_usually_comes_next_is_a_button(member, keyholder):
    jar, bath = thinner(), adopted()

    received = sent(member, "shelf:receive", jar.material_id, amount="1 L", place=jar.place_id)
    topped_up = sent(member, "baths:top_up", bath.pk, water_l_0="0.5", water_l_1="L", temperature_c="20")
    mud = {"kind": "rinse", "name": "W9", "capacity_l_0": "10", "capacity_l_1": "L", "place": PlaceFactory().pk}
    begun = sent(keyholder, "waste:start_drum", **mud | {"vessel": "hdpe", "is_vented": "closed"})

    new = Container.objects.latest("pk")
    assert f'href="{reverse("shelf:sticker", args=[new.code])}">Print its sticker' in received
    assert f'href="{reverse("baths:card", args=[bath.pk])}">Print its card' in topped_up
    assert f'href="{reverse("waste:label", args=[Drum.objects.get().pk])}">Print its label' in begun


@pytest.mark.parametrize("tank", ["in the book", "new"])
def test_a_bath_that_was_taken_over_leads_to_its_card(keyholder, tank):
    told = ASKED["adopt"] | {"reference_c": "20"}
    args = [BathFactory().pk] if tank == "in the book" else []

    shown = sent(keyholder, "baths:adopt", *args, **told | ({} if args else TANK))

    assert f'href="{reverse("baths:card", args=[Bath.objects.get().pk])}">Print its card' in shown


@pytest.mark.parametrize("fitting", [1, 2])
def test_a_drum_is_chosen_beforehand_where_one_alone_fits_and_never_by_the_alphabet(member, fitting):
    drum("bath_mud", name="A1")
    poured = drum("rinse", name="B1")
    fits = [drum("rinse", name=f"C{number}") for number in range(fitting)]

    shown = member.get(reverse("waste:pour_over", args=[poured.pk])).content.decode()

    into = shown[shown.index('name="into"') :].partition("</select>")[0]
    chosen = re.findall(r'value="(\d*)" selected', into)
    assert chosen == ([str(fits[0].pk)] if fitting == 1 else [""])


def test_a_bath_is_chosen_beforehand_only_where_there_is_one(member):
    adopted(name="Upright tank")
    one = member.get(reverse("bites:start")).content.decode()
    BathFactory(name="Another tank")

    two = member.get(reverse("bites:start")).content.decode()

    assert one.count("checked") - two.count("checked") == 1


def test_no_place_is_chosen_for_a_new_drum_by_the_alphabet(keyholder):
    PlaceFactory(name="Aaa shelf")

    shown = keyholder.get(reverse("waste:start_drum")).content.decode()

    assert "choose a place" in shown
