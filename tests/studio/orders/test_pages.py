import csv
import re
from io import BytesIO, StringIO
from uuid import uuid4

import pypdf
import pytest
from django.urls import reverse

from inventory import book
from inventory.models import Container, Entry
from studio.orders import operations
from studio.orders.models import Order, OrderLine, Pack, Shortage, Supplier
from studio.shelf import operations as shelf
from studio.workshop.models import Workshop
from tests.factories import MaterialFactory, PersonFactory, PlaceFactory, adopted, bitten, plate, signed, stocked
from tests.studio.orders.shop import PackFactory, SupplierFactory, ordered, used_by_month

ORDERS = reverse("orders:orders")


def url(name, *args):
    return reverse(f"orders:{name}", args=args)


def page(client, address, **asked):
    """What a page says, in single spaces."""
    return " ".join(client.get(address, asked).content.decode().split())


def words(client, address, **asked):
    """What a reader of the page sees."""
    return " ".join(re.sub(r"<[^>]+>", " ", page(client, address, **asked)).split())


def posted(client, address, **typed):
    return client.post(address, {"key": uuid4(), **typed})


def refused(response):
    """The form of a page that wrote nothing, and what it says about each field."""
    assert response.status_code == 200
    return {name: " ".join(errors) for name, errors in response.context["form"].errors.items()}


@pytest.fixture
def low(today):
    """100 g of crystals where 1 kg is when to order more, and two packs of them."""
    today(195)
    jar = stocked("600 g", name="Crystals", reorder_level=1_000_000)
    used_by_month(jar, *["100 g"] * 5)
    larkhithe = SupplierFactory(name="Larkhithe", contact="the counter", phone="01632 960274", link="larkhithe.example")
    PackFactory(material=jar.material, supplier=larkhithe, amount=25_000_000, price_cents=19_000)
    return PackFactory(material=jar.material, supplier=larkhithe, code="CS-2500")


# the list


def test_a_book_without_packs_says_where_to_begin(keyholder, member):
    assert "Write down a supplier" in page(keyholder, ORDERS)
    assert "A keyholder writes them down" in page(member, ORDERS)


def test_a_full_shelf_says_so(member):
    PackFactory()

    assert "Nothing is low and nothing is on its way" in page(member, ORDERS)


def test_what_is_low_stands_with_what_to_buy_under_its_supplier(member, low):
    shown = words(member, ORDERS)

    assert "Larkhithe the counter, 01632 960274, larkhithe.example" in shown
    assert "low Crystals : 100 g left. 1000 g is when to order more." in shown
    assert "1 × 2500 g, €31.00 . 2500 g covers you until November 2028; with 25 000 g you would still own" in shown


def test_no_link_of_a_supplier_leads_anybody_away(member, low):
    assert "larkhithe.example" in page(member, ORDERS)
    assert 'href="larkhithe' not in page(member, ORDERS) + page(member, low.supplier.get_absolute_url())


def test_for_a_longer_time_more_is_suggested(member, low):
    Pack._base_manager.filter(pk=low.pk).update(amount=500_000, price_cents=900)

    assert "2 × 500 g, €18.00" in words(member, ORDERS, months=1)
    assert "4 × 500 g, €36.00" in words(member, ORDERS, months=12)


@pytest.mark.parametrize("asked", ["0", "dragon", "99"])
def test_a_time_nobody_offers_is_three_months(member, low, asked):
    assert words(member, ORDERS, months=asked) == words(member, ORDERS)


def test_what_nobody_sells_is_on_the_list_all_the_same(keyholder, member):
    stocked("10 g", name="Whiting", reorder_level=300_000)

    assert "Nobody is known to sell" in page(member, ORDERS)
    assert "Who sells it?" in page(keyholder, ORDERS)


def test_an_awaited_order_says_by_whom_and_when(member, low):
    ordered(2, pack=low, at=193, done_by=PersonFactory(name="Tobi Reyne"))

    shown = words(member, ORDERS)

    assert "on its way Crystals : ordered by Tobi Reyne, 11 September: 2 × 2500 g." in shown
    assert "when to order more" not in shown


