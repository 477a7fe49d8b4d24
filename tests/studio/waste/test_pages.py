"""Every page of the drums: it works, refuses strangers, explains itself and writes a double tap once."""

import re
from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from pypdf import PdfReader

from chemistry.waste.streams import STREAMS, may_give_off_gas
from inventory.book import strike
from inventory.models import Entry
from studio.waste import content, descriptions
from studio.waste.models import Deposit, Drum, Inspection
from studio.waste.operations import Allowance
from studio.waste.views import reading
from tests.factories import PlaceFactory, adopted, bitten, signed, stocked
from tests.studio.cathodes.shop import bite, hung
from tests.studio.printing.test_uploaded_pdf import sheet
from tests.studio.waste.shop import drum, put

pytestmark = pytest.mark.django_db

MOST_QUERIES, MOST_QUERIES_ONCE_KEPT = 16, 5
NEW = {"name": "W9", "kind": "rinse", "vessel": "hdpe", "is_vented": "closed"}
HOLDS = {"capacity_l_0": "20", "capacity_l_1": "L"}
ASKED = {
    "deposit": {"amount_0": "4,5", "amount_1": "L", "kind": "rinse"},
    "look_over": {"found": "fine", "full_percent": "30"},
    "weigh": {"gross_g_0": "6.2", "gross_g_1": "kg", "half_width_g": "50"},
    "weigh_empty": {"tare_g_0": "1.2", "tare_g_1": "kg"},
    "test": {"quantity": "cu_mg_per_l", "figure": "100 to 300", "how": "strip"},
}


def url(page, *args):
    return reverse(f"waste:{page}", args=args)


def post(browser, page, *args, **typed):
    return browser.post(url(page, *args), {"key": uuid4()} | typed)


def errors(response, field):
    return " ".join(response.context["form"].errors.get(field, []))


@pytest.fixture
def rinse():
    """A drum with 5 L of rinse in it."""
    begun = drum("rinse", tare_g=1000)
    put(begun, 5, at=1)
    return begun


@pytest.mark.parametrize("page", ASKED)
def test_a_page_writes_one_entry_and_goes_on_to_the_drum(member, rinse, page):
    before = Entry.objects.count()

    response = post(member, page, rinse.pk, **ASKED[page])

    assert (response.status_code, response.headers.get("Location")) == (302, rinse.get_absolute_url())
    assert Entry.objects.count() == before + 1
    assert Entry.objects.latest("pk").done_by == member.person


@pytest.mark.parametrize("page", ASKED)
def test_a_double_tap_writes_once(member, rinse, page):
    before, key = Entry.objects.count(), uuid4()

    for _ in range(2):
        member.post(url(page, rinse.pk), {"key": key} | ASKED[page])

    assert Entry.objects.count() == before + 1


@pytest.mark.parametrize("page", ASKED)
def test_an_empty_form_is_explained_and_nothing_is_written(member, rinse, page):
    before = Entry.objects.count()

    response = post(member, page, rinse.pk)

    assert "Nothing was written yet" in response.content.decode()
    assert Entry.objects.count() == before


@pytest.mark.parametrize("page", [*ASKED, "pour_over", "drum"])
def test_a_page_opens_with_few_questions_to_the_database(member, rinse, django_assert_max_num_queries, page):
    post(member, "look_over", rinse.pk, **ASKED["look_over"])
    post(member, "test", rinse.pk, **ASKED["test"])

    with django_assert_max_num_queries(MOST_QUERIES):
        assert member.get(url(page, rinse.pk)).status_code == 200


def test_the_list_asks_no_more_for_many_drums(member, rinse, django_assert_max_num_queries):
    for number in range(2, 12):
        put(drum("rinse", name=f"W{number}"), 3, at=2)

    with django_assert_max_num_queries(MOST_QUERIES):
        member.get(url("drums"))
    with django_assert_max_num_queries(MOST_QUERIES_ONCE_KEPT):
        member.get(url("drums"))


def test_a_drum_that_is_not_in_order_says_so_on_its_page_until_it_is_put_right(member, rinse):
    post(member, "look_over", rinse.pk, **ASKED["look_over"] | {"found": "wrong"})

    for page in (rinse.get_absolute_url(), url("drums")):
        assert "not in order" in member.get(page).content.decode()
    post(member, "look_over", rinse.pk, **ASKED["look_over"] | {"found": "seen to"})
    for page in (rinse.get_absolute_url(), url("drums")):
        assert "not in order" not in member.get(page).content.decode()


