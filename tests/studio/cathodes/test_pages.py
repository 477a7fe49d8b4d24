"""Every page of the cathodes: it works, refuses strangers, explains itself and writes a double tap once."""

from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.book import strike
from inventory.models import Entry
from studio.cathodes.models import Cathode, CathodeWeighing, CopperContent, Sheet, Strip
from tests.factories import adopted, signed, stocked
from tests.studio.cathodes.shop import bite, hung, stripped, weighed

pytestmark = pytest.mark.django_db

MOST_QUERIES, MOST_QUERIES_ONCE_KEPT = 15, 6
SCALE = {"half_width_g": "0.1", "is_dry": "dry"}
ASKED = {
    "strip": SCALE | {"mass_g_0": "14", "mass_g_1": "g", "powder_g": "2,5"},
    "weigh": SCALE | {"mass_g_0": "1014", "mass_g_1": "g"},
    "take_out": {},
    "measure": {
        "facing_cm2": "30 x 35 cm",
        "bare_0": "1000",
        "bare_1": "g",
        "bare_half_width_g": "0.5",
        "strip_at_um": "40",
        "gap_mm": "40",
    },
}
ASKED["replace"] = ASKED["measure"] | {"name": "Next sheet"}
KEPT = ["list", "recovered", "balance"]
WITH_DRUMS = ("strip", "balance")  # pages of cathodes and of drums at once, so the drums'


def url(page, *args):
    feature = "waste" if page in WITH_DRUMS else "cathodes"
    return reverse(f"{feature}:{page}", args=args)


def post(browser, page, *args, **typed):
    return browser.post(url(page, *args), {"key": uuid4()} | typed)


def errors(response, field):
    return " ".join(response.context["form"].errors.get(field, []))


@pytest.fixture
def cathode():
    """A cathode with about 14 g of copper on it."""
    hangs = hung()
    bite(hangs, 12, at=1)
    return hangs


@pytest.mark.parametrize("page", ASKED)
def test_a_page_writes_one_entry_and_goes_on_to_the_cathode(member, cathode, page):
    before = Entry.objects.count()

    response = post(member, page, cathode.pk, **ASKED[page])

    after = Cathode.objects.latest("pk")
    assert (response.status_code, response.headers.get("Location")) == (302, after.get_absolute_url())
    assert Entry.objects.count() == before + 1
    assert Entry.objects.latest("pk").done_by == member.person


@pytest.mark.parametrize("page", ASKED)
def test_a_double_tap_writes_once(member, cathode, page):
    before, key = Entry.objects.count(), uuid4()

    for _ in range(2):
        response = member.post(url(page, cathode.pk), {"key": key} | ASKED[page])

    assert response.headers["Location"] == Cathode.objects.latest("pk").get_absolute_url()
    assert Entry.objects.count() == before + 1


@pytest.mark.parametrize("page", sorted({*ASKED} - {"take_out"}))
def test_an_empty_form_is_explained_and_nothing_is_written(member, cathode, page):
    before = Entry.objects.count()

    response = post(member, page, cathode.pk)

    assert response.status_code == 200
    assert "Nothing was written yet" in response.content.decode()
    assert Entry.objects.count() == before


@pytest.mark.parametrize("page", [*ASKED, "hang", "cathode"])
def test_a_page_opens_with_few_questions_to_the_database(member, cathode, django_assert_max_num_queries, page):
    weighed(cathode, 1013, at=2)
    stripped(cathode, 13, at=3)

    with django_assert_max_num_queries(MOST_QUERIES):
        response = member.get(url(page, cathode.pk))

    assert response.status_code == 200


@pytest.mark.parametrize("page", KEPT)
def test_a_page_about_all_of_them_is_kept_until_something_is_written(
    member, cathode, django_assert_max_num_queries, page
):
    stripped(cathode, 13, at=3)
    member.get(url(page))

    with django_assert_max_num_queries(MOST_QUERIES_ONCE_KEPT):
        assert member.get(url(page)).status_code == 200


@pytest.mark.parametrize("page", [*KEPT, *ASKED, "cathode", "hang"])
def test_a_stranger_is_led_to_sign_in(stranger, cathode, page):
    before = Entry.objects.count()

    response = post(stranger, page, *([] if page in KEPT else [cathode.pk]), **ASKED.get(page, {}))

    assert response.status_code == 302
    assert response.headers["Location"].startswith(reverse("people:sign_in"))
    assert Entry.objects.count() == before


