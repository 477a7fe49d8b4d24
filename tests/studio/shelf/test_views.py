import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory import book
from inventory.models import Container, Entry, Material, Movement, Place
from studio.shelf import operations
from studio.shelf.hydrates import BathUse
from tests.factories import MaterialFactory, PlaceFactory, day, signed, stocked

SHELF = reverse("shelf:shelf")


def url(name, *args):
    return reverse(f"shelf:{name}", args=args)


def page(client, address, **asked):
    return client.get(address, asked).content.decode()


def posted(client, address, **typed):
    return client.post(address, {"key": uuid4(), **typed})


def refused(response):
    """The form of a page that wrote nothing, and what it says about each field."""
    assert response.status_code == 200
    return {name: " ".join(errors) for name, errors in response.context["form"].errors.items()}


# the list


def test_a_bare_shelf_says_what_to_begin_with(member):
    assert "Begin with what the bath is made of" in page(member, SHELF)


def test_the_shelf_shows_what_there_is_where_and_how_much(member):
    jar = stocked("500 g", name="Copper sulfate")

    shown = page(member, SHELF)

    assert all(words in shown for words in ("Copper sulfate", jar.code, str(jar.place), "500 g", "sealed"))


def test_a_material_that_is_used_up_stays_on_the_list(member):
    jar = stocked("500 g", name="Copper sulfate")
    operations.use(jar, amount=500_000, by=signed(1))

    shown = page(member, SHELF)

    assert "none left" in shown
    assert url("container", jar.code) not in shown


@pytest.fixture
def shelf():
    """Crystals above their level, spirit below it, and thinner past its use-by."""
    crystals = stocked("2 kg", name="Crystals", category="Salts", reorder_level=1_000_000)
    spirit = stocked("200 g", name="Spirit", category="Solvents", reorder_level=500_000)
    thinner = stocked("300 g", name="Thinner", category="Solvents")
    Container.objects.filter(pk=thinner.pk).update(use_by_on=timezone.localdate() - timedelta(days=1), batch="LOT 9")
    return {"Crystals": crystals, "Spirit": spirit, "Thinner": thinner}


def listed(client, **asked):
    shown = page(client, SHELF, **asked)
    return {name for name in ("Crystals", "Spirit", "Thinner") if re.search(f">{name}</a>", shown)}


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({}, {"Crystals", "Spirit", "Thinner"}),
        ({"category": "Solvents"}, {"Spirit", "Thinner"}),
        ({"low": "on"}, {"Spirit"}),
        ({"past": "on"}, {"Thinner"}),
        ({"text": "cryst"}, {"Crystals"}),
        ({"text": "lot 9"}, {"Thinner"}),
        ({"text": "dragon"}, set()),
        ({"category": "Dragons"}, set()),
        ({"page": "99"}, {"Crystals", "Spirit", "Thinner"}),
        ({"sort": "-place"}, {"Crystals", "Spirit", "Thinner"}),
        ({"sort": "on_hand;drop"}, {"Crystals", "Spirit", "Thinner"}),
    ],
)
def test_the_shelf_is_filtered(member, shelf, asked, found):
    assert listed(member, **asked) == found


def test_the_shelf_is_filtered_by_place_and_code(member, shelf):
    spirit = shelf["Spirit"]

    assert listed(member, place=spirit.place_id) == listed(member, text=spirit.code.lower()) == {"Spirit"}


def test_the_shelf_is_sorted_by_number_as_people_count(member):
    jars = [stocked("500 g") for _ in range(11)]
    operations.receive(jars[0].material, amount=1, place=jars[0].place, code="A-1", by=signed())

    shown = page(member, SHELF, sort="code")

    assert re.findall(r'class="code"[^>]*>([^<]+)<', shown) == [*(jar.code for jar in jars), "A-1"]


def test_a_low_material_and_one_past_its_use_by_say_so(member, shelf):
    shown = page(member, SHELF)

    assert 'class="status look">low' in shown
    assert 'class="status act">past use-by' in shown


def test_what_was_just_written_is_on_the_shelf_at_once(member):
    jar = stocked("500 g")
    assert "500 g" in page(member, SHELF)

    operations.use(jar, amount=20_000, by=signed(1))

    assert "480 g" in page(member, SHELF)


