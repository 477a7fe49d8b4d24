"""What is known of a thing is changed on its page, told there with what it was, and comes back by a strike."""

from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Entry, FactChange, Material, Person, Place
from studio.baths.models import Bath
from studio.people import invitations
from studio.people.models import Contact
from studio.workshop.models import Workshop
from tests.factories import BathFactory, MaterialFactory, PersonFactory, adopted, signed, stocked
from tests.studio.orders.shop import PackFactory

pytestmark = pytest.mark.django_db


def sent(browser, page, *args, **typed):
    """The page's own form with some answers changed; the entry it wrote."""
    url = reverse(page, args=args)
    form = browser.get(url).context["form"]
    known = {}
    for bound in form:
        value = bound.value()
        shown = bound.field.prepare_value(value) if value is not None else ""
        if isinstance(shown, (list, tuple)) and hasattr(bound.field.widget, "widgets"):
            known |= {
                f"{bound.name}_{number}": part for number, part in enumerate(bound.field.widget.decompress(shown))
            }
        elif shown not in (None, False):
            known[bound.name] = shown
    response = browser.post(url, known | {"key": uuid4()} | typed)
    assert response.status_code == 302, response.context["form"].errors
    return Entry.objects.latest("pk")


def told(browser, url):
    return browser.get(url).content.decode().replace("\u00a0", " ")


def struck_again(browser, entry):
    browser.post(reverse("book:strike", args=[entry.pk]), {"reason": "a slip", "key": uuid4()})
    entry.refresh_from_db()
    assert entry.is_struck


def says(browser, thing_url, entry, change):
    """The thing's page tells the change under its number, and so does the entry's; struck it is told struck."""
    page = told(browser, thing_url)
    assert "1 change since" in page and change in page
    assert change.partition(": ")[2] in told(browser, entry.get_absolute_url())
    struck_again(browser, entry)
    page = told(browser, thing_url)
    assert "1 change since" in page and "<del><a" in page and "a slip" in page


def test_a_materials_page_tells_what_changed(keyholder):
    thinner = MaterialFactory(name="Thinner", flash_point_c=-4, category="Solvents and thinners", lead_time_days=5)
    assert 'class="working history"' not in told(keyholder, thinner.get_absolute_url())

    entry = sent(keyholder, "shelf:change_material", thinner.pk, flash_point_c="12", composition="Acetone 20-30")

    assert {line.field for line in entry.fact_changes.all()} == {"flash_point_c", "composition"}
    page = told(keyholder, thinner.get_absolute_url())
    assert "2 changes since" in page
    assert "Flash point: -4 °C → 12 °C" in page
    assert "Made of: not written down → Acetone 20–30 %" in page
    struck_again(keyholder, entry)
    thinner.refresh_from_db()
    assert (thinner.flash_point_c, thinner.composition) == (-4, [])


def test_a_places_page_tells_what_changed(keyholder):
    place = stocked("100 g").place

    entry = sent(keyholder, "shelf:limit", place.pk, flammables_limit_ul="50 L")

    says(keyholder, place.get_absolute_url(), entry, "Limit of flammable liquid: the default → 50 L")
    assert Place.objects.get(pk=place.pk).flammables_limit_ul is None


def test_a_jars_page_tells_what_changed(keyholder):
    jar = stocked("1 kg", crystals=True)

    entry = sent(keyholder, "shelf:weigh_cup", jar.code, cup_g="250")

    says(keyholder, jar.get_absolute_url(), entry, "Bulk density: not written down → 1 g/mL")
    jar.refresh_from_db()
    assert jar.bulk_density_g_per_ml is None


def test_a_suppliers_page_tells_what_changed_of_it_and_of_its_packs(keyholder):
    pack = PackFactory(price_cents=900)
    url = pack.supplier.get_absolute_url()

    sent(keyholder, "orders:change_supplier", pack.supplier_id, usual_days="3", worst_days="9")
    entry = sent(keyholder, "orders:change_pack", pack.pk, price_cents="9.50")

    page = told(keyholder, url)
    assert "3 changes since" in page
    assert "Days as a rule: not written down → 3" in page and "price: 9.00 → 9.50" in page
    struck_again(keyholder, entry)
    pack.refresh_from_db()
    assert pack.price_cents == 900