def test_a_strip_is_written_as_it_was_typed(member, cathode):
    post(member, "strip", cathode.pk, **ASKED["strip"])

    written = Strip.objects.get()
    assert (written.mass_g, written.half_width_g, written.is_dry, written.powder_g) == (14, 0.1, True, 2.5)


def test_a_weighing_may_be_wet(member, cathode):
    post(member, "weigh", cathode.pk, **ASKED["weigh"] | {"is_dry": "wet", "mass_g_0": "35 3/4 oz"})

    written = CathodeWeighing.objects.get()
    assert written.mass_g == pytest.approx(1013.5, abs=0.1)
    assert not written.is_dry


def test_a_new_cathode_is_hung_and_its_page_opens(member):
    bath = adopted(name="Upright tank")

    response = post(
        member, "hang_new", name="Copper sheet", bath=bath.pk, **ASKED["measure"] | {"gap_mm": "", "bare_1": "g"}
    )

    assert response.headers["Location"] == Cathode.objects.latest("pk").get_absolute_url()
    sheet = Sheet.objects.get()
    assert (sheet.facing_cm2, sheet.bare_g, sheet.strip_at_um, sheet.gap_mm) == (1050, 1000, 40, None)


def test_a_cathode_called_by_another_metal_is_asked_about(member):
    typed = {"bath": adopted().pk, **ASKED["measure"], "gap_mm": "", "bare_1": "g"}

    for name, sounds in [("Zinc sheet", "zinc"), ("Old steel sheet", "steel"), ("Aluminium foil", "aluminium")]:
        response = post(member, "hang_new", name=name, **typed)

        assert f"sounds like {sounds}" in errors(response, "metal_anyway")
        assert "Tick if it is copper or stainless steel" in response.content.decode()
        assert 'name="metal_anyway"' in response.content.decode()
    assert not Cathode.objects.exists()
    post(member, "hang_new", name="Stainless steel sheet", **typed)
    post(member, "hang_new", name="Zinc sheet", metal_anyway="on", **typed)
    assert Cathode.objects.count() == 2


def test_a_cathode_that_hangs_again_is_asked_about_beside_a_tick(member):
    bath = adopted()
    typed = {"bath": bath.pk, **ASKED["measure"], "gap_mm": "", "bare_1": "g"}
    post(member, "hang_new", name="Zinc sheet", metal_anyway="on", **typed)
    cathode = Cathode.objects.get()
    post(member, "take_out", cathode.pk)
    page = url("hang", cathode.pk)

    asked = member.post(page, {"key": uuid4(), "bath": bath.pk})

    assert "sounds like zinc" in errors(asked, "metal_anyway") and 'name="metal_anyway"' in asked.content.decode()
    assert 'name="metal_anyway"' not in member.get(page).content.decode()
    assert member.post(page, {"key": uuid4(), "bath": bath.pk, "metal_anyway": "on"}).status_code == 302


def test_a_gap_alone_takes_the_usual_share(member, cathode):
    post(member, "measure", cathode.pk, **ASKED["measure"])

    assert Sheet.objects.latest("pk").most_loss_percent == 20


def test_a_cathode_goes_back_into_a_bath(member, cathode):
    other = adopted(name="Small tank")

    post(member, "hang", cathode.pk, bath=other.pk)

    assert "in Small tank since" in member.get(url("cathode", cathode.pk)).content.decode()


