"""A form is left for another page, which comes back to it with all that was typed; one way for every form."""

import re
from datetime import timedelta
from html import unescape
from urllib.parse import parse_qs, urlsplit
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Container, Entry, Material
from tests.factories import BathFactory, PlaceFactory, day, stocked

pytestmark = pytest.mark.django_db
CRYSTALS = "copper_sulfate_pentahydrate"


def left(client, page, to, **typed):
    """The address that a button of the form leads to, with the way back in it."""
    answer = client.post(page, {"key": uuid4(), "leave": to, **typed})
    assert answer.status_code == 302
    return answer.headers["Location"]


def test_a_mix_waits_while_crystals_are_received(member):
    bath, place = BathFactory(), PlaceFactory()
    mix, receive = reverse("baths:mix", args=[bath.pk]), reverse("shelf:receive")
    typed = {"water_l_0": "9,5", "water_l_1": "L", "water_l": "9,5", "temperature_c": "31", "note": "rain water"}

    on_the_way = left(member, mix, receive, **typed)
    assert (urlsplit(on_the_way).path, parse_qs(urlsplit(on_the_way).query)) == (receive, {"back": [mix]})
    [new] = {url for url in links(member, on_the_way) if url.startswith(reverse("shelf:new_material"))}
    facts = {"name": "Blue", "category": "Bath salts and water", "dimension": "mass", "bath_use": CRYSTALS}
    then = member.post(new, {"key": uuid4(), "shown_unit": "g", **facts}).headers["Location"]
    assert urlsplit(then).path == reverse("shelf:receive", args=[Material.objects.get().pk])
    came = {"amount_0": "5", "amount_1": "kg", "place": place.pk, "looks": CRYSTALS}
    assert member.post(then, {"key": uuid4(), **came}).headers["Location"] == mix

    page = member.get(mix)

    form = page.context["form"]
    assert (form["note"].value(), form["temperature_c"].value()) == ("rain water", "31")
    assert len(list(form.jars)) == Container.objects.count() == 1
    assert not form.errors and "Here is what you had typed" in page.content.decode()
    assert "9,5" in page.content.decode()
    assert not Entry.objects.filter(kind="mixed").exists()


def links(client, page):
    return [unescape(url) for url in re.findall(r'href="([^"]+)"', client.get(page).content.decode())]


def test_what_was_written_waits_no_longer(member):
    jar = stocked("500 g")
    use = reverse("shelf:use", args=[jar.code])
    left(member, use, reverse("shelf:receive"), note="for the test plate")
    assert member.get(use).context["form"]["note"].value() == "for the test plate"

    member.post(use, {"key": uuid4(), "amount_0": "5", "amount_1": "g"})

    assert not member.get(use).context["form"].is_bound


def test_the_way_back_leads_out_of_no_book(member):
    use = reverse("shelf:use", args=[stocked("500 g").code])

    assert member.post(use, {"key": uuid4(), "leave": "https://elsewhere.example/"}).status_code == 200
    written = member.post(f"{use}?back=https://elsewhere.example/", {"key": uuid4(), "amount_0": "5", "amount_1": "g"})
    assert "elsewhere" not in written.headers["Location"]


def test_what_one_person_typed_is_not_another_s(member, keyholder):
    use = reverse("shelf:use", args=[stocked("500 g").code])
    left(member, use, reverse("shelf:receive"), note="mine")

    assert not keyholder.get(use).context["form"].is_bound


def test_a_refusal_s_ways_keep_what_was_typed(member):
    use = reverse("shelf:use", args=[stocked("5 g").code])

    page = member.post(use, {"key": uuid4(), "amount_0": "50", "amount_1": "g", "note": "too much"}).content.decode()

    assert re.search(r'name="leave" value="[^"]*receive[^"]*"[^>]*>Receive more<', page)


def test_an_act_before_its_jar_came_says_so_and_leads_to_how_it_came(member):
    jar = stocked("500 g", at=3)
    use = reverse("shelf:use", args=[jar.code])

    said = {}
    for at in ("2026-03-03T10:00", f"{day(3) - timedelta(hours=1):%Y-%m-%dT%H:%M}"):
        page = member.post(use, {"key": uuid4(), "amount_0": "5", "amount_1": "g", "happened_at": at})
        [said[at]] = page.context["form"].errors["happened_at"]
        assert jar.movements.get().entry.get_absolute_url() in page.content.decode()

    before, same_day = said.values()
    assert before.startswith(f"{jar.code} came on 5 March 2026. Date this later")
    assert same_day.startswith(f"{jar.code} came on 5 March 2026, 1")


def test_enter_never_leaves(member):
    """The first button of a form that can be left writes, or works out, as before."""
    use = member.get(reverse("shelf:move", args=[stocked("5 g").code])).content.decode()
    mix = member.get(reverse("baths:mix", args=[BathFactory().pk])).content.decode()

    for page, name in ((use, ""), (mix, "work_out")):
        form = page[page.index("data-once") :]
        assert 'name="leave"' in form
        [button] = re.findall(r"<button[^>]*>", form)[:1]
        assert "leave" not in button and ('name="work_out"' in button) is bool(name)