def test_what_came_partly_says_how_much(member, low):
    line = ordered(3, pack=low, at=190)
    operations.receive(line, packs=1, place=PlaceFactory(), by=signed(192))

    assert "3 × 2500 g; 1 came, 2 to come." in words(member, ORDERS)


def test_only_a_keyholder_finds_the_way_to_order(keyholder, member, low):
    ordered(pack=PackFactory(supplier=low.supplier), at=190)
    way, cancel = url("order", low.supplier.pk), "Cancel it"

    assert way in page(keyholder, ORDERS) and cancel in page(keyholder, ORDERS)
    assert way not in page(member, ORDERS) and cancel not in page(member, ORDERS)


def test_what_was_just_ordered_is_on_the_list_at_once(keyholder, low):
    page(keyholder, ORDERS)

    posted(keyholder, url("order", low.supplier.pk), **{f"packs_{low.pk}": "1"})

    assert "on its way" in page(keyholder, ORDERS)


def test_the_list_asks_the_database_little(member, low, django_assert_max_num_queries):
    for number in range(20):
        pack = PackFactory(material__name=f"Material no. {number}", material__reorder_level=1_000)
        ordered(pack=PackFactory(), at=number) if number % 2 else operations.mark_low(pack.material, by=signed(number))

    with django_assert_max_num_queries(10):
        member.get(ORDERS)
    with django_assert_max_num_queries(4):
        member.get(ORDERS)


def test_the_list_is_handed_out_as_a_file(member, low):
    ordered(
        2, pack=PackFactory(material__name="Ink", supplier=low.supplier), at=190, done_by=PersonFactory(name="Tobi")
    )

    text = b"".join(member.get(url("orders_csv")).streaming_content).decode("utf-8-sig")

    wanted, awaited = csv.DictReader(StringIO(text))
    assert (wanted["Material"], wanted["Left"], wanted["State"]) == ("Crystals", "100 g", "low")
    assert (wanted["Packs"], wanted["Of"], wanted["Supplier’s code"]) == ("1", "2500 g", "CS-2500")
    assert (awaited["Together"], awaited["Ordered by"], awaited["Ordered on"]) == ("62", "Tobi", "2026-09-08")


def test_the_list_is_a_paper(member, low):
    ordered(
        2, pack=PackFactory(material__name="Ink", supplier=low.supplier), at=190, done_by=PersonFactory(name="Tobi")
    )

    response = member.get(url("paper"))

    pdf = pypdf.PdfReader(BytesIO(response.content))
    said = " ".join(pdf.pages[0].extract_text().split())
    assert response["Content-Type"] == "application/pdf"
    for part in (
        "Order list",
        "the counter, 01632 960274, larkhithe.example",
        "Crystals 100 g 1 2500 g CS-2500 €31.00 €31.00",
        "2 × 2500 g Ink Tobi, 8 September 2026 0 of 2",
        "All of it together: €31.00",
        "licensed people decide",
    ):
        assert part in said, said
    assert pdf.trailer["/Root"]["/Lang"] == "en"


def test_an_empty_paper_says_so(member):
    pdf = pypdf.PdfReader(BytesIO(member.get(url("paper")).content))

    assert "Nothing is low, and nothing is on its way" in " ".join(pdf.pages[0].extract_text().split())


# saying that something is low


def test_a_member_says_that_something_is_running_out(member):
    ink = MaterialFactory(name="Ink")

    assert url("mark_low", ink.pk) in page(member, url("low"))
    response = posted(member, url("mark_low", ink.pk), note="two of us print on Sunday")

    assert response.headers["Location"] == ORDERS
    assert Entry.objects.get().done_by == member.person
    assert f"Marked by {member.person}" in page(member, ORDERS)
    assert "two of us print on Sunday" in page(member, ORDERS)


def test_a_second_mark_is_refused_with_a_reason(member):
    ink = MaterialFactory()
    operations.mark_low(ink, by=signed())

    response = posted(member, url("mark_low", ink.pk))

    assert "Marked already" in refused(response)["__all__"]
    assert Shortage.objects.count() == 1


