"""What is done with containers: opened, used together, finished, split, sent away and confirmed."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory import integrity
from inventory.models import Container, Entry, Place
from studio.shelf import operations
from tests.factories import PlaceFactory, day, signed, stocked

SEVERAL = reverse("shelf:use_several")


def url(name, jar):
    return reverse(f"shelf:{name}", args=[jar.code])


def posted(client, address, **typed):
    return client.post(address, {"key": uuid4(), **typed})


def page(client, jar):
    return client.get(jar.get_absolute_url()).content.decode()


def refused(response):
    assert response.status_code == 200
    return {name: " ".join(errors) for name, errors in response.context["form"].errors.items()}


@pytest.fixture
def partner(db):
    return PlaceFactory(name="Wrenfield", kind=Place.Kind.AWAY)


# open, finish, split


def test_a_container_is_opened_and_its_use_by_follows(member):
    jar = stocked("500 g", opened_months=12)

    posted(member, url("open", jar), happened_at="2026-03-05T10:00")

    jar.refresh_from_db()
    assert (str(jar.opened_on), str(jar.use_by_on)) == ("2026-03-05", "2027-03-05")


def test_a_container_that_is_open_says_since_when(member):
    jar = stocked("500 g")
    operations.open_it(jar, by=signed(1))

    response = posted(member, url("open", jar))

    assert "open since 3 March 2026" in refused(response)["__all__"]


def test_what_is_left_is_written_off_with_its_reason(member):
    jar = stocked("500 g", name="Stop-out")

    posted(member, url("finish", jar), reason="spoilt or dried up")

    jar.refresh_from_db()
    assert jar.on_hand == 0
    assert str(Entry.objects.latest("pk")) == f"Finished {jar}: spoilt or dried up"


def test_nothing_is_finished_twice(member):
    jar = stocked("500 g")
    operations.finish(jar, reason="used up", by=signed(1))

    response = posted(member, url("finish", jar), reason="used up")

    assert "finished already" in refused(response)["__all__"]


def test_finishing_asks_for_a_reason(member):
    jar = stocked("500 g")

    assert "Needed" in refused(posted(member, url("finish", jar)))["reason"]


def test_a_pack_is_split_and_the_second_container_shown(member):
    jar = stocked("500 g")

    response = posted(member, url("split", jar), amount="120 g", place=jar.place_id, code="SMALL-1")

    second = Container.objects.get(code="SMALL-1")
    assert response.headers["Location"] == second.get_absolute_url()
    assert (second.on_hand, second.material) == (120_000, jar.material)
    assert list(integrity.integrity_errors()) == []


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"amount": "501 g"}, "amount", "Only 500 g"),
        ({"amount": "0 g"}, "amount", "more than nothing"),
        ({"amount": "-1 g"}, "amount", "below zero"),
        ({"amount": "3 stone"}, "amount", "not a unit of mass known here"),
        ({"amount": "3 cm"}, "amount", "measures length, and mass is asked for"),
        ({"amount": "1 g", "code": "TAKEN"}, "code", "on another container already"),
        ({"amount": "1 g", "happened_at": "2150-01-01T10:00"}, "happened_at", "has not come yet"),
    ],
)
def test_a_split_that_cannot_be_is_refused_in_its_own_sentence(member, typed, field, sentence):
    jar = stocked("500 g")
    operations.receive(jar.material, amount=1, place=jar.place, code="TAKEN", by=signed())

    response = posted(member, url("split", jar), place=jar.place_id, **typed)

    assert sentence in refused(response)[field]
    assert Container.objects.count() == 2


# many at once


@pytest.fixture
def evening(db):
    gloves = stocked("50", name="Gloves", dimension="count", shown_unit="pair")
    return stocked("500 g", name="Salt"), gloves


def test_an_evening_is_one_entry(member, evening):
    salt, gloves = evening

    posted(member, SEVERAL, **{f"use-{salt.code}": "30 g", f"use-{gloves.code}": "2"})

    entry = Entry.objects.latest("pk")
    assert str(entry) == f"Used 2 pairs of Gloves from {gloves.code}, 30 g of Salt from {salt.code}"
    assert [movement.amount for movement in entry.movements.order_by("amount")] == [-30_000, -2]


def test_one_line_too_much_writes_none(member, evening):
    salt, gloves = evening

    response = posted(member, SEVERAL, **{f"use-{salt.code}": "30 g", f"use-{gloves.code}": "51"})

    assert "Only 50 pairs" in refused(response)[f"use-{gloves.code}"]
    assert Entry.objects.count() == 2


def test_an_empty_evening_is_not_written(member, evening):
    assert "Nothing is written" in refused(posted(member, SEVERAL))["__all__"]


def test_the_open_container_is_offered_first_and_none_that_is_away(member, partner):
    first = stocked("500 g")
    material = first.material
    second = operations.receive(material, amount=1_000, place=first.place, by=signed(1)).movements.get().container
    operations.open_it(second, by=signed(2))

    assert f"use-{second.code}" in member.get(SEVERAL).context["form"].fields
    operations.send_away(second, place=partner, by=signed(3))
    assert set(member.get(SEVERAL).context["form"].containers.values()) == {first}


def test_several_uses_ask_the_database_little(member, django_assert_max_num_queries):
    for number in range(20):
        stocked("500 g", name=f"Material no. {number}")

    with django_assert_max_num_queries(10):
        member.get(SEVERAL)


# away and back


def test_a_container_is_away_until_the_partner_confirms_it(member, partner):
    jar = stocked("500 g")

    posted(member, url("send_away", jar), place=partner.pk)

    jar.refresh_from_db()
    shown = page(member, jar)
    assert jar.place == partner
    assert "their word is awaited" in shown and "It came back" in shown
    assert url("use", jar) not in shown


def test_what_was_lost_on_the_way_is_written_down(member, partner):
    jar = stocked("500 g", name="Crystals")
    operations.send_away(jar, place=partner, by=signed(1))

    posted(member, url("confirm", jar), amount="480 g")

    jar.refresh_from_db()
    assert jar.on_hand == 480_000
    assert "Wrenfield confirmed 480 g of" in page(member, jar)


def test_an_earlier_journey_does_not_confirm_this_one(partner):
    jar = stocked("500 g")
    home = jar.place
    operations.send_away(jar, place=partner, by=signed(1))
    jar.refresh_from_db()
    operations.confirm(jar, amount=500_000, by=signed(2))
    operations.move(jar, place=home, by=signed(3))
    operations.send_away(jar, place=partner, by=signed(4))

    jar.refresh_from_db()
    assert operations.confirmed(jar) is None


def test_what_is_here_is_not_confirmed(member):
    jar = stocked("500 g")

    assert "is not away" in refused(posted(member, url("confirm", jar), amount="480 g"))["__all__"]


def test_nothing_is_sent_away_before_there_is_a_partner(member):
    jar = stocked("500 g")

    assert posted(member, url("send_away", jar)).headers["Location"] == reverse("shelf:new_place")


# the cup, the page


def test_what_was_weighed_by_the_cup_is_used_by_the_cup(member):
    jar = stocked("1 kg")
    posted(member, url("weigh_cup", jar), cup_g="287.5")

    posted(member, url("use", jar), amount="1 cup")

    jar.refresh_from_db()
    assert jar.on_hand == 1_000_000 - 287_500


def test_a_cup_that_nobody_weighed_is_no_amount_of_what_is_weighed(member):
    jar = stocked("1 kg")

    assert (
        "measures volume, and mass is asked for" in refused(posted(member, url("use", jar), amount="1 cup"))["amount"]
    )


def test_a_container_past_its_use_by_says_so_loudly(member):
    jar = stocked("500 g")
    Container.objects.update(use_by_on=timezone.localdate() - timedelta(days=2))

    shown = page(member, jar)

    assert "Past its use-by since" in shown
    assert url("finish", jar) in shown


def test_the_page_draws_what_was_left(member):
    jar = stocked("500 g")
    for number in range(1, 4):
        operations.use(jar, amount=100_000, by=signed(number))

    chart = page(member, jar)

    assert f"Left in {jar.code}: 200 g" in chart


def test_a_container_asks_the_database_little(member, django_assert_max_num_queries, partner):
    jar = stocked("500 g", crystals=True)
    operations.use(jar, amount=1_000, by=signed(1))
    operations.send_away(jar, place=partner, by=signed(2))

    with django_assert_max_num_queries(13):
        page(member, jar)
    with django_assert_max_num_queries(4):
        page(member, jar)


@pytest.mark.parametrize("name", ["open", "finish", "split", "send_away", "confirm", "weigh_cup"])
def test_strangers_do_nothing_with_a_container(stranger, name):
    jar = stocked("500 g")

    assert posted(stranger, url(name, jar), amount="5 g").headers["Location"].startswith(reverse("people:sign_in"))
    assert Entry.objects.count() == 1


@pytest.mark.parametrize("name", ["open", "finish", "split", "confirm", "weigh_cup"])
def test_looking_at_what_could_be_done_writes_nothing(member, name):
    jar = stocked("500 g")

    assert member.get(url(name, jar)).status_code == 200
    assert list(Entry.objects.values_list("happened_at", flat=True)) == [day(0)]