def test_the_shelf_asks_the_database_little(member, django_assert_max_num_queries):
    for number in range(30):
        stocked("500 g", name=f"Material no. {number}")

    with django_assert_max_num_queries(10):
        member.get(SHELF)
    with django_assert_max_num_queries(4):
        member.get(SHELF)


# one material, one container


def test_a_material_adds_up_its_containers(member):
    salt = MaterialFactory(reorder_level=1_000_000)
    for amount in (500_000, 300_000):
        operations.receive(salt, amount=amount, place=PlaceFactory(), by=signed())

    shown = page(member, salt.get_absolute_url())

    assert "800 g" in shown
    assert "low" in shown


def test_a_material_asks_the_database_little(member, django_assert_max_num_queries):
    jar = stocked("500 g")
    for _ in range(30):
        operations.receive(jar.material, amount=500_000, place=jar.place, by=signed(1))

    with django_assert_max_num_queries(11):
        member.get(jar.material.get_absolute_url())
    with django_assert_max_num_queries(5):
        member.get(jar.material.get_absolute_url())


def test_what_is_written_of_a_material_is_on_its_page_at_once(member):
    jar = stocked("500 g")
    assert "500 g" in page(member, jar.material.get_absolute_url())

    operations.use(jar, amount=20_000, by=signed(1))

    assert "480 g" in page(member, jar.material.get_absolute_url())


def test_a_container_shows_what_is_left_and_what_happened(member):
    jar = stocked("500 g")
    operations.use(jar, amount=20_000, by=signed(1))
    operations.count(jar, amount=480_000, by=signed(2))
    operations.move(jar, place=PlaceFactory(name="Workbench"), by=signed(3))

    shown = page(member, jar.get_absolute_url())

    assert all(words in shown for words in ("480 g", "−20 g, used", "480 g were there", "→ Workbench", "open"))


def test_a_code_that_was_read_leads_to_receiving_another_one(member):
    jar = stocked("500 g")

    assert f'href="{url("receive", jar.material_id)}"' in page(member, jar.get_absolute_url())


def test_a_struck_use_stays_readable_on_the_container(member):
    jar = stocked("500 g")
    used = operations.use(jar, amount=20_000, by=signed(1))
    page(member, jar.get_absolute_url())
    book.strike(used, by=signed(2), reason="wrong jar")

    shown = page(member, jar.get_absolute_url())

    assert "<del>" in shown
    assert "wrong jar" in shown
    assert "500 g" in shown


def test_the_older_jar_is_to_be_used_first(member):
    old = stocked("100 g")
    new = operations.receive(old.material, amount=500_000, place=old.place, by=signed(1)).movements.get().container

    assert f"{old.code}</a> came earlier" in page(member, new.get_absolute_url())
    assert "use that one up first" not in page(member, old.get_absolute_url())


def test_pale_powder_says_what_it_counts_for(member):
    assert "782 g of blue crystals and takes up 282 mL of water" in page(
        member, stocked("500 g", powder=True).get_absolute_url()
    )


def test_a_long_history_is_turned_page_by_page(member):
    jar = stocked("500 g")
    for number in range(26):
        operations.use(jar, amount=1_000, by=signed(number + 1))

    first = page(member, jar.get_absolute_url())
    older = re.search(r'href="(\?before=[^"]+)"', first)[1]
    second = page(member, jar.get_absolute_url() + older)

    assert "+500 g, received" not in first
    assert "+500 g, received" in second


def test_a_container_asks_the_database_little(member, django_assert_max_num_queries):
    jar = stocked("500 g")
    for number in range(5):
        operations.use(jar, amount=1_000, by=signed(number + 1))

    with django_assert_max_num_queries(12):
        member.get(jar.get_absolute_url())
    with django_assert_max_num_queries(4):
        member.get(jar.get_absolute_url())


def test_a_label_of_another_book_opens_nothing(member):
    assert member.get(url("container", "C999999")).status_code == 404


# receiving


def received(client, material, **typed):
    typed = {"amount": "2.5 kg", "place": PlaceFactory().pk} | typed
    return posted(client, url("receive", material.pk), **typed)


def test_what_came_is_chosen_first(member):
    salt = MaterialFactory(name="Copper sulfate")

    shown = page(member, url("receive"))

    assert url("receive", salt.pk) in shown
    assert url("new_material") in shown