def test_whoever_marks_sees_what_is_on_its_way(member, today):
    today(3)
    line = ordered(done_by=PersonFactory(name="Tobi"))

    assert "On its way: ordered by Tobi, 2 March" in page(member, url("mark_low", line.pack.material_id))


def test_with_nothing_to_choose_from_the_first_material_comes_first(member):
    assert "No material is written down yet" in page(member, url("low"))


# ordering


def order(client, supplier, **typed):
    return posted(client, url("order", supplier.pk), **typed)


def test_what_is_suggested_is_filled_in(keyholder, low):
    form = keyholder.get(url("order", low.supplier.pk)).context["form"]

    assert form[f"packs_{low.pk}"].value() == 1
    assert "€31.00, €1.24 per 100 g. 100 g left." in form[f"packs_{low.pk}"].help_text


def test_a_keyholder_orders(keyholder, low):
    response = order(keyholder, low.supplier, **{f"packs_{low.pk}": "2"})

    line = OrderLine.objects.get()
    assert response.headers["Location"] == line.order.get_absolute_url()
    assert (line.packs, line.amount, line.price_cents) == (2, 2_500_000, 3_100)
    assert line.order.entry.recorded_by == keyholder.person.account


def test_a_second_tap_orders_once(keyholder, low):
    typed = {"key": uuid4(), f"packs_{low.pk}": "2"}

    answers = [keyholder.post(url("order", low.supplier.pk), typed) for _ in range(2)]

    assert {answer.headers["Location"] for answer in answers} == {Order.objects.get().get_absolute_url()}
    assert OrderLine.objects.count() == 1


def test_ordering_it_again_is_questioned_and_a_tick_answers(keyholder, low):
    ordered(2, pack=low, at=193, done_by=PersonFactory(name="Tobi Reyne"))
    asked, tick = f"packs_{low.pk}", f"more_{low.pk}"

    first = order(keyholder, low.supplier, **{asked: "1"})
    assert refused(first)[asked] == "Ordered by Tobi Reyne, 11 September: 2 × 2500 g. Tick below to order more."
    assert first.context["form"][asked].value() == "1"
    assert "Order more all the same: ordered by Tobi Reyne" in first.content.decode()

    assert order(keyholder, low.supplier, **{asked: "1", tick: "on"}).status_code == 302
    assert OrderLine.objects.count() == 2


def test_what_is_on_its_way_is_not_filled_in_again(keyholder, low):
    ordered(pack=Pack.objects.create(material=low.material, supplier=low.supplier, amount=1, price_cents=1), at=193)

    form = keyholder.get(url("order", low.supplier.pk)).context["form"]

    assert form[f"packs_{low.pk}"].value() is None


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [("", "Say how many packs of something"), ("two", "A whole number of packs"), ("1000", "At most 999")],
)
def test_an_order_that_is_refused_is_explained(keyholder, low, typed, sentence):
    response = order(keyholder, low.supplier, **{f"packs_{low.pk}": typed})

    assert sentence in " ".join(refused(response).values())
    assert not OrderLine.objects.exists()


def test_an_order_from_the_future_is_refused(keyholder, low):
    response = order(keyholder, low.supplier, **{f"packs_{low.pk}": "1", "happened_at": "2126-01-01T10:00"})

    assert "has not come yet" in refused(response)["happened_at"]


def test_who_sells_nothing_yet_leads_to_the_first_pack(keyholder):
    seller = SupplierFactory()

    assert url("new_pack", seller.pk) in page(keyholder, url("order", seller.pk))


def test_the_order_page_asks_the_database_little(keyholder, low, django_assert_max_num_queries):
    for _ in range(20):
        PackFactory(supplier=low.supplier)

    with django_assert_max_num_queries(12):
        keyholder.get(url("order", low.supplier.pk))


# receiving


def came(client, line, **typed):
    return posted(client, url("receive", line.pk), **{"packs": "1", "place": PlaceFactory().pk} | typed)


