import csv
import io
import re

import pytest
from django.urls import reverse

from chemistry.bath import DensityRead, LevelRead
from inventory import book
from studio import workshop
from studio.baths import logbook, operations
from tests.factories import BathFactory, adopted, signed

PAGES = ("baths:bath", "baths:log", "baths:log_csv", "baths:card")


def page(client, bath, name="bath", **query):
    return client.get(reverse(f"baths:{name}", args=[bath.pk]), query)


def text(response) -> str:
    return " ".join(response.content.decode().split())


def written_in(response) -> list[list[str]]:
    return list(csv.reader(io.StringIO(b"".join(response.streaming_content).decode().removeprefix("\ufeff"))))


@pytest.mark.parametrize("name", PAGES)
def test_a_stranger_reads_nothing_of_a_bath(stranger, name):
    response = page(stranger, adopted(), name.removeprefix("baths:"))

    assert response.status_code == 302
    assert response.url.startswith("/people/sign-in/")


@pytest.mark.parametrize("name", PAGES)
def test_a_bath_that_is_not_in_the_book_is_not_found(member, name):
    assert member.get(reverse(name, args=[404])).status_code == 404


def test_a_baths_page_says_how_it_stands(member, today):
    today(5)

    shown = text(page(member, adopted(name="Upright tank", strength_g_per_l=240)))

    for words in (
        "<h1>Upright tank</h1>",
        "in range",
        "240&nbsp;<small>±&nbsp;10&nbsp;g/L",
        "733 ± 32 g of copper",
    ):
        assert words in shown
    assert "<dt>Tonight</dt>" in shown and "everything stays dissolved" in shown
    assert "Strength of Upright tank, the last twelve months" in shown


def test_an_unread_tank_offers_to_adopt_or_mix(keyholder):
    bath = BathFactory()

    shown = text(page(keyholder, bath))

    assert "unread" in shown
    assert reverse("baths:adopt", args=[bath.pk]) in shown and reverse("baths:mix", args=[bath.pk]) in shown
    assert reverse("baths:top_up", args=[bath.pk]) not in shown


def test_a_held_out_reading_is_said_loudly_with_the_way_to_answer_it(member, today):
    bath = adopted()
    words = "SG 1.190 at 20 °C"
    entry = operations.read(
        bath, DensityRead(day=0, sg=1.19, temperature_c=20, reference_c=20), words=words, by=signed(1)
    )
    today(2)

    shown = text(page(member, bath))

    assert 'role="alert"' in shown and "A reading is held out" in shown
    assert "it reads 307 ± 8 g/L, the book says 240 ± 10 g/L" in shown
    assert reverse("baths:answer", args=[entry.bath_events.get().pk]) in shown


@pytest.mark.parametrize(
    "tank", [{"volume_l": 12}, {"volume_l": 0.5, "strength_g_per_l": 1}, {"strength_g_per_l": 400}]
)
def test_a_bath_forgotten_with_its_lid_off_still_has_its_page(member, today, tank):
    bath = adopted(at=-700, lid_on=False, coldest_c=-20, **tank)
    today(1)

    assert page(member, bath).status_code == 200
    assert member.get("/").status_code == 200
    assert page(member, bath, "card").status_code == 200


def test_a_bath_in_use_is_never_called_safe(member):
    shown = text(page(member, adopted(strength_g_per_l=300, lid_on=False))).lower()

    assert not re.search(r"\b(safe|legal|non-toxic|harmless)\b", shown)


def test_beyond_the_published_tables_the_page_says_so(member):
    assert "Checked against published tables only up to 18 %" in text(page(member, adopted(strength_g_per_l=340)))


def test_a_struck_line_stays_readable_and_stops_counting(member, today):
    bath = adopted(volume_l=11)
    entry = operations.top_up(bath, water_l=1, by=signed(1))
    today(2)
    book.strike(entry, by=signed(2), reason="poured into the other tank")
    operations.touch([bath])

    shown = text(page(member, bath))

    assert "<del>" in shown and "poured into the other tank" in shown
    assert "11.0 ± 0.2 L" in shown


def test_a_written_entry_is_on_the_kept_page_at_once(member, today):
    bath = adopted(volume_l=11)
    today(1)
    page(member, bath)

    operations.top_up(bath, water_l=0.75, by=signed(1))

    assert "0.75 L of water" in text(page(member, bath))


def test_another_units_setting_is_another_page(member, studio):
    bath = adopted()
    page(member, bath)

    workshop.operations.change(studio, strength="°Bé", temperature="°F", by=signed(1))

    shown = text(page(member, bath))
    assert re.search(r"19\.\d&nbsp;<small>±&nbsp;[\d.]+&nbsp;°Bé", shown) and "°F" in shown


def test_a_page_costs_few_queries_however_long_the_log(member, today, django_assert_max_num_queries):
    bath = adopted()
    for at in range(1, 70):
        operations.drips(bath, plates=1, by=signed(at / 10))
    today(10)

    with django_assert_max_num_queries(16):
        page(member, bath)
    with django_assert_max_num_queries(5):
        page(member, bath)


def test_a_long_log_goes_on_by_the_page(member, today):
    bath = adopted()
    for at in range(1, logbook.LINES_A_PAGE + 5):
        operations.drips(bath, plates=at, by=signed(at / 10))
    today(10)

    first = text(page(member, bath))
    older = text(member.get(re.search(rf'href="({reverse("baths:log", args=[bath.pk])}[^"]+)"', first)[1]))

    assert first.count('<li id="entry-') == logbook.LINES_A_PAGE
    assert older.count('<li id="entry-') == 5
    assert "Adopted" in older and 'rel="next"' not in older