def test_nothing_to_choose_from_leads_to_the_first_material(member):
    assert "No material is written down yet" in page(member, url("receive"))


def test_a_pack_is_received_and_its_number_said(member):
    salt = MaterialFactory()

    response = received(member, salt, batch="B-7", use_by_on="2027-05-01")

    jar = Container.objects.get()
    assert response.headers["Location"] == salt.get_absolute_url()
    assert (jar.on_hand, jar.batch, str(jar.use_by_on)) == (2_500_000, "B-7", "2027-05-01")
    assert f"Write {jar.code} on it" in page(member, salt.get_absolute_url())


def test_a_second_tap_receives_nothing_twice(member):
    salt, key, place = MaterialFactory(), uuid4(), PlaceFactory().pk

    first = received(member, salt, key=key, place=place, code="BLUE-1")
    second = received(member, salt, key=key, place=place, code="BLUE-1")

    assert first.status_code == second.status_code == 302
    assert Container.objects.count() == 1


def test_the_receipt_says_what_stands_there_already(member):
    jar = stocked("500 g")

    assert jar.code in page(member, url("receive", jar.material.pk))


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("amount", "", "Needed"),
        ("amount", "some", "is not an amount"),
        ("amount", "2.5 stone", "is not a unit of mass known here"),
        ("amount", "2.5 L", "measures volume, and mass is asked for"),
        ("amount", "-2 kg", "below zero"),
        ("amount", "0 kg", "more than nothing"),
        ("amount", "1,000 kg", "could be 1000 or"),
        ("code", "BLUE-1", "on another container already"),
        ("code", "blue-1", "BLUE-1 is on another container already"),
        ("code", "C12", "given out by the book"),
        ("code", "c1", "given out by the book"),
        ("code", "blue jar", "Letters, digits and hyphens only"),
        ("place", "999999", "not one of the available choices"),
        ("use_by_on", "soon", "Enter a valid date"),
        ("happened_at", "2126-01-01T10:00", "has not come yet"),
    ],
)
def test_a_receipt_that_is_refused_is_explained_beside_its_field(member, field, typed, sentence):
    stocked("500 g")
    operations.receive(MaterialFactory(), amount=1, place=PlaceFactory(), code="BLUE-1", by=signed())
    before = Entry.objects.count()

    response = received(member, MaterialFactory(), batch="B-7", **{field: typed})

    assert sentence in refused(response)[field]
    assert Entry.objects.count() == before
    assert "B-7" in response.content.decode()


def test_copper_sulfate_is_asked_for_its_looks(member):
    salt = MaterialFactory(crystals=True)

    assert "Pale powder counts as 1.56 times its weight" in page(member, url("receive", salt.pk))
    assert "Needed" in refused(received(member, salt))["looks"]


def test_pale_powder_is_not_received_as_blue_crystals(member):
    salt = MaterialFactory(name="Copper sulfate, crystals", crystals=True)
    MaterialFactory(name="Copper sulfate, anhydrous", powder=True)

    response = received(member, salt, amount="500 g", looks=BathUse.PALE_POWDER)

    sentence = refused(response)["looks"]
    assert "this pack counts as 782 g of blue crystals" in sentence
    assert "Receive it as Copper sulfate, anhydrous" in sentence
    assert not Container.objects.exists()


def test_blue_crystals_are_not_received_as_pale_powder(member):
    response = received(member, MaterialFactory(powder=True), amount="1 kg", looks=BathUse.BLUE_CRYSTALS)

    sentence = refused(response)["looks"]
    assert "639 g of pale powder" in sentence
    assert "new material first" in sentence


def test_what_is_known_as_powder_is_not_looked_at_again(member):
    for facts, chosen in [
        ({"powder": True}, BathUse.PALE_POWDER),
        ({"bath_use": BathUse.MONOHYDRATE}, BathUse.MONOHYDRATE),
    ]:
        salt = MaterialFactory(**facts)

        asked = member.get(url("receive", salt.pk)).context["form"]["looks"]

        assert asked.initial == chosen
    assert member.get(url("receive", MaterialFactory(crystals=True).pk)).context["form"]["looks"].initial is None


def test_blue_crystals_are_received_as_blue_crystals(member):
    received(member, MaterialFactory(crystals=True), looks=BathUse.BLUE_CRYSTALS)

    assert Container.objects.get().on_hand == 2_500_000