def test_a_member_receives_what_was_ordered(member, today):
    line = ordered(2)
    today(3)
    form = member.get(url("receive", line.pk)).context["form"]
    assert form["packs"].value() == 2

    response = came(member, line, packs="2", batch="B-7")

    jars = Container.objects.all()
    assert response.headers["Location"] == ORDERS
    assert [(jar.on_hand, jar.batch) for jar in jars] == [(2_500_000, "B-7")] * 2
    assert f"found again: {jars[0].code}, {jars[1].code}" in page(member, ORDERS)


def test_the_assay_of_a_lot_of_sulfate_comes_with_it_from_an_order(member):
    line = ordered(pack=PackFactory(material=MaterialFactory(crystals=True)))

    came(member, line, packs="1", looks="copper_sulfate_pentahydrate", purity_percent="98,5")

    assert Container.objects.get().purity == 0.985


def test_a_second_tap_receives_once(member):
    line, typed = ordered(1), {"key": uuid4(), "packs": "1", "place": PlaceFactory().pk}

    answers = [member.post(url("receive", line.pk), typed) for _ in range(2)]

    assert [answer.status_code for answer in answers] == [302, 302]
    assert Container.objects.count() == 1


def test_copper_sulfate_is_looked_at_before_it_is_received(member):
    line = ordered(pack=PackFactory(material=MaterialFactory(crystals=True)))

    assert "looks" in refused(came(member, line))
    assert "kept as blue crystals" in refused(came(member, line, looks="copper_sulfate_anhydrous"))["looks"]
    assert came(member, line, looks="copper_sulfate_pentahydrate").status_code == 302


def test_what_will_not_come_is_written_without_a_look(member):
    line = ordered(pack=PackFactory(material=MaterialFactory(crystals=True)))

    assert came(member, line, packs="0", is_last="on").status_code == 302
    assert not OrderLine.objects.awaited().exists()


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"packs": "0"}, "packs", "or tick that no more will"),
        ({"packs": "3"}, "packs", "2 of 2 still to come"),
        ({"packs": ""}, "packs", "Needed"),
        ({"packs": "some"}, "packs", "A whole number of packs"),
        ({"place": ""}, "place", "Needed"),
        ({"use_by_on": "soon"}, "use_by_on", "valid date"),
        ({"happened_at": "2026-03-01T10:00"}, "happened_at", "cannot have come before"),
    ],
)
def test_a_receipt_that_is_refused_is_explained_beside_its_field(member, typed, field, sentence):
    response = came(member, ordered(2), **typed)

    assert sentence in refused(response)[field]
    assert not Container.objects.exists()


def test_what_came_already_leads_to_the_shelfs_own_page(member):
    line = ordered()
    operations.receive(line, packs=1, place=PlaceFactory(), by=signed(1))

    shown = page(member, url("receive", line.pk))

    assert "Nothing of it is still to come" in shown
    assert reverse("shelf:receive", args=[line.pack.material_id]) in shown


# cancelling


def test_a_cancelled_order_is_struck_and_stays_readable(keyholder):
    line = ordered(pack=PackFactory(material__name="Ink"))

    keyholder.post(reverse("book:strike", args=[line.order.entry_id]), {"reason": "sold out"})

    shown = words(keyholder, line.order.supplier.get_absolute_url())
    assert "1 × 2500 g Ink cancelled by" in shown and "sold out" in shown
    assert "It came" not in page(keyholder, ORDERS)


def test_the_page_of_an_order_in_the_book_says_what_was_ordered(member):
    line = ordered(2, pack=PackFactory(material__name="Ink"))

    assert "2 × 2500 g Ink ordered" in page(member, line.order.entry.get_absolute_url())


# suppliers and packs

LARKHITHE = {
    "name": "Larkhithe",
    "contact": "the counter",
    "phone": "01632 960274",
    "link": "https://larkhithe.example",
    "usual_days": "5",
    "worst_days": "10",
    "about": "Sends the sheet with every pack.",
}