@pytest.mark.parametrize(
    ("page", "typed", "field", "sentence"),
    [
        ("weigh", {"mass_g_0": "900"}, "mass_g", "900 g is less than the 1000 g of the bare sheet"),
        ("weigh", {"mass_g_0": "50", "mass_g_1": "kg"}, "mass_g", "50 kg is more than any cathode weighs"),
        ("weigh", {"mass_g_0": "1,014"}, "mass_g", "could be 1014 or 1.0140; write one of these"),
        ("weigh", {"mass_g_0": "heavy"}, "mass_g", "is not an amount"),
        ("weigh", {"mass_g_0": "2000"}, "unlikely_anyway", "By the current there should be about 13.9 g on it"),
        ("weigh", {"half_width_g": "0"}, "half_width_g", "0 is outside 0.001 to 100 g"),
        ("weigh", {"is_dry": "damp"}, "is_dry", "damp is not one of the available choices"),
        ("weigh", {"happened_at": "2199-01-01T10:00"}, "happened_at", "has not come yet"),
        ("weigh", {"happened_at": "2020-01-01T10:00"}, "happened_at", "Copper sheet was first hung on 2 March 2026"),
        ("strip", {"mass_g_0": "0", "powder_g": ""}, "mass_g", "Nothing came off by this"),
        ("strip", {"mass_g_0": "-3"}, "mass_g", "is below zero"),
        ("strip", {"powder_g": "9000"}, "powder_g", "9000 is outside 0 to 5000 g"),
        ("strip", {"mass_g_0": "140"}, "unlikely_anyway", "and this makes 140.0 g"),
        ("measure", {"facing_cm2": "big"}, "facing_cm2", "is not an amount"),
        ("measure", {"gap_mm": "", "most_loss_percent": "20"}, "gap_mm", "A share of the gap needs the gap"),
        ("measure", {"strip_at_um": "9000"}, "strip_at_um", "9000 is outside"),
    ],
)
def test_bad_input_has_its_own_sentence_and_is_kept(member, cathode, page, typed, field, sentence):
    before = Entry.objects.count()
    usual = ASKED[page] | {"mass_g_1": "g", "mass_g_0": "1014" if page == "weigh" else "14"}

    response = post(member, page, cathode.pk, **usual | typed)

    assert sentence in errors(response, field)
    shown = response.content.decode()
    # what is one of a few choices cannot be kept: it is none of them
    assert all(f'value="{value}"' in shown for name, value in typed.items() if value and name != "is_dry")
    assert Entry.objects.count() == before


def test_what_is_unlikely_is_asked_about_once(member, cathode):
    first = post(member, "strip", cathode.pk, **ASKED["strip"] | {"mass_g_0": "140"})
    assert 'name="unlikely_anyway"' in first.content.decode()

    post(member, "strip", cathode.pk, **ASKED["strip"] | {"mass_g_0": "140", "unlikely_anyway": "on"})

    assert Strip.objects.get().mass_g == 140


def test_the_scale_used_last_is_offered_again(member, cathode):
    stripped(cathode, 14, at=2, scale=0.25)

    assert member.get(url("weigh", cathode.pk)).context["form"]["half_width_g"].value() == "0.25"


def test_a_studio_with_one_bath_is_not_asked_which(member):
    bath = adopted(name="Upright tank")

    assert member.get(url("hang_new")).context["form"]["bath"].value() == bath.pk


def test_without_a_bath_there_is_nothing_to_hang_in(member):
    assert "There is no bath in the book yet" in member.get(url("hang_new")).content.decode()


def test_a_new_studio_is_told_what_a_cathode_is_for(member):
    shown = member.get(url("list")).content.decode()

    assert "No cathode is in the book yet" in shown
    assert url("hang_new") in shown


def test_the_list_shows_each_cathode_with_its_copper(member, cathode):
    shown = member.get(url("list")).content.decode()

    assert "Copper sheet" in shown and "13.9&nbsp;<small>±&nbsp;0.5&nbsp;g" in shown
    assert url("strip", cathode.pk) in shown


def test_the_page_sets_every_weighing_beside_its_prediction(member, cathode):
    stripped(cathode, 14, at=2)

    shown = member.get(url("cathode", cathode.pk)).content.decode()

    assert "13.9 ± 0.5 g" in shown and "14.0 ± 0.1 g" in shown
    assert "within the scale" in shown
    assert "Copper through the year" in shown
    assert "How is this worked out?" not in shown and "copper per ampere-hour" in shown


def test_a_cathode_that_was_struck_leads_to_the_line_that_says_why(member, cathode):
    strike(cathode.entry, by=signed(5), reason="never hung")

    assert member.get(url("cathode", cathode.pk)).headers["Location"] == cathode.entry.get_absolute_url()
    assert member.get(url("strip", cathode.pk)).status_code == 404
    assert "Copper sheet" not in member.get(url("list")).content.decode()


def test_an_entry_tells_what_it_did_to_a_cathode(cathode):
    written = stripped(cathode, 14, at=2, powder_g=1)

    assert [(each.what, each.how) for each in cathode.entry.changes()] == [
        ("Copper sheet", "hung in Upright tank"),
        ("Copper sheet", "1000 cm², 1000 g bare"),
    ]
    assert [(each.what, each.how) for each in written.changes()] == [
        ("Copper sheet", "14 g and 1 g of wet powder came off")
    ]
    assert weighed(cathode, 1000, at=3).changes()[0].how == "weighed 1000 g"