def test_own_words_stand_beside_how_much_of_what(member, rinse):
    post(member, "deposit", rinse.pk, **ASKED["deposit"], words="Tuesday")

    assert Deposit.objects.latest("pk").words == "4.5 L of plate rinse water (Tuesday)"
    assert "4.5 L of plate rinse water (Tuesday)" in Entry.objects.latest("pk").subject


def test_a_closed_lid_is_asked_about_beside_the_lid(keyholder):
    cleaner = NEW | HOLDS | {"kind": "cleaner_used", "place": PlaceFactory().pk}

    asked = post(keyholder, "start_drum", **cleaner)
    post(keyholder, "start_drum", **cleaner, reason="it is left open the first day")

    assert "Say why it goes in all the same" in errors(asked, "is_vented")
    assert next(asked.context["form"].folded)["is_refused"]
    assert Drum.objects.get().reason == "it is left open the first day"


def test_what_has_to_be_said_is_not_called_optional(member, rinse):
    cleaner = drum("cleaner_used", name="W2")

    asked = [member.get(url("deposit", each.pk)).context["form"]["amount"].field.required for each in (rinse, cleaner)]

    assert asked == [True, False]  # cleaner may be counted by the plates that it brightened


def test_a_drum_is_kept_until_something_is_written(member, rinse, django_assert_max_num_queries):
    member.get(url("drum", rinse.pk))

    with django_assert_max_num_queries(MOST_QUERIES_ONCE_KEPT):
        member.get(url("drum", rinse.pk))


def test_what_went_in_long_ago_stands_in_the_waste_log(member, rinse, monkeypatch):
    monkeypatch.setattr(reading, "MOST_DEPOSITS", 2)
    for number, day in enumerate((1, 2, 3)):
        put(rinse, 0.5, at=day, called=f"rinse number {number}")

    shown = member.get(rinse.get_absolute_url()).content.decode()

    assert [f"number {number}" in shown for number in range(3)] == [False, True, True]
    [log] = re.findall(r'\b2\s+earlier ones\s+stand in\s+<a href="([^"]+)">', shown)
    assert "rinse number 0" in member.get(log).content.decode()


def test_a_new_drum_opens_its_page(member):
    response = post(member, "start_drum", **NEW, **HOLDS, place=PlaceFactory().pk, tare_g_0="1,15", tare_g_1="kg")

    made = Drum.objects.get()
    assert response.headers["Location"] == made.get_absolute_url()
    assert (made.capacity_l, made.tare_g, made.is_vented) == (20, 1150, False)
    assert "its start date" in member.get(made.get_absolute_url()).content.decode()


def test_a_rinse_is_written_as_what_dripped_off_plates(member, rinse):
    bitten(adopted(), at=2)

    post(member, "deposit", rinse.pk, **ASKED["deposit"])

    written = Deposit.objects.latest("pk")
    assert (written.source, written.litres) == (Deposit.Source.RINSE, 4.5)
    assert content.content_of_drum(rinse).copper is None  # of the first 5 L nobody said that they are rinse


def test_a_rinse_drum_says_what_waits_in_the_tray(member, rinse):
    bath = adopted()
    post(member, "deposit", rinse.pk, **ASKED["deposit"], happened_at="2026-03-04T10:00")
    bitten(bath, at=3, ml_each=8)

    shown = member.get(url("deposit", rinse.pk)).content.decode()

    assert "Since the rinse was last emptied 1 plate has carried about 0.5 ± 0.2 g of copper" in shown
    assert "that is 98 mg/L; limits of sewers that were read run from 0.06 to 6 mg/L" in shown


def test_the_plates_that_met_the_cleaner_are_offered(member):
    bath, into = adopted(), drum("cleaner_used")
    put(into, 0.5, at=2, source="cleaner", pieces=4)
    for at in (1, 3, 4):
        bitten(bath, at=at)

    assert member.get(url("deposit", into.pk)).context["form"]["pieces"].value() == 2


@pytest.mark.parametrize(
    ("kind", "vessel", "pieces", "source"),
    [("cleaner_used", "hdpe", 12, "cleaner"), ("rags_copper", "lined_pail", 2, "towels")],
)
def test_what_can_only_be_guessed_is_counted_and_its_guess_written_down(member, kind, vessel, pieces, source):
    into = drum(kind, vessel=vessel)

    post(member, "deposit", into.pk, amount_0="500", amount_1="mL", kind=kind, pieces=pieces)

    written = Deposit.objects.get()
    assert (written.source, written.pieces) == (source, pieces)
    assert written.copper_g == pytest.approx(pieces * (0.05 if source == "cleaner" else 0.12))
    assert written.copper_sd_g > 0.4 * written.copper_g