def test_a_first_supplier_is_asked_for(keyholder):
    assert "No supplier is written down yet" in page(keyholder, url("suppliers"))


def test_a_keyholder_writes_down_a_supplier(keyholder):
    response = posted(keyholder, url("new_supplier"), **LARKHITHE)

    seller = Supplier.objects.get()
    assert response.headers["Location"] == seller.get_absolute_url()
    assert (seller.said_days, seller.note) == ((5, 10), "Sends the sheet with every pack.")
    shown = page(keyholder, seller.get_absolute_url())
    assert "5 days, 10 at the worst" in shown
    assert "https://larkhithe.example" in shown and 'href="https' not in shown


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"name": ""}, "name", "Needed"),
        ({"name": "oxbow"}, "name", "oxbow is written down already"),
        ({"phone": "call Ada"}, "phone", "so that a phone can dial it"),
        ({"usual_days": "soon"}, "usual_days", "whole number"),
        ({"worst_days": "3"}, "worst_days", "At the worst it takes 5 days or more"),
        ({"worst_days": ""}, "worst_days", "Give both numbers of days, or neither"),
        ({"usual_days": ""}, "usual_days", "Give both numbers of days, or neither"),
        ({"usual_days": "0"}, "usual_days", "greater than or equal to 1"),
    ],
)
def test_a_supplier_that_is_refused_is_explained(keyholder, typed, field, sentence):
    SupplierFactory(name="Oxbow")

    response = posted(keyholder, url("new_supplier"), **LARKHITHE | typed)

    assert sentence in refused(response)[field]
    assert Supplier.objects.count() == 1


def test_what_is_known_of_a_supplier_is_changed(keyholder):
    seller = SupplierFactory(name="Larkhithe", note="closed on Mondays")
    form = keyholder.get(url("change_supplier", seller.pk)).context["form"]
    assert form["about"].value() == "closed on Mondays"

    posted(keyholder, url("change_supplier", seller.pk), **LARKHITHE)

    seller.refresh_from_db()
    assert seller.usual_days == 5


PACK = {"amount": "2.5 kg", "price_cents": "31,00", "code": "CS-2500", "link": ""}


def test_a_keyholder_writes_down_a_pack(keyholder):
    seller, salt = SupplierFactory(), MaterialFactory(name="Crystals")

    response = posted(keyholder, url("new_pack", seller.pk), material=salt.pk, **PACK)

    pack = Pack.objects.get()
    assert response.headers["Location"] == seller.get_absolute_url()
    assert (pack.material, pack.amount, pack.price_cents, pack.is_sold) == (salt, 2_500_000, 3_100, True)
    assert "Crystals 2500 g €31.00 €1.24 per 100 g CS-2500" in words(keyholder, seller.get_absolute_url())


def test_the_material_that_nobody_sells_is_filled_in(keyholder):
    seller, salt = SupplierFactory(), MaterialFactory()

    form = keyholder.get(url("new_pack", seller.pk), {"material": salt.pk}).context["form"]

    assert form["material"].value() == str(salt.pk)


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"material": ""}, "material", "Needed"),
        ({"amount": ""}, "amount", "Needed"),
        ({"amount": "2.5"}, "amount", "The unit is missing"),
        ({"amount": "2 L"}, "amount", "measures volume, and mass is asked for"),
        ({"amount": "0 g"}, "amount", "A pack holds more than nothing"),
        ({"price_cents": "31 sheep"}, "price_cents", "is not one number"),
        ({"price_cents": "0.0051"}, "price_cents", "finer than cents"),
    ],
)
def test_a_pack_that_is_refused_is_explained(keyholder, typed, field, sentence):
    seller, salt = SupplierFactory(), MaterialFactory()

    response = posted(keyholder, url("new_pack", seller.pk), **{"material": salt.pk} | PACK | typed)

    assert sentence in refused(response)[field]
    assert not Pack.objects.exists()