# using, counting, moving


def test_something_to_use_is_chosen_first(member):
    jar = stocked("500 g")

    assert url("use", jar.code) in page(member, url("use"))


def test_with_nothing_to_use_the_way_leads_to_receiving(member):
    assert "Nothing stands on the shelf" in page(member, url("use"))


def test_a_member_uses_some(member):
    jar = stocked("500 g")

    response = posted(member, url("use", jar.code), amount="120 g", note="for the small tank")

    jar.refresh_from_db()
    used = Entry.objects.get(kind="used")
    assert response.headers["Location"] == jar.get_absolute_url()
    assert jar.on_hand == 380_000
    assert (used.done_by, used.recorded_by, used.note) == (member.person, member.person.account, "for the small tank")


def test_a_member_uses_some_by_the_cup_of_the_studio(member, studio):
    studio.cups = "us"
    studio.save_base()
    water = stocked("5 L", water=True)

    posted(member, url("use", water.code), amount="1 cup")

    assert Movement.objects.get(kind="used").amount == -236_588


def test_a_use_can_be_written_down_later_for_somebody_else(member):
    jar = stocked("500 g")
    nell = signed().done_by

    posted(member, url("use", jar.code), amount="120 g", done_by=nell.pk, happened_at="2026-03-04T10:30")

    used = Entry.objects.get(kind="used")
    assert used.done_by == nell
    assert timezone.localtime(used.happened_at).strftime("%H:%M") == "09:30"  # UTC; the clock of Berlin was read


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"amount": "600 g"}, "amount", "Only 500 g in"),
        ({"amount": "0 g"}, "amount", "more than nothing"),
        ({"amount": "-5 g"}, "amount", "below zero"),
        ({"amount": "5 mL"}, "amount", "measures volume, and mass is asked for"),
        ({"amount": "5 scoops"}, "amount", "is not a unit of mass known here"),
        ({"amount": "5 g", "happened_at": "2126-01-01T10:00"}, "happened_at", "has not come yet"),
        ({"amount": "5 g", "happened_at": "2026-01-01T10:00"}, "happened_at", "came on 2 March 2026"),
        ({"amount": "5 g", "happened_at": "yesterday"}, "happened_at", "Enter a valid date"),
    ],
)
def test_a_use_that_is_refused_is_explained_beside_its_field(member, typed, field, sentence):
    jar = stocked("500 g")

    response = posted(member, url("use", jar.code), **typed)

    jar.refresh_from_db()
    assert sentence in refused(response)[field]
    assert typed["amount"] in response.content.decode()
    assert jar.on_hand == 500_000


def test_a_count_is_believed(member):
    jar = stocked("500 g")

    posted(member, url("count", jar.code), amount="0 g")

    jar.refresh_from_db()
    assert jar.on_hand == 0


def test_a_container_is_moved(member):
    jar, bench = stocked("500 g"), PlaceFactory(name="Workbench")

    posted(member, url("move", jar.code), place=bench.pk)

    jar.refresh_from_db()
    assert jar.place == bench


def test_a_container_is_not_moved_to_where_it_stands(member):
    jar = stocked("500 g")

    response = posted(member, url("move", jar.code), place=jar.place_id)

    assert "stands there already" in refused(response)["place"]


# new materials and places

SALT = {
    "name": "Copper sulfate, crystals",
    "category": "Bath salts and water",
    "shown_unit": "g",
    "bath_use": BathUse.BLUE_CRYSTALS,
    "purity_percent": "98,5",
    "cup_g": "287.5",
    "reorder_level": "1 kg",
}


def test_a_new_material_is_received_next(member):
    response = posted(member, url("new_material"), **SALT)

    salt = Material.objects.get()
    assert response.headers["Location"] == url("receive", salt.pk)
    assert (salt.dimension, salt.reorder_level, salt.purity) == ("mass", 1_000_000, 0.985)
    assert salt.bulk_density_g_per_ml == pytest.approx(1.15)  # 287.5 g in a cup of 250 mL