@pytest.mark.parametrize(
    ("page", "typed", "field", "sentence"),
    [
        ("deposit", {"amount_0": "14"}, "amount", "W1 takes 13 L more"),
        ("deposit", {"amount_0": "lots"}, "amount", "is not an amount"),
        ("deposit", {"amount_0": "5000"}, "amount", "more than a studio has in a drum"),
        ("deposit", {"kind": "cleaner_used"}, "kind", "Chloride in the bath"),
        ("deposit", {"kind": "bath_spent"}, "reason", "Only a keyholder may allow it"),
        ("deposit", {"happened_at": "2020-01-01T10:00"}, "happened_at", "was set up later"),
        ("deposit", {"happened_at": "2199-01-01T10:00"}, "happened_at", "has not come yet"),
        ("look_over", {"full_percent": "140"}, "full_percent", "140 is outside 0 to 100 %"),
        ("weigh", {"gross_g_0": "0.5"}, "gross_g", "Empty it weighs 1 kg"),
        ("test", {"figure": "300 to 100"}, "figure", "begins with its larger end"),
        ("test", {"quantity": "ph", "figure": "70"}, "figure", "It lies between -2 and 16"),
        ("test", {"how": "lab"}, "report", "A laboratory gives a report"),
    ],
)
def test_bad_input_has_its_own_sentence_and_is_kept(member, rinse, page, typed, field, sentence):
    before = Entry.objects.count()

    response = post(member, page, rinse.pk, **ASKED[page] | typed)

    assert sentence in errors(response, field)
    assert Entry.objects.count() == before


def test_what_a_drum_does_not_take_is_led_to_one_that_does(member, rinse):
    right = drum("cleaner_used", name="W7")

    shown = post(member, "deposit", rinse.pk, **ASKED["deposit"] | {"kind": "cleaner_used"}).content.decode()

    for address in (url("deposit", right.pk), f"{url('start_drum')}?kind=cleaner_used", url("report")):
        assert f'href="{address}"' in shown


def test_a_jar_called_something_else_is_led_to_the_drum_for_what_it_is(member):
    jar = stocked("1 L", dimension="volume", shown_unit="mL", storage_group="bleach")
    cleaner, right = drum("cleaner_used", name="W4"), drum("bleach", name="W8")

    response = post(member, "discard", jar.code, amount="500 mL", into=cleaner.pk, kind="cleaner_used")

    assert "Chlor" in errors(response, "into")
    assert [each.name for each in response.context["form"].elsewhere] == [right.name]
    assert f'href="{url("deposit", cleaner.pk)}"' not in response.content.decode()


def test_the_page_of_all_drums_leads_on(keyholder, rinse):
    shown = keyholder.get(url("drums")).content.decode()

    pages = ("disposals", "hand_over", "log", "months", "incidents", "advice", "rule_sets", "calendar", "balance")
    assert [page for page in pages if f'href="{url(page)}"' not in shown] == []


def test_a_keyholder_may_let_another_kind_in_who_says_why(keyholder, rinse):
    asked = post(keyholder, "deposit", rinse.pk, **ASKED["deposit"] | {"kind": "bath_spent"})
    assert "Say why it goes in all the same" in errors(asked, "reason")

    post(keyholder, "deposit", rinse.pk, **ASKED["deposit"] | {"kind": "bath_spent"}, reason="the last of the old bath")

    assert "the last of the old bath" in keyholder.get(rinse.get_absolute_url()).content.decode()


def test_a_test_goes_before_what_the_deposits_add_up_to(member, rinse):
    post(member, "test", rinse.pk, **ASKED["test"])

    now = content.content_of_drum(rinse)
    assert now.copper_per_l.value == pytest.approx(200)
    assert now.copper.value == pytest.approx(1.0)


def test_one_figure_of_a_meter_is_read_without_digits_that_nobody_measured(member, rinse):
    post(member, "deposit", rinse.pk, **ASKED["deposit"] | {"amount_0": "3.7854", "amount_1": "L"})
    post(member, "test", rinse.pk, **ASKED["test"] | {"figure": "320", "how": "meter"})

    figures = descriptions.DrumDescription(content.content_of_drum(rinse)).figures

    assert {figure.name: str(figure.shown) for figure in figures}["Copper, by volume"] == "320\u00a0mg/L"


def test_a_laboratorys_report_is_kept_and_handed_over(member, rinse):
    post(
        member,
        "test",
        rinse.pk,
        **ASKED["test"] | {"how": "lab", "figure": "740"},
        report=SimpleUploadedFile("lab.pdf", sheet()),
    )

    result = rinse.test_results.get()
    response = member.get(url("report_of_test", result.pk))
    assert b"".join(response.streaming_content) == sheet()
    assert "attachment" in response.headers["Content-Disposition"]
    assert url("report_of_test", result.pk) in member.get(rinse.get_absolute_url()).content.decode()


