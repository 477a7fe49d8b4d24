"""An order after it was written down: how it leaves, what came of it line by line, what is wanted no more."""

import csv
from io import BytesIO, StringIO
from urllib.parse import parse_qs, unquote, urlsplit
from uuid import uuid4

import pypdf
import pytest
from django.urls import reverse

from inventory.book import strike
from inventory.models import Container
from studio.orders import operations, to_supplier
from studio.orders.models import OrderLine
from studio.workshop.models import Workshop
from tests.factories import MaterialFactory, PlaceFactory, signed
from tests.studio.orders.shop import PackFactory, SupplierFactory, again
from tests.studio.orders.test_pages import page, posted, refused, url, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def placed(today):
    """Two packs of crystals at a price, and three of whiting that nobody knows the price of."""
    today(3)
    seller = SupplierFactory(name="Larkhithe", email="counter@larkhithe.example", contact="the counter")
    salt = PackFactory(material__name="Ink", supplier=seller, code="CS-2500")
    whiting = PackFactory(material__name="Whiting", supplier=seller, amount=1_000_000, price_cents=None)
    entry = operations.order(seller, packs={salt: 2, whiting: 3}, by=signed(1, note="By the side door, please."))
    return entry.order


def lines(order):
    return [again(line) for line in order.lines.order_by("pk")]


# how it leaves


def test_an_order_is_a_text_to_paste_or_to_mail(member, placed):
    told = to_supplier.letter_of(placed, Workshop.objects.get())

    assert told.subject == f"Order from {Workshop.objects.get()}, 3 March 2026"
    for part in (
        "To Larkhithe, the counter",
        "2 × 2500 g Ink, your code CS-2500, €31.00 each, €62.00",
        "3 × 1000 g Whiting, price missing",
        "Together: €62.00, 1 price missing",
        "By the side door, please.",
        str(placed.entry.done_by),
    ):
        assert part in told.text
    mail = urlsplit(to_supplier.mailto(placed, told))
    assert (mail.scheme, unquote(mail.path)) == ("mailto", "counter@larkhithe.example")
    assert parse_qs(mail.query)["body"] == [told.text.replace("\n", "\r\n")]
    shown = page(member, placed.get_absolute_url())
    assert "data-copy" in shown and "mailto:counter@larkhithe.example" in shown
    assert member.get(url("order_text", placed.pk)).content.decode() == f"{told.subject}\n\n{told.text}"


def test_an_order_is_a_paper_and_a_file(member, placed):
    pdf = pypdf.PdfReader(BytesIO(member.get(url("order_paper", placed.pk)).content))
    text = b"".join(member.get(url("order_csv", placed.pk)).streaming_content).decode("utf-8-sig")

    said = " ".join(pdf.pages[0].extract_text().split())
    assert f"Order from {placed.supplier}" in said
    ink, whiting = csv.DictReader(StringIO(text))
    assert "Ink 2 2500 g CS-2500 €31.00 €62.00" in said and "€62.00, 1 price missing" in said
    assert (ink["Packs"], ink["Price of one"], ink["Together"]) == ("2", "31", "62")
    assert (whiting["Material"], whiting["Together"]) == ("Whiting", "")


# what came


def delivered(client, order, **typed):
    """A delivery note as somebody sends it: by the name of the material, what is typed of its line."""
    place = PlaceFactory()
    sent = {}
    for line in lines(order):
        of_it = {"packs": "0", "place": place.pk, **typed.get(line.pack.material.name, {})}
        sent |= {f"line{line.pk}-{name}": value for name, value in of_it.items()}
    return posted(client, url("delivery", order.pk), **sent)


def test_a_delivery_note_is_checked_off_in_one_write(member, placed):
    came = {"Ink": {"packs": "2", "batch": "L-77"}, "Whiting": {"packs": "1", "damaged": "1"}}

    answer = delivered(member, placed, **came)

    jars = Container.objects.order_by("pk")
    ink, whiting = lines(placed)
    assert answer.headers["Location"] == placed.get_absolute_url()
    assert [(jar.material.name, jar.batch) for jar in jars] == [("Ink", "L-77"), ("Ink", "L-77"), ("Whiting", "")]
    assert len({movement.entry for jar in jars for movement in jar.movements.all()}) == 1
    assert (ink.rest, whiting.rest) == (0, 2)
    shown = words(member, placed.get_absolute_url())
    assert "part came" in shown and "1 came, 1 damaged" in shown and "2 packs to come" in shown
    stickers = f"{reverse('shelf:stickers')}?codes={jars[0].code}&codes={jars[1].code}&codes={jars[2].code}"
    assert len(member.get(stickers).context["form"]["codes"].value()) == 3