@pytest.mark.parametrize("before", ["", "yesterday", "-1", "9" * 40])
def test_a_garbled_place_in_the_log_begins_at_its_end(member, before):
    assert "Adopted" in text(page(member, adopted(), "log", before=before))


def test_the_log_comes_as_csv_with_struck_and_held_out_lines(member, today):
    bath = adopted(name="Upright tank")
    operations.read(bath, DensityRead(day=0, sg=1.19, temperature_c=20, reference_c=20), words="SG 1.190", by=signed(1))
    struck = operations.top_up(bath, water_l=0.5, by=signed(2, note="=HYPERLINK(1)"))
    book.strike(struck, by=signed(2), reason="never happened")
    operations.touch([bath])
    today(3)

    response = page(member, bath, "log_csv")
    head, *rows = written_in(response)

    assert response["Content-Disposition"].startswith('attachment; filename="log-of-upright-tank-')
    lines = [dict(zip(head, row, strict=True)) for row in rows]
    assert [line["event"] for line in lines] == [
        "12 L at about 240 g/L",
        "lid on",
        "SG 1.190",
        "0.5 L of water",
    ]
    assert lines[0]["happened at"] == "2026-03-02 10:00"
    assert float(lines[1]["strength g/L"]) == pytest.approx(240)
    assert lines[2]["held out"] == "held out"
    assert (lines[3]["why struck"], lines[3]["strength g/L"]) == ("never happened", "")
    assert lines[3]["note"] == "'=HYPERLINK(1)"


def test_all_baths_stand_side_by_side(member, today, django_assert_max_num_queries):
    today(1)
    for number in range(6):
        adopted(name=f"Tank {number} of six")

    with django_assert_max_num_queries(10):
        shown = text(member.get("/baths/"))

    assert shown.count("of six</a>") == 6


def test_a_book_without_baths_leads_to_the_first(keyholder):
    assert reverse("baths:adopt") in text(keyholder.get("/baths/"))


def test_with_one_bath_an_errand_goes_straight_to_it(member):
    bath = adopted()

    assert member.get("/baths/", {"do": "top_up"}).url == reverse("baths:top_up", args=[bath.pk])


def test_with_two_baths_an_errand_asks_which(member):
    first, second = adopted(), adopted()

    shown = text(member.get("/baths/", {"do": "cover"}))

    assert "Whose lid went on or came off?" in shown
    assert reverse("baths:cover", args=[first.pk]) in shown and reverse("baths:cover", args=[second.pk]) in shown


def test_reading_asks_for_the_instrument(member):
    bath = adopted()

    shown = text(member.get("/baths/", {"do": "read"}))

    assert reverse("baths:read_level", args=[bath.pk]) in shown
    assert reverse("baths:read_hydrometer", args=[bath.pk]) in shown


def test_an_errand_without_any_bath_leads_to_the_first(keyholder):
    assert reverse("baths:adopt") in text(keyholder.get("/baths/", {"do": "top_up"}))


def test_a_member_without_any_bath_is_sent_to_a_keyholder(member):
    assert "A keyholder brings one in." in text(member.get("/baths/", {"do": "top_up"}))


def test_a_made_up_errand_shows_the_baths(member):
    assert "<h1>Baths</h1>" in text(member.get("/baths/", {"do": "../etc"}))


def test_the_answer_to_a_reading_that_was_struck_is_marked_as_without_effect(member, today):
    bath = adopted()
    reading = operations.read(bath, DensityRead(day=0, sg=1.19), words="SG 1.190", by=signed(1))
    operations.answer(reading.bath_events.get(), choice="book", by=signed(2))
    today(3)
    assert "without effect" not in text(page(member, bath))

    book.strike(reading, by=signed(3), reason="of the other tank")
    operations.touch([bath])

    assert "without effect</span> the reading it answers is struck" in text(page(member, bath))


@pytest.mark.parametrize("bath", [adopted, BathFactory])
def test_a_member_sees_no_button_that_only_refuses(member, keyholder, bath):
    bath = bath()
    urls = [reverse(f"baths:{name}", args=[bath.pk]) for name in ("change", "adopt")]

    assert all(f'href="{url}"' in text(page(keyholder, bath)) for url in urls)
    assert not any(f'href="{url}"' in text(page(member, bath)) for url in urls)
    assert reverse("baths:set_up") not in text(member.get(reverse("baths:list")))


def test_a_level_held_out_is_looked_into_as_a_level(member, today):
    bath = adopted()
    operations.read(bath, LevelRead(day=0, volume_l=9, sd_l=0.04), words="9 L", by=signed(1))
    today(2)

    shown = text(page(member, bath))

    assert "a stick held askew" in shown and "A lid left off" in shown
    assert "thermometer" not in shown and "crystals on the floor of the tank?" not in shown


def test_codes_that_only_this_machine_can_follow_say_so_beside_the_buttons(member):
    bath, words = adopted(), "opens on this machine only"

    assert words not in text(page(member, bath))
    assert words in text(member.get(bath.get_absolute_url(), SERVER_NAME="127.0.0.1"))


def test_a_page_that_is_not_open_leads_back_to_where_one_came_from(member):
    came_from = f"http://testserver{reverse('baths:list')}"

    refused = member.get(reverse("baths:set_up"), headers={"referer": came_from})
    elsewhere = member.get(reverse("baths:set_up"), headers={"referer": "https://elsewhere.example.org/"})

    assert refused.status_code == elsewhere.status_code == 403
    assert f'href="{came_from}"' in text(refused)
    assert "elsewhere.example.org" not in text(elsewhere)