def test_a_pack_is_changed_and_taken_off_the_list(keyholder):
    pack = PackFactory(code="CS-1")
    form = keyholder.get(url("change_pack", pack.pk)).context["form"]
    assert (form["amount"].value(), form["price_cents"].value()) == ("2500 g", "31.00")

    posted(keyholder, url("change_pack", pack.pk), **PACK | {"price_cents": "33.50"})

    pack.refresh_from_db()
    assert (pack.price_cents, pack.is_sold) == (3_350, False)
    assert "no longer sold" in page(keyholder, pack.supplier.get_absolute_url())


def test_a_supplier_shows_what_was_ordered_there(member, today):
    line = ordered(3, pack=PackFactory(material__name="Ink"), done_by=PersonFactory(name="Tobi"))
    operations.receive(line, packs=1, place=PlaceFactory(), by=signed(1))
    today(3)

    assert "3 × 2500 g Ink Tobi: 1 came, 2 to come" in words(member, line.order.supplier.get_absolute_url())


def test_supplier_pages_ask_the_database_little(member, django_assert_max_num_queries):
    seller = SupplierFactory()
    for number in range(10):
        ordered(pack=PackFactory(supplier=seller), at=number)

    with django_assert_max_num_queries(10):
        member.get(seller.get_absolute_url())
    with django_assert_max_num_queries(6):
        member.get(url("suppliers"))


# one material


def test_a_material_says_how_fast_it_goes_and_what_to_buy(member, low):
    shown = words(member, url("material", low.material_id))

    for part in (
        "On hand 100 g",
        "It is ordered at 1000 g, as somebody has set.",
        "Use: 100 g a month",
        "Reorder level that covers 95 in 100 deliveries",
        "1 × 2500 g Larkhithe €31.00 €1.24 per 100 g",
        "1 × 25 000 g Larkhithe €190.00 €0.76 per 100 g",
    ):
        assert part in shown, part


def test_every_figure_of_a_material_opens_to_its_sum(member, low):
    shown = page(member, url("material", low.material_id))

    assert shown.count('<p class="formula">') == 3
    assert "Used in each whole month" in shown


def test_a_young_material_says_when_its_use_can_be_told(member):
    salt = MaterialFactory()

    assert "after three whole months in the book" in page(member, url("material", salt.pk))


def test_whom_to_ask_is_chosen_where_nobody_sells_it(keyholder, member):
    salt, seller = MaterialFactory(), SupplierFactory(name="Larkhithe")

    assert f"{url('new_pack', seller.pk)}?material={salt.pk}" in page(keyholder, url("material", salt.pk))
    assert "A keyholder writes down who does" in page(member, url("material", salt.pk))


def test_without_suppliers_the_first_is_asked_for(keyholder):
    assert "no supplier is written down yet" in page(keyholder, url("material", MaterialFactory().pk))


def test_a_materials_page_asks_the_database_little(member, low, django_assert_max_num_queries):
    with django_assert_max_num_queries(10):
        member.get(url("material", low.material_id))


def test_the_shelfs_own_page_fetches_how_it_goes(member, low, django_assert_max_num_queries):
    address = url("how_it_goes", low.material_id)
    assert f'hx-get="{address}"' in page(member, low.material.get_absolute_url())

    with django_assert_max_num_queries(11):
        piece = member.get(address, headers={"hx-request": "true"}).content.decode()
    with django_assert_max_num_queries(4):
        member.get(address, headers={"hx-request": "true"})

    assert "It is time to order more." in piece
    assert f"Used of {low.material} in each whole month" in piece


def test_without_a_script_how_it_goes_is_a_page_of_its_own(member, low):
    assert member.get(url("how_it_goes", low.material_id)).headers["Location"] == url("material", low.material_id)


# costs


def test_a_book_without_costs_says_where_prices_come_from(member):
    assert "Prices come from the packs of the suppliers" in page(member, url("costs"))


@pytest.fixture
def spent(today):
    """Nell and Tobi used salt at 1.24 per 100 g in April and May."""
    today(100)
    salt = stocked("2 kg", name="Salt", category="Salts")
    PackFactory(material=salt.material)
    for at, grams, name in ((31, 100, "Nell"), (35, 200, "Tobi"), (65, 50, "Una")):
        shelf.use(salt, amount=grams * 1_000, by=signed(at, done_by=PersonFactory(name=name)))
    return salt