def test_what_came_leads_to_its_stickers(member, placed):
    delivered(member, placed, Ink={"packs": "2"})

    codes = "&amp;".join(f"codes={jar.code}" for jar in Container.objects.order_by("pk"))
    assert f"{reverse('shelf:stickers')}?{codes}" in page(member, url("orders"))


def test_other_packs_than_ordered_count_by_what_they_hold(member, placed):
    delivered(member, placed, Ink={"packs": "9", "pack_amount_0": "500", "pack_amount_1": "g"})

    ink, _whiting = lines(placed)
    assert {jar.on_hand for jar in Container.objects.all()} == {500_000}
    assert (ink.received_amount, ink.rest) == (4_500_000, 1)
    assert "9 × 500 g came" in words(member, placed.get_absolute_url())
    assert OrderLine.objects.awaited().filter(pk=ink.pk).exists()


def test_a_line_that_is_refused_writes_nothing_and_keeps_all(member, placed):
    answer = delivered(member, placed, Ink={"packs": "5", "batch": "L-77"}, Whiting={"packs": "two"})

    assert "Look at 3 × 1000 g Whiting." in refused(answer)["__all__"]
    answer = delivered(member, placed, Ink={"packs": "5", "batch": "L-77"}, Whiting={"packs": "1"})
    ink = answer.context["form"].parts[0]
    assert "2 of 2 still to come" in ink.errors["packs"][0] and ink["batch"].value() == "L-77"
    assert not Container.objects.exists()


def test_a_delivery_in_which_nothing_came_is_refused(member, placed):
    assert "Say how many packs came" in " ".join(refused(delivered(member, placed)).values())


def test_a_place_is_added_on_the_way_to_a_delivery(member, placed):
    ink, _whiting = lines(placed)
    there, batch = url("delivery", placed.pk), f"line{ink.pk}-batch"

    posted(member, there, **{"leave": reverse("shelf:new_place"), batch: "L-77"})

    assert member.get(there).context["form"].parts[0]["batch"].value() == "L-77"


def test_what_has_all_come_or_was_cancelled_is_sent_no_more(keyholder, placed):
    assert "Send it" in page(keyholder, placed.get_absolute_url())

    for line in lines(placed):
        operations.receive(line, packs=line.packs, place=PlaceFactory(), by=signed(2))
    came = page(keyholder, placed.get_absolute_url())
    pack = lines(placed)[0].pack
    cancelled = operations.order(pack.supplier, packs={pack: 1}, by=signed(2)).order
    strike(cancelled.entry, by=signed(2), reason="too dear")

    for shown in (came, page(keyholder, cancelled.get_absolute_url())):
        assert "Send it" not in shown and "mailto:" not in shown and "data-copy" not in shown
        assert "As it was asked for" in shown


# what is wanted no more


def test_a_line_is_cancelled_with_a_reason_that_stays(keyholder, placed):
    ink, whiting = lines(placed)
    operations.receive(ink, packs=1, place=PlaceFactory(), by=signed(2))

    assert "reason" in refused(posted(keyholder, url("cancel_line", ink.pk)))
    posted(keyholder, url("cancel_line", ink.pk), reason="sold out until spring", note="Oxbow has it")

    shown = words(keyholder, placed.get_absolute_url())
    assert "no more to come. sold out until spring Oxbow has it" in shown
    assert [line.rest for line in lines(placed)] == [0, 3]
    assert list(OrderLine.objects.awaited()) == [whiting]


def test_a_member_cancels_nothing(member, placed):
    assert posted(member, url("cancel_line", lines(placed)[0].pk), reason="no").status_code == 403


def test_the_second_hydrate_is_looked_at_on_a_delivery_too(member):
    salt = PackFactory(material=MaterialFactory(name="Salt", crystals=True))
    order = operations.order(salt.supplier, packs={salt: 1}, by=signed()).order

    answer = delivered(member, order, Salt={"packs": "1"})

    assert "looks" in answer.context["form"].parts[0].errors
    assert posted(member, url("delivery", order.pk), key=uuid4()).status_code == 200
