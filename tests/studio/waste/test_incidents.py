"""One report puts bath, shelf and drums right, and stands or is struck as a whole."""

from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.book import strike
from inventory.models import Container, Entry
from inventory.refusals import Refused
from studio.baths import estimate
from studio.waste import content, incidents
from studio.waste.models import Deposit, FollowUp, Incident
from tests.factories import PersonFactory, adopted, day, signed, stocked
from tests.studio.waste.shop import drum, reported

pytestmark = pytest.mark.django_db

MOST_QUERIES = 10
COPPER_PER_BLUE = 0.2545  # 63.546 / 249.685, IUPAC standard atomic weights


def post(browser, page="report", *args, **typed):
    return browser.post(reverse(f"waste:{page}", args=args), {"key": uuid4()} | typed)


def told(browser, **typed):
    return post(browser, **{"kind": "spill", "what_happened": "The jug tipped over."} | typed)


def errors(response, field):
    return " ".join(response.context["form"].errors.get(field, []))


@pytest.fixture
def shop():
    """A bath, granules on the shelf, and a drum for what they take up."""
    return {
        "bath": adopted(strength_g_per_l=240),
        "granules": stocked("5 kg", name="Granules"),
        "solids": drum("rags_copper", name="W3"),
    }


def spill_of_bath(shop, **more):
    return {
        "bath": shop["bath"].pk,
        "litres_0": "0.6",
        "litres_1": "L",
        "taken_up_0": "0.5",
        "taken_up_1": "L",
        "absorbent": shop["granules"].pk,
        "absorbent_amount": "900 g",
        "drum": shop["solids"].pk,
    } | more


def test_one_report_corrects_bath_shelf_and_drum_in_one_entry(member, shop):
    before = Entry.objects.count()

    response = told(member, **spill_of_bath(shop))

    incident = Incident.objects.get()
    assert response.headers["Location"] == incident.get_absolute_url()
    assert Entry.objects.count() == before + 1
    assert estimate.at_moment(shop["bath"]).volume_l == pytest.approx(11.4)
    assert Container.objects.get(pk=shop["granules"].pk).on_hand == 4_100_000
    in_drum = content.content_of_drum(shop["solids"])
    assert in_drum.copper.value == pytest.approx(0.5 * 240 * COPPER_PER_BLUE, rel=0.01)
    assert in_drum.mass.value == pytest.approx(900 + 0.5 * 1100, rel=0.01)


def test_a_report_is_struck_as_a_whole(member, shop):
    told(member, **spill_of_bath(shop))

    strike(Incident.objects.get().entry, by=signed(5), reason="it was the other bath")

    assert estimate.at_moment(shop["bath"]).volume_l == pytest.approx(12)
    assert Container.objects.get(pk=shop["granules"].pk).on_hand == 5_000_000
    assert content.content_of_drum(shop["solids"]).deposits == []
    assert not Incident.objects.still_open().exists()
    assert "It counts no more" in member.get(Incident.objects.get().get_absolute_url()).content.decode()


def test_a_double_tap_reports_once(member, shop):
    key = uuid4()

    for _ in range(2):
        response = told(member, key=key, **spill_of_bath(shop))

    assert response.status_code == 302
    assert Incident.objects.count() == Deposit.objects.count() == 1


def test_a_tin_of_solvent_needs_no_bath(member):
    tin, bin_ = (
        stocked("1 L", dimension="volume", shown_unit="mL", category="Solvents and thinners"),
        drum("solvent_spent", vessel="safety_can", name="W2"),
    )

    told(member, container=tin.pk, container_amount="200 mL", drum=bin_.pk)

    deposit = Deposit.objects.get()
    assert (deposit.kind, deposit.litres, deposit.container) == ("solvent_spent", 0.2, tin)
    assert Container.objects.get(pk=tin.pk).on_hand == 800_000
    assert deposit.entry.kind == "spill"


def test_bath_never_goes_into_the_drum_for_solvent(keyholder, shop):
    solvent = drum("solvent_spent", vessel="safety_can", name="W2")

    response = told(
        keyholder, bath=shop["bath"].pk, litres_0="0.6", litres_1="L", drum=solvent.pk, reason="there was no other"
    )

    assert response.status_code == 200 and errors(response, "drum")
    assert not Incident.objects.exists()
    assert estimate.at_moment(shop["bath"]).volume_l == pytest.approx(12)