def test_costs_of_the_last_quarter_are_shown(member, spent):
    shown = words(member, url("costs"))

    assert "Used up, March 2026 to May 2026 €4.34" in shown
    assert "April 2026 €3.72 2 uses, €1.86 each. Salt 300 g at €1.24 per 100 g = €3.72 the cheapest pack" in shown
    assert "Nell €1.24" in shown and "Tobi €2.48" in shown


def test_the_cost_of_a_plate_goes_by_the_plates_of_the_months_asked_for(member, spent):
    bath, harbour = adopted(), plate()
    for at, bitten_plate in ((31, harbour), (32, harbour), (33, None), (70, plate(name="Reeds"))):
        bitten(bath, at=at, plate=bitten_plate)

    april = words(member, url("costs"), first="2026-04", last="2026-04")

    assert "For each plate that was bitten €1.86" in april
    assert "plates 2&nbsp;bitten" in april
    assert "For each plate that was bitten €1.45" in words(member, url("costs"))


def test_studios_share_the_cost_by_their_plates(member, spent):
    bath, partner = adopted(), PlaceFactory(name="Wrenfield", kind="away")
    for at, own in ((31, plate()), (32, plate(name="Reeds", partner=partner)), (33, None)):
        bitten(bath, at=at, plate=own)

    shown = words(member, url("costs"), first="2026-04", last="2026-04")

    assert "Our own 2 plates, €2.48 Wrenfield 1 plate, €1.24" in shown


def test_months_without_a_plate_say_so(member, spent):
    assert "No plate was bitten in these months" in words(member, url("costs"))


def test_costs_of_other_months_are_asked_for(member, spent):
    shown = words(member, url("costs"), first="2026-05", last="2026-05")

    assert "Used up, May 2026 to May 2026 €0.62" in shown
    assert "Nell" not in shown


def test_months_the_wrong_way_round_are_said_so(member, spent):
    shown = words(member, url("costs"), first="2026-05", last="2026-04")

    assert "The first month lies after the last one" in shown
    assert "Used up, March 2026 to May 2026" in shown


def test_months_outside_the_book_are_refused(member, spent):
    assert "not one of the available choices" in words(member, url("costs"), first="1999-01", last="2026-04")


def test_costs_are_read_in_the_studios_currency(member, studio, spent):
    studio.currency = "GBP"
    studio.save_base()

    assert "£4.34" in page(member, url("costs"))


def test_what_has_no_price_is_named(member, spent):
    ink = stocked("400 g", name="Ink")
    shelf.use(ink, amount=1_000, by=signed(40))

    assert "needs info Without a price, and so not counted: Ink." in words(member, url("costs"))


def test_a_struck_use_is_no_cost(member, spent):
    page(member, url("costs"))
    book.strike(spent.movements.last().entry, by=signed(70), reason="not used")

    assert "€3.72" in page(member, url("costs"))


def test_the_costs_ask_the_database_little(member, spent, django_assert_max_num_queries):
    with django_assert_max_num_queries(11):
        member.get(url("costs"))
    with django_assert_max_num_queries(5):
        member.get(url("costs"))


# who may look and write

PAGES = ["orders", "paper", "orders_csv", "costs", "low", "suppliers", "new_supplier"]


@pytest.mark.parametrize("name", PAGES)
def test_strangers_learn_nothing_of_orders(stranger, name):
    assert stranger.get(url(name)).headers["Location"].startswith(reverse("people:sign_in"))


@pytest.mark.parametrize("name", ["order", "new_supplier", "change_supplier", "new_pack", "change_pack"])
def test_a_member_does_not_spend_the_studios_money(member, name):
    pack = PackFactory()
    address = url(name, *([] if name == "new_supplier" else [pack.pk if name == "change_pack" else pack.supplier_id]))

    assert member.get(address).status_code == 403
    assert posted(member, address, **{f"packs_{pack.pk}": "1", "name": "Mine"}).status_code == 403
    assert not Entry.objects.exists()