def test_a_second_tap_writes_a_material_down_once(member):
    key = uuid4()

    posted(member, url("new_material"), key=key, **SALT)
    second = posted(member, url("new_material"), key=key, **SALT)

    assert second.headers["Location"] == url("receive", Material.objects.get().pk)


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"name": ""}, "name", "Needed"),
        ({"name": "Spirit"}, "name", "written down already"),
        ({"shown_unit": "stone"}, "shown_unit", "not one of the available choices"),
        ({"shown_unit": "L", "reorder_level": ""}, "shown_unit", "A bath salt is weighed"),
        ({"bath_use": BathUse.WATER}, "shown_unit", "Water for the bath is poured"),
        ({"bath_use": "none"}, "bath_use", "blue crystals or pale powder?"),
        ({"purity_percent": "120"}, "purity_percent", "outside 1 to 100 %"),
        ({"cup_g": "much"}, "cup_g", "is not one number"),
        ({"reorder_level": "1 L"}, "reorder_level", "measures volume, and mass is asked for"),
        ({"reorder_level": "1"}, "reorder_level", "The unit is missing"),
    ],
)
def test_a_material_that_is_refused_is_explained_beside_its_field(member, typed, field, sentence):
    MaterialFactory(name="Spirit")

    response = posted(member, url("new_material"), **SALT | typed)

    assert sentence in refused(response)[field]
    assert Material.objects.count() == 1


def test_what_is_known_of_a_material_is_changed(member):
    salt = MaterialFactory(name="Crystals", crystals=True, purity=0.98, bulk_density_g_per_ml=1.15)

    form = member.get(url("change_material", salt.pk)).context["form"]
    known = {name: form[name].value() for name in SALT}
    posted(member, url("change_material", salt.pk), **known | {"reorder_level": "2 kg"})

    salt.refresh_from_db()
    assert salt.reorder_level == 2_000_000
    assert (salt.purity, salt.bulk_density_g_per_ml) == (0.98, pytest.approx(1.15))


def test_a_material_goes_on_being_measured_as_it_was(member):
    salt = MaterialFactory(name="Crystals", crystals=True)

    response = posted(member, url("change_material", salt.pk), **SALT | {"shown_unit": "L", "reorder_level": ""})

    assert "not one of the available choices" in refused(response)["shown_unit"]


def test_a_new_place_is_written_down(member):
    posted(member, url("new_place"), name="Plate rack", kind=Place.Kind.SHELF)

    assert Place.objects.get().name == "Plate rack"


def test_a_place_that_is_there_already_is_refused(member):
    PlaceFactory(name="Plate rack")

    response = posted(member, url("new_place"), name="plate rack", kind=Place.Kind.SHELF)

    assert "There is a place called plate rack already" in refused(response)["name"]


# who may look


@pytest.mark.parametrize("name", ["shelf", "receive", "use", "new_material", "new_place"])
def test_strangers_learn_nothing_of_the_shelf(stranger, name):
    assert stranger.get(url(name)).headers["Location"].startswith(reverse("people:sign_in"))


@pytest.mark.parametrize("name", ["container", "use", "count", "move"])
def test_strangers_learn_nothing_of_a_container(stranger, name):
    jar = stocked("500 g")

    assert stranger.get(url(name, jar.code)).status_code == 302
    assert posted(stranger, url(name, jar.code), amount="5 g").status_code == 302
    assert Entry.objects.count() == 1


@pytest.mark.parametrize("name", ["material", "receive", "change_material"])
def test_strangers_learn_nothing_of_a_material(stranger, name):
    assert stranger.get(url(name, MaterialFactory().pk)).status_code == 302


@pytest.mark.parametrize("name", ["use", "count", "move"])
def test_looking_writes_nothing(member, name):
    jar = stocked("500 g", at=0)

    assert member.get(url(name, jar.code), {"amount": "5 g"}).status_code == 200
    assert list(Entry.objects.values_list("happened_at", flat=True)) == [day(0)]


@pytest.mark.parametrize("page_of", ["container", "use", "move"])
def test_the_pages_of_a_container_open_under_its_code_however_it_is_typed(member, page_of):
    jar = stocked("500 g")

    assert member.get(url(page_of, jar.code.lower())).status_code == 200


def test_saying_no_to_a_salt_costs_a_reason_that_stays_in_the_log(member):
    response = posted(member, url("new_material"), **SALT | {"bath_use": "none"}, note="copper sulfate test strips")

    assert response.status_code == 302
    assert "copper sulfate test strips" in member.get(reverse("book:book")).content.decode()