def test_a_reason_stays_in_the_note_where_nothing_went_into_a_drum(keyholder, shop):
    told(keyholder, **spill_of_bath(shop, drum="", reason="the pail was full"))

    assert Incident.objects.get().entry.note == "the pail was full"


def test_a_power_fault_takes_nothing_from_anything(member):
    told(member, kind="power", what_happened="The breaker went at four.")

    incident = Incident.objects.get()
    assert incident.entry.kind == "incident"
    assert "Nothing of bath, shelf or drums" in member.get(incident.get_absolute_url()).content.decode()


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"what_happened": ""}, "what_happened", "Needed: fill this in"),
        ({"litres_0": "half a jug"}, "litres", "is not an amount"),
        ({"litres_0": "50"}, "litres", "Only 12 L is in the bath"),
        ({"litres_0": ""}, "litres", "Say how much; a guess will do"),
        ({"bath": ""}, "bath", "Which bath was it?"),
        ({"taken_up_0": "2"}, "taken_up", "That is more than was spilled"),
        ({"absorbent_amount": "9 kg"}, "absorbent_amount", "Only 5000 g"),
        ({"absorbent_amount": "some"}, "absorbent_amount", "is not an amount"),
        ({"absorbent": ""}, "absorbent", "Out of which container?"),
        ({"happened_at": "2199-01-01T10:00"}, "happened_at", "has not come yet"),
    ],
)
def test_bad_input_has_its_own_sentence_and_nothing_is_half_written(member, shop, typed, field, sentence):
    before = Entry.objects.count()

    response = told(member, **spill_of_bath(shop) | typed)

    assert sentence in errors(response, field)
    assert Entry.objects.count() == before
    assert estimate.at_moment(shop["bath"]).volume_l == pytest.approx(12)


def test_first_aid_comes_before_any_typing(member):
    page = member.get(reverse("waste:report")).content.decode()

    main = page[page.index("<main") :]
    assert main.index("In an eye") < main.index("<form")
    assert reverse("first_aid") in main[: main.index("<form")]


def test_the_page_of_a_bath_leads_to_a_report_about_it(member, shop):
    bath = shop["bath"]

    shown = member.get(bath.get_absolute_url()).content.decode()
    form = member.get(f"{reverse('waste:report')}?bath={bath.pk}").context["form"]

    assert f'href="{reverse("waste:report")}?bath={bath.pk}"' in shown
    assert form["bath"].value() == str(bath.pk)


# who was hurt


@pytest.fixture
def splash():
    return reported(kind="hurt", hurt=PersonFactory(name="Ilse Quist"), injury="left eye, rinsed for 20 minutes")


def test_who_was_hurt_is_not_for_everybody(member, splash):
    addresses = (
        splash.get_absolute_url(),
        splash.entry.get_absolute_url(),
        *map(reverse, ("waste:incidents", "bench:bench")),
    )
    shown = "".join(member.get(address).content.decode() for address in addresses)
    written = b"".join(member.get(reverse("book:book_csv")).streaming_content).decode()

    for private in ("Ilse Quist", "left eye"):
        assert private not in shown and private not in written
    assert "between them and the keyholders" in shown


def test_keyholders_read_who_was_hurt(keyholder, splash):
    shown = keyholder.get(splash.get_absolute_url()).content.decode()

    assert "Ilse Quist" in shown and "left eye, rinsed for 20 minutes" in shown


def test_whoever_reads_who_was_hurt_stands_in_the_log(keyholder, member, splash, caplog):
    caplog.set_level("INFO", "studio.door")
    nobody_hurt = reported(kind="power", what_happened="The breaker went at four.")
    account = f"account {keyholder.person.account.pk} from 127.0.0.1"
    everything = reverse("bench:everything")

    for browser in (keyholder, member):
        for address in (splash.get_absolute_url(), nobody_hurt.get_absolute_url(), everything):
            answer = browser.get(address)
            if answer.streaming:
                b"".join(answer.streaming_content)

    assert [record.getMessage() for record in caplog.records if record.getMessage().startswith("read")] == [
        f"read who was hurt in incident {splash.pk}: {account}",
        f"read who was hurt in any incident, and whatever else the book holds: {account}",
    ]


def test_those_who_were_hurt_read_it_themselves(member):
    own = reported(kind="hurt", hurt=member.person, injury="left eye")

    assert "left eye" in member.get(own.get_absolute_url()).content.decode()


# following it up