def test_a_page_of_an_order_that_is_not_there_is_not_found(keyholder):
    for name in ("material", "mark_low", "receive", "supplier", "order", "change_pack"):
        assert keyholder.get(url(name, 999)).status_code == 404, name


# nothing stops an order


@pytest.fixture
def unsold(low):
    """Something that is low and that nobody is known to sell."""
    return stocked("10 g", name="Whiting", reorder_level=300_000).material


def test_what_nobody_sells_stops_no_order(keyholder, low, unsold):
    shown = page(keyholder, url("order", low.supplier.pk))

    assert "Low, and nobody is known to sell it" in shown and "Whiting" in shown
    assert order(keyholder, low.supplier, **{f"packs_{low.pk}": "1"}).status_code == 302


def test_a_pack_is_added_on_the_way_and_nothing_typed_is_lost(keyholder, low, unsold):
    asked, ordering = f"packs_{low.pk}", url("order", low.supplier.pk)
    new_pack = f"{url('new_pack', low.supplier.pk)}?material={unsold.pk}"

    on_the_way = order(keyholder, low.supplier, **{asked: "7", "note": "by Friday", "leave": new_pack})
    form = keyholder.get(on_the_way.headers["Location"]).context["form"]
    assert form["material"].value() == str(unsold.pk)
    back = posted(keyholder, on_the_way.headers["Location"], material=unsold.pk, amount="1 kg", price_cents="")

    assert back.headers["Location"] == ordering
    form = keyholder.get(ordering).context["form"]
    pack = Pack.objects.get(material=unsold)
    assert (form[asked].value(), form["note"].value()) == ("7", "by Friday")
    assert f"packs_{pack.pk}" in form.fields and not form.unsold
    assert form.fields[f"packs_{pack.pk}"].help_text.startswith("Price missing")


def test_a_supplier_is_added_on_the_way_with_a_pack(keyholder, low, unsold):
    somebody = f"{url('new_supplier')}?material={unsold.pk}"
    on_the_way = order(keyholder, low.supplier, leave=somebody).headers["Location"]

    then = posted(keyholder, on_the_way, name="Oxbow").headers["Location"]
    assert then.startswith(f"{url('new_pack', Supplier.objects.get(name='Oxbow').pk)}?material={unsold.pk}&back=")
    back = posted(keyholder, then, material=unsold.pk, amount="1 kg", price_cents="2")

    assert back.headers["Location"] == url("order", low.supplier.pk)


def everything_missing(low):
    Pack._base_manager.update(price_cents=None, code="", link="")
    Supplier._base_manager.update(contact="", phone="", link="", address="", usual_days=None, worst_days=None)


def nothing_sold(low):
    Pack._base_manager.update(is_sold=False)


def off_the_lists(low):
    type(low.material)._base_manager.update(is_listed=False)


def supplier_off_the_lists(low):
    Supplier._base_manager.update(is_listed=False)


def no_address(low):
    Workshop._base_manager.update(address="", keyholder_line="")


@pytest.mark.parametrize("lack", [everything_missing, nothing_sold, off_the_lists, supplier_off_the_lists, no_address])
def test_whatever_is_missing_every_page_about_buying_opens(keyholder, low, unsold, lack):
    line = ordered(2, pack=low, at=190)
    lack(low)

    pages = [
        *(ORDERS, url("paper"), url("orders_csv"), url("costs"), url("suppliers"), url("low")),
        *(url("material", each) for each in (low.material_id, unsold.pk)),
        *(url(name, low.supplier.pk) for name in ("supplier", "order", "new_pack", "change_supplier")),
        *(url("mark_low", unsold.pk), url("receive", line.pk), url("change_pack", low.pk)),
        *(url(name, line.order.pk) for name in ("placed", "order_paper", "order_csv", "order_text", "delivery")),
        url("cancel_line", line.pk),
        line.order.entry.get_absolute_url(),
    ]

    assert {each: keyholder.get(each).status_code for each in pages} == dict.fromkeys(pages, 200)
