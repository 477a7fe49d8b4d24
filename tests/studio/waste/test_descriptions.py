"""What the bench says of drums, what a label says, and what can be taken away as a list."""

from datetime import UTC

import pytest

from chemistry.measured import Measured
from chemistry.waste.streams import STREAMS
from inventory.book import strike
from studio.safety.summaries import summary_of
from studio.waste import content, descriptions, labels, operations
from studio.waste.content import contents_here
from studio.waste.models import Deposit, Drum, Inspection
from tests.factories import day, signed
from tests.studio.waste.shop import KEYHOLDER, drum, put

pytestmark = pytest.mark.django_db


def asked(at):
    return {ask.word: ask for ask in descriptions.action_items(contents_here(day(at)), day(at))}


def looked_over(into, at, **what):
    return operations.look_over(into, found="fine", by=signed(at), **what)


def test_a_drum_in_order_asks_for_nothing():
    put(drum(), 4, at=1)

    assert asked(5) == {}


def test_a_drum_nearly_full_says_how_much_more_it_takes():
    put(drum(capacity_l=10), 8, at=1)

    assert asked(2)["nearly full"].sentence == "W1, Plate rinse water: 80 % full, takes 1 L more."


def test_a_full_drum_is_to_be_acted_on():
    put(drum(capacity_l=10), 9, at=1)

    assert asked(2)["full"].level == "act"


def test_drums_nobody_looked_at_for_a_month_are_named_in_one_sentence():
    for name in ("W1", "W2", "W3"):
        put(drum(name=name), 4, at=1)
    looked_over(Deposit.objects.get(drum__name="W3").drum, at=20)

    assert asked(33)["look-over due"].sentence.startswith("Nobody has looked at W1, W2 for a month")
    assert set(asked(30)) == set()


def test_a_drum_found_wrong_is_asked_about_until_it_is_put_right():
    vessel = drum()
    put(vessel, 4, at=1)
    operations.look_over(vessel, found="wrong", by=signed(2))

    assert asked(3)["a drum is not in order"].level == "act"

    operations.look_over(vessel, found="seen to", by=signed(4))
    assert asked(5) == {}


def test_an_empty_vessel_needs_no_look():
    drum()

    assert asked(99) == {}


def test_rags_with_drying_oil_wait_with_the_hour_until_they_are_out_of_the_building():
    can = drum("rags_drying_oil", vessel="lidded_metal_can")
    put(can, grams=200, at=1)

    waiting = asked(1.1)["rags waiting"]
    assert "since 3 March, 09:00" in waiting.sentence and waiting.level == "act"

    looked_over(can, at=1.2, is_put_out=True)
    assert "rags waiting" not in asked(1.3)

    put(can, grams=100, at=2)
    assert content.content_of_drum(can, day(3)).rags_since == day(2)


def test_a_wide_spread_takes_the_false_figures_away():
    vessel = drum("bath_spent")
    put(vessel, 10, at=1, copper_g=Measured(638.29, 126.5, "g"))

    shown = {
        told.name: str(told.shown) for told in descriptions.DrumDescription(content.content_of_drum(vessel)).figures
    }

    assert shown["Volume"] == "10 ± 1 L"
    assert shown["Copper in it"] == "640 ± 250 g"
    assert shown["Copper, by volume"] == "64000 ± 26000 mg/L"


@pytest.mark.parametrize(
    ("kind", "facts", "copper_g", "sd_g", "shown"),
    [
        ("cathode_copper", {"vessel": "open_bin"}, 500, 10, {"Copper metal": "500 ± 20 g"}),
        ("cathode_powder", {}, 500, 10, {"Copper in it": "500 ± 20 g", "Copper by weight": "100 ± 5 %"}),
        ("sludge", {}, 250, 10, {"Copper in it": "250 ± 20 g", "Copper by weight": "50 ± 4 %"}),
        ("bath_mud", {}, 5, 0.5, {"Copper in it": "5 ± 1 g", "Copper by weight": "1.0 ± 0.2 %"}),
        ("bath_mud", {}, 4.9, 0.5, {"Copper in it": "5 ± 1 g", "Copper by weight": "9800 ± 2000 mg/kg"}),
    ],
)
def test_copper_in_a_solid_is_told_as_it_is_read(kind, facts, copper_g, sd_g, shown):
    vessel = drum(kind, **facts)
    put(vessel, grams=500, copper_g=Measured(copper_g, sd_g, "g"))
    found = {
        told.name: str(told.shown) for told in descriptions.DrumDescription(content.content_of_drum(vessel)).figures
    }

    assert {name: words.replace("\N{NO-BREAK SPACE}", " ") for name, words in found.items() if "opper" in name} == shown