def test_an_incident_is_open_until_a_keyholder_closes_it(keyholder, splash):
    post(keyholder, "follow_up", splash.pk, words="Saw a doctor; nothing left.", closes="on")

    assert not Incident.objects.still_open().exists()
    assert "Saw a doctor" in keyholder.get(splash.get_absolute_url()).content.decode()


def test_a_member_follows_up_but_does_not_close(member, splash):
    post(member, "follow_up", splash.pk, words="Put the lid back.", closes="on")

    assert FollowUp.objects.get().closes is False
    assert Incident.objects.still_open().exists()


def test_what_is_closed_is_not_closed_twice(splash):
    incidents.follow_up(splash, words="Done.", closes=True, by=signed(2))

    with pytest.raises(Refused, match="closed already"):
        incidents.follow_up(splash, words="Done.", closes=True, by=signed(3))


def test_nothing_follows_before_it_happened(splash):
    with pytest.raises(Refused, match="before it happened"):
        incidents.follow_up(splash, words="Done.", by=signed(0))


def test_a_closing_that_is_struck_opens_it_again(splash):
    closing = incidents.follow_up(splash, words="Done.", closes=True, by=signed(2))

    strike(closing, by=signed(3), reason="too early")

    assert Incident.objects.still_open().exists()


def test_a_report_is_not_struck_under_what_followed_it(splash):
    later = incidents.follow_up(splash, words="New goggles bought.", by=signed(2))

    with pytest.raises(Refused, match="Later lines rest on this one"):
        strike(splash.entry, by=signed(3), reason="mine")
    strike(later, by=signed(3), reason="mine")
    strike(splash.entry, by=signed(3), reason="mine")


def test_the_book_leads_to_the_report(splash):
    assert [(each.what, each.how) for each in splash.entry.changes()] == [("Report", "The jug tipped over.")]


# what no drum took yet


def test_what_no_drum_fits_is_kept_in_words_and_waits_until_it_is_in_one(member, shop):
    told(member, **spill_of_bath(shop, drum="", waits_for_drum="on"))
    incident = Incident.objects.get()
    assert "900 g of Granules with what it took up" in incident.gathered and "0.5 L" in incident.gathered
    assert incident.gathered in member.get(incident.get_absolute_url()).content.decode()
    [waits] = [item for item in incidents.action_items() if item.word == "in no drum"]
    assert incident.gathered in waits.sentence and waits.url == reverse("waste:follow_up", args=[incident.pk])

    post(member, "follow_up", incident.pk, words="A pail came.", drum=shop["solids"].pk)

    deposit = Deposit.objects.get()
    event = incident.entry.bath_events.get()
    assert (deposit.drum, deposit.event, deposit.kind) == (shop["solids"], event, "rags_copper")
    assert not incidents.waiting().exists()
    assert content.content_of_drum(shop["solids"]).copper.value > 0
    strike(deposit.entry, by=signed(9), reason="the other pail")
    assert list(incidents.waiting()) == [incident]


def test_what_went_into_no_drum_of_the_book_keeps_its_words(member, shop):
    told(member, **spill_of_bath(shop, drum=""))

    incident = Incident.objects.get()
    assert "900 g of Granules" in incident.gathered and not incidents.waiting().exists()
    assert "drum" not in member.get(reverse("waste:follow_up", args=[incident.pk])).context["form"].fields


def test_an_amount_for_no_drum_is_asked_about(member, shop):
    response = told(member, **spill_of_bath(shop, drum="", drum_amount_0="3", drum_amount_1="L"))

    assert "does it wait for one" in errors(response, "drum")


# pages


def test_each_page_asks_the_database_few_questions(member, shop, django_assert_max_num_queries):
    told(member, **spill_of_bath(shop))
    incident = Incident.objects.get()

    for page, args in (("report", []), ("incidents", []), ("incident", [incident.pk]), ("follow_up", [incident.pk])):
        with django_assert_max_num_queries(MOST_QUERIES):
            assert member.get(reverse(f"waste:{page}", args=args)).status_code == 200


def test_the_list_says_what_is_open_and_what_happened_when(member, splash, today):
    today(3)
    incidents.follow_up(reported(at=2), words="Mopped.", closes=True, by=signed(2.5))

    shown = member.get(reverse("waste:incidents")).content.decode()

    assert shown.index("Still open") < shown.index("All reports")
    assert splash.get_absolute_url() in shown
    assert day(1).strftime("%-d %B %Y") in shown