def test_a_weighing_tells_what_is_in_it(member, rinse):
    post(member, "weigh", rinse.pk, **ASKED["weigh"])

    assert content.content_of_drum(rinse).mass.value == pytest.approx(5200)


def test_how_full_somebody_saw_it_goes_before_the_litres(member, rinse):
    post(member, "look_over", rinse.pk, **ASKED["look_over"] | {"full_percent": "80"})

    now = content.content_of_drum(rinse)
    assert now.full_percent == 80
    assert Inspection.objects.get().found == "fine"
    assert "nearly full" in member.get(url("drums")).content.decode()


def test_what_is_poured_over_takes_its_copper_along(member, rinse):
    post(member, "test", rinse.pk, **ASKED["test"])
    other = drum("rinse", name="W2")

    response = post(member, "pour_over", rinse.pk, amount_0="2", amount_1="L", into=other.pk)

    assert response.headers["Location"] == rinse.get_absolute_url()
    assert content.content_of_drum(rinse).volume.value == pytest.approx(3)
    assert content.content_of_drum(rinse).copper.value == pytest.approx(0.6)
    assert content.content_of_drum(other).copper.value == pytest.approx(0.4)
    assert content.content_of_drum(other).copper_per_l.value == pytest.approx(200)


def test_no_more_is_poured_over_than_is_there(member, rinse):
    other = drum("rinse", name="W2")

    response = post(member, "pour_over", rinse.pk, amount_0="8", amount_1="L", into=other.pk)

    assert "W1 holds 5 L" in errors(response, "amount")


def test_a_bath_is_taken_out_into_a_drum_on_its_own_page(member):
    bath, into = adopted(), drum("bath_spent")

    shown = member.get(url("take_out", bath.pk)).content.decode()
    response = post(member, "take_out", bath.pk, told="jug", litres_0="2", litres_1="L", into=into.pk)

    assert "product in use until somebody decides" in shown
    assert response.headers["Location"] == bath.get_absolute_url()
    assert Deposit.objects.get().event.bath == bath


def test_what_went_down_a_drain_is_asked_about_and_then_written(member):
    bath = adopted()
    out = {"told": "jug", "litres_0": "0.5", "litres_1": "L", "where_to": "into the sink"}

    asked = post(member, "take_out", bath.pk, **out)
    assert "does not go into a sink" in errors(asked, "drained_anyway")
    assert url("report") in asked.content.decode()

    post(member, "take_out", bath.pk, **out, drained_anyway="on")
    assert Entry.objects.latest("pk").subject.endswith("0.5 L out, into the sink")


def test_a_straining_without_a_drum_for_its_towel_leads_to_one(member):
    shown = member.get(url("strain", adopted().pk)).content.decode()

    assert f'name="leave" value="{url("start_drum")}"' in shown


def test_what_is_taken_out_goes_somewhere(member):
    response = post(member, "take_out", adopted().pk, told="jug", litres_0="2", litres_1="L")

    assert "Say where it goes" in errors(response, "where_to")


def test_a_straining_puts_its_towel_into_the_drum_that_is_there(member):
    bath, into = adopted(), drum("rags_copper", vessel="lined_pail")
    assert member.get(url("strain", bath.pk)).context["form"]["into"].value() == into.pk

    towel = {"towel_g_0": "40", "towel_g_1": "g"}
    post(member, "strain", bath.pk, found="powder", litres_0="100", litres_1="mL", into=into.pk, **towel)

    assert (Deposit.objects.get().source, Deposit.objects.get().mass_g) == (Deposit.Source.STRAINED, 40)


def test_a_strip_goes_into_the_tin(member):
    cathode, tin = hung(), drum("cathode_copper", vessel="lidded_metal_can")
    bite(cathode, 12, at=1)

    scale = {"mass_g_0": "14", "mass_g_1": "g", "half_width_g": "0.1", "is_dry": "dry"}
    post(member, "strip", cathode.pk, **scale, metal_into=tin.pk)

    assert content.content_of_drum(tin).copper.value == 14