def test_the_copper_recovered_stands_with_its_date_and_its_total(member, cathode):
    stripped(cathode, 14, at=2, powder_g=2)

    shown = member.get(url("recovered")).content.decode()

    assert "Copper recovered 14 g in 2026" in shown
    assert "4 March 2026" in shown
    assert "2 g of loose powder, kept wet" in shown
    assert "scrap" not in shown.lower()


def test_the_copper_recovered_can_be_taken_away_as_a_list(member, cathode):
    stripped(cathode, 14, at=2)

    response = member.get(url("recovered_csv"))

    assert response.headers["Content-Type"].startswith("text/csv")
    assert b"Copper sheet,14" in b"".join(response.streaming_content)


def test_the_balance_says_that_it_closes_and_shows_where_everything_is(member, cathode, today):
    stripped(cathode, 14, at=2)
    today(3)

    shown = member.get(url("balance")).content.decode()

    assert "It adds up" in shown
    assert "Bitten off plates" in shown and "Stripped, solid metal" in shown
    assert '<svg viewBox="0 0 480' in shown and "<desc>Came in:" in shown
    assert "unexplained = " in shown
    assert "style=" not in shown.partition("<main")[2]


def test_the_balance_says_when_it_does_not_close(member, cathode, today):
    stripped(cathode, 140, at=2, unlikely_anyway=True)
    today(3)

    assert "It does not add up" in member.get(url("balance")).content.decode()


def test_a_balance_of_empty_days_says_so(member):
    assert "No copper moved in these days" in member.get(url("balance")).content.decode()


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({"since": "2199-01-01"}, "That day has not come yet"),
        ({"since": "2026-03-05", "until": "2026-03-01"}, "It ends before it begins"),
        ({"since": "yesterday"}, "Enter a valid date"),
    ],
)
def test_days_that_cannot_be_are_explained_and_the_last_year_is_shown(member, cathode, asked, sentence):
    response = member.get(url("balance"), asked)

    assert sentence in response.content.decode()
    assert response.status_code == 200


@pytest.mark.parametrize(
    ("dimension", "typed", "words"),
    [
        ("count", {"size": "6 x 8 in", "thickness_mm": "1.02"}, "152 × 203 mm, 1.02 mm thick"),
        ("area", {"thickness_mm": "0,8"}, "0.8 mm thick"),
        ("length", {"width_mm": "6", "thickness_mm": "0.1"}, "6 mm wide, 0.1 mm thick"),
        ("mass", {"percent": "99.9"}, "99.9 % copper"),
    ],
)
def test_copper_on_the_shelf_is_said_as_it_is_kept(member, dimension, typed, words):
    amounts = {"count": "9 piece", "area": "9 m2", "length": "9 m", "mass": "9 g"}
    jar = stocked(amounts[dimension], dimension=dimension)

    response = post(member, "copper_in", jar.material_id, **typed)

    assert response.headers["Location"] == url("balance")
    assert str(CopperContent.objects.get()) == words


def test_no_copper_is_asked_of_what_is_kept_by_volume(member):
    bottle = stocked("1 L", dimension="volume")

    assert member.get(url("copper_in", bottle.material_id)).status_code == 404


def test_a_thickness_that_the_shelf_knows_is_offered(member):
    sheet = stocked("1 m2", dimension="area", thickness_um=1200)

    assert member.get(url("copper_in", sheet.material_id)).context["form"]["thickness_mm"].value() == "1.2"


def test_a_cathode_is_replaced_by_one_that_was_taken_out_without_measuring_it_again(member, cathode):
    spare = hung(name="Spare sheet", bath=adopted(name="Small tank"))
    post(member, "take_out", spare.pk)

    response = post(member, "replace", cathode.pk, ready=spare.pk)

    assert response.headers["Location"] == spare.get_absolute_url()
    assert "Upright tank" in member.get(spare.get_absolute_url()).content.decode()


def test_what_hangs_nowhere_is_hung_and_not_replaced(member, cathode):
    post(member, "take_out", cathode.pk)

    assert member.get(url("replace", cathode.pk)).headers["Location"] == url("hang", cathode.pk)


def test_a_new_sheet_is_offered_like_the_old_one_but_weighed(member, cathode):
    page = member.get(url("replace", cathode.pk)).context["form"]

    assert (page["facing_cm2"].value(), page["bare"].value()) == ("1000 cm²", None)
    assert "Give a number" in errors(post(member, "replace", cathode.pk), "bare")