def test_of_solid_copper_nobody_is_asked_what_is_dissolved(member, studio):
    tin, rinse = drum("cathode_copper", vessel="open_bin"), drum("rinse", name="W2")
    put(tin, grams=500)
    put(rinse, 4)
    told = {each: member.get(each.get_absolute_url()).content.decode() for each in (tin, rinse)}

    assert "nothing of it is poured" in told[tin] and "how much copper is dissolved" not in told[tin]
    assert "how much copper is dissolved" in told[rinse]


def test_a_label_says_what_it_is_its_hazards_and_since_when():
    vessel = drum("rinse")
    put(vessel, 4, at=2, copper_g=None)
    result = operations.TestResult(quantity="cu_mg_per_l", low=2000, high=3000, how="strip")
    operations.record_test(vessel, result=result, by=signed(3))

    sticker = labels.drum_label(content.content_of_drum(vessel), region="gb")

    assert sticker.lines[0] == "Copper waste: rinse water"
    assert set(sticker.hazards.codes) == {"H318", "H412"}
    assert sticker.hazards.signal_word == "Danger"


@pytest.mark.parametrize("kind", sorted(STREAMS))
def test_a_label_says_what_the_page_behind_its_code_says(kind, studio):
    vessel = drum(kind, allowance=KEYHOLDER, vessel=STREAMS[kind].vessels[0])
    put(vessel, 5 if vessel.is_liquid else None, grams=500, copper_g=Measured(250, 5, "g"))

    for region in ("eu", "us"):
        studio.region = region
        said = labels.drum_label(content.content_of_drum(vessel), region=region).hazards
        page = summary_of(vessel, studio).hazards

        assert said == page
        assert page.is_classified or page.needs_info or page.is_article


def test_a_drum_of_spent_bath_and_rinse_bears_its_signs(member):
    vessel = drum("bath_spent")
    put(vessel, 4, copper_g=Measured(200, 5, "g"))
    put(vessel, 4, kind="rinse", copper_g=Measured(2, 0.5, "g"), allowance=KEYHOLDER)

    said = labels.drum_label(content.content_of_drum(vessel), region="eu").hazards

    assert (said.signal_word, said.codes) == ("Danger", ("H318", "H400", "H411"))
    assert [sign.code for sign in said.signs] == ["GHS05", "GHS09"]


def test_a_us_label_carries_the_words_only_where_somebody_counts_it_so():
    vessel = drum("solvent_spent", vessel="safety_can")
    now = content.content_of_drum(vessel)

    assert labels.drum_label(now, region="us").lines[0] == "Solvent waste"
    assert labels.drum_label(now, region="us", counted_as_hazardous=True).lines[0] == "Hazardous Waste"
    assert labels.drum_label(now, region="us").hazards.word == "needs info"


def test_lists_keep_struck_lines_with_their_reason():
    vessel = drum()
    put(vessel, 4, at=1)
    strike(put(vessel, 3, at=2), by=signed(3), reason="another drum")
    looked_over(vessel, at=4)

    rows = list(Deposit.exported(list(Deposit.objects.order_by("pk")), UTC))

    assert [dict(zip(Deposit.headings(), row, strict=True))["Struck"] for row in rows] == ["", "another drum"]
    assert [len(row) for row in Drum.exported([vessel], UTC)] == [len(Drum.headings())]
    assert [row[3] for row in Inspection.exported(vessel.inspections.all(), UTC)] == [
        "Closed, dry outside, its label can be read"
    ]