def test_a_jar_past_its_date_goes_into_a_drum(member):
    tin, into = (
        stocked("800 mL", dimension="volume", shown_unit="mL", storage_group="flammable"),
        drum("solvent_spent", vessel="safety_can"),
    )
    form = member.get(url("discard", tin.code)).context["form"]
    assert (form["amount"].value(), form["kind"].value()) == ("800 mL", "solvent_spent")

    response = post(member, "discard", tin.code, amount="800 mL", into=into.pk, kind="solvent_spent")

    tin.refresh_from_db()
    assert response.headers["Location"] == tin.get_absolute_url()
    assert (tin.on_hand, content.content_of_drum(into).volume.value) == (0, 0.8)


def test_an_entry_names_what_it_did_to_drums(member, rinse):
    look = post(member, "look_over", rinse.pk, **ASKED["look_over"])

    assert look.status_code == 302
    assert [(each.what, each.how) for each in Entry.objects.latest("pk").changes()] == [
        ("W1", "Closed, dry outside, its label can be read, 30 % full")
    ]
    assert rinse.entry.changes()[0].how == "set up for Plate rinse water"


def test_a_struck_drum_leads_to_why(member):
    empty = drum()
    strike(empty.entry, by=signed(2), reason="never bought")

    assert member.get(url("drum", empty.pk)).headers["Location"] == empty.entry.get_absolute_url()
    assert member.get(url("deposit", empty.pk)).status_code == 404


def test_a_new_studio_is_told_where_it_begins(member):
    shown = member.get(url("drums")).content.decode()

    assert "No drum is here yet" in shown and url("start_drum") in shown


def test_a_drum_that_nobody_can_add_up_says_so(member):
    rags = drum("rags_solvent", vessel="lidded_metal_can")
    post(member, "deposit", rags.pk, pieces="3", kind="rags_solvent")

    assert "needs info" in member.get(rags.get_absolute_url()).content.decode()


def test_a_spent_bath_is_offered_to_be_kept_first(member):
    shown = member.get(drum("bath_spent").get_absolute_url()).content.decode()

    assert "A working bath is a product in use until somebody decides otherwise" in shown


def test_a_label_is_one_page_that_says_what_it_is_and_since_when(member, rinse):
    response = member.get(url("label", rinse.pk))

    paper = PdfReader(BytesIO(response.content))
    words = paper.pages[0].extract_text()
    assert len(paper.pages) == 1
    assert all(said in words for said in ("W1", "Copper waste: rinse water", "3 March 2026", "90 %"))
    assert "Needs info" in words


def test_a_us_studio_may_print_the_words_that_its_rules_ask_for(member, rinse, studio):
    studio.region = "us"
    studio.save_base()

    shown = member.get(rinse.get_absolute_url()).content.decode()
    label = member.get(url("label", rinse.pk), {"counted": "hazardous"})

    assert "?counted=hazardous" in shown
    assert "Hazardous Waste" in PdfReader(BytesIO(label.content)).pages[0].extract_text()


def test_oiled_rags_can_be_put_out_of_whatever_drum_they_are_in(member):
    vessel = drum("cathode_copper", name="W3", vessel="lidded_metal_can")
    put(vessel, grams=200, at=1)
    address = reverse("waste:look_over", args=[vessel.pk])
    before = member.get(address).content.decode()
    allowance = Allowance(reason="no other can was free", is_keyholder=True)

    put(vessel, grams=100, at=2, kind="rags_drying_oil", allowance=allowance)

    assert "out of the building" not in before
    assert "The rags are out of the building" in member.get(address).content.decode()


def test_every_kind_is_set_up_as_its_form_opens_for_it(keyholder):
    place = PlaceFactory().pk
    for number, kind in enumerate(STREAMS):
        form = keyholder.get(url("start_drum"), {"kind": kind}).context["form"]
        offered = {name: form[name].initial for name in ("kind", "vessel", "is_vented")}

        answer = post(keyholder, "start_drum", **HOLDS, **offered, name=f"X{number}", place=place)

        assert answer.status_code == 302, (kind, answer.context["form"].errors)
        made = Drum.objects.get(name=f"X{number}")
        assert made.is_vented == may_give_off_gas(kind), kind


@pytest.mark.parametrize(("holds_l", "width_mm", "height_mm"), [(2, 148, 105), (20, 148, 105), (120, 210, 148)])
def test_a_drums_label_is_as_large_as_what_it_holds_asks_for(member, holds_l, width_mm, height_mm):
    begun = drum("solvent_spent", name="W9", capacity_l=holds_l, vessel="steel")

    [page] = PdfReader(BytesIO(member.get(url("label", begun.pk)).content)).pages

    assert [round(float(side) * 25.4 / 72) for side in page.mediabox[2:]] == [width_mm, height_mm]
    assert "W9" in page.extract_text() and "Fill to 90 % at most" in " ".join(page.extract_text().split())