def test_a_tanks_page_tells_what_changed_and_a_strike_raises_its_revision(keyholder):
    bath = adopted(at=-1)
    entry = sent(keyholder, "baths:change", bath.pk, rim_l_0="15", rim_l_1="L")
    bath.refresh_from_db()
    revision = bath.revision

    says(keyholder, bath.get_absolute_url(), entry, "Volume to the rim: 13 L → 15 L")

    bath.refresh_from_db()
    assert (bath.rim_l, bath.revision) == (13, revision + 1)


def test_a_tanks_figures_are_told_in_the_studios_units(keyholder, studio):
    Workshop._base_manager.update(temperature="°F", strength="°Bé")
    bath = adopted(at=-1)

    sent(keyholder, "baths:change", bath.pk, coldest_c="50", range_high_g_per_l="17")

    page = told(keyholder, bath.get_absolute_url())
    assert "Coldest the room gets: 53.6 °F → 50 °F" in page
    assert "Working range to: 20.31 °Bé → 17 °Bé" in page


def test_a_tank_sent_again_unchanged_changes_nothing(keyholder):
    tank = BathFactory(rim_l=13.0123, fill_l=12.3456)

    response = keyholder.post(reverse("baths:change", args=[tank.pk]), {"key": uuid4()} | unchanged(keyholder, tank))

    assert "Nothing is different yet" in response.content.decode(), list(FactChange.objects.values())
    assert not FactChange.objects.exists() and Bath.objects.get().rim_l == 13.0123


def unchanged(browser, tank):
    form = browser.get(reverse("baths:change", args=[tank.pk])).context["form"]
    known = {}
    for bound in form:
        value = bound.value()
        if isinstance(value, (list, tuple)) and bound.name != "marks":
            known |= {f"{bound.name}_{number}": part for number, part in enumerate(value)}
        elif value not in (None, False):
            known[bound.name] = bound.field.prepare_value(value)
    return known


def test_a_persons_page_tells_how_the_role_changed(keyholder):
    person = PersonFactory()

    entry = sent(keyholder, "people:role", person.pk, role="viewer")

    says(keyholder, reverse("people:person", args=[person.pk]), entry, "May use the book as: Member → Viewer")
    assert Person.objects.get(pk=person.pk).role == "member"


def test_whoever_left_by_mistake_signs_in_again_when_it_is_struck(keyholder, member):
    entry = sent(keyholder, "people:left", member.person.pk, left_on="2026-03-01")
    assert member.get(reverse("bench:bench")).status_code == 302

    says(keyholder, reverse("people:person", args=[member.person.pk]), entry, "Left on: still here → 1 March 2026")

    assert Person.objects.get(pk=member.person.pk).signs_in


def test_a_role_that_came_with_an_invitation_goes_with_it_and_can_be_given_again(keyholder):
    person = PersonFactory(role="")
    entry, _ = invitations.invite([person], role="member", by=signed(1))

    struck_again(keyholder, entry)

    person.refresh_from_db()
    assert not person.signs_in
    sent(keyholder, "people:role", person.pk, role="member")
    person.refresh_from_db()
    assert person.signs_in


def test_how_somebody_is_reached_comes_back_by_a_strike_and_is_told_nowhere_else(keyholder):
    person = PersonFactory()
    sent(keyholder, "people:contact", person.pk, telephone="0123 456", email="")
    entry = sent(keyholder, "people:contact", person.pk, telephone="0999 999", email="")
    assert Contact.objects.current(person).telephone == "0999 999"

    struck_again(keyholder, entry)

    assert Contact.objects.current(person).telephone == "0123 456"
    assert "0999" not in told(keyholder, entry.get_absolute_url())


def test_the_studios_page_tells_what_changed(keyholder):
    entry = sent(keyholder, "workshop:change", region="us")

    says(keyholder, reverse("workshop:studio"), entry, "Region: elsewhere → United States")
    assert Workshop.objects.get().region == "elsewhere"


def test_a_change_dated_before_another_counts_for_its_own_time_only(keyholder, today):
    thinner = MaterialFactory(lead_time_days=3)
    today(10)
    sent(keyholder, "shelf:change_material", thinner.pk, lead_time_days="9")
    sent(keyholder, "shelf:change_material", thinner.pk, lead_time_days="5", happened_at="2026-03-06T10:00")

    assert Material.objects.get(pk=thinner.pk).lead_time_days == 9
    page = told(keyholder, thinner.get_absolute_url())
    assert "3 → 5" in page and "5 → 9" in page
