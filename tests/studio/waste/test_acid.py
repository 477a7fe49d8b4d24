"""The acid of the bath that was poured into a drum, by every way in which a studio does it, against sums by hand."""

import re
from datetime import UTC

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from chemistry.bath import Adopted
from chemistry.measured import Measured
from chemistry.waste.evaluation import APPLIES, DOES_NOT_APPLY, NEEDS_INFO
from inventory.book import strike
from inventory.models import Material
from studio.baths import operations as baths
from studio.baths.acid import AcidPortion, AcidStrength
from studio.baths.status import status_of_baths
from studio.hazards.classification import classify_bath
from studio.safety.summaries import summary_of_drum
from studio.waste import models, operations, sources
from studio.waste.content import content_of_drum
from studio.waste.flags import flags_of_drum
from studio.waste.hazards import classify_drum
from studio.waste.models import Deposit
from studio.waste.operations import DepositRequest
from tests.factories import BathFactory, WorkshopFactory, bitten, day, jug, signed
from tests.studio.waste.shop import KEYHOLDER, drum, put, weighed

pytestmark = pytest.mark.django_db
RULES = {"eu": ("eu.hp8", "eu.hp8.ph", "eu.hp4"), "us": ("us.d002", "us.sewer.ph")}


def tank(acid_g_per_l, name="Sour tank", sd=1.0, at=0):
    made = BathFactory(name=name)
    known = {"volume_l": 12, "volume_sd_l": 0.1, "strength_g_per_l": 200, "strength_sd_g_per_l": 4}
    acid = {"acid_g_per_l": acid_g_per_l, "acid_sd_g_per_l": sd if acid_g_per_l else 0}
    baths.adopt(made, Adopted(day=0, **known, **acid), lid_on=True, by=signed(at))
    return made


def pour(bath, into, litres, at=2):
    put_in = DepositRequest(drum=into, kind="bath_spent", allowance=KEYHOLDER)
    return sources.take_out(bath, jug(litres), into=put_in, by=signed(at))


def over(one, into, litres, at=4):
    put_in = DepositRequest(drum=into, kind="bath_spent", litres=Measured(litres, litres / 20, "L"))
    return operations.pour_over(one, into=put_in, by=signed(at))


def read_ph(into, low, high=None, at=5):
    result = models.TestResult(quantity="ph", low=low, high=low if high is None else high, how="meter")
    return operations.record_test(into, result=result, by=signed(at))


def states(into, region):
    studio = WorkshopFactory.build(region=region)
    flags = flags_of_drum(content_of_drum(into, day(20)), studio, day(20)).flags
    found = {each.rule_id: each.state for each in flags}
    return [found.get(rule) for rule in RULES[region]]


def jugs(into):
    pour(tank(70), into, 3)


def two_jugs(into):
    bath = tank(70)
    pour(bath, into, 3)
    pour(bath, into, 2, at=3)


def several_baths(into):
    pour(tank(70), into, 3)
    pour(tank(10, "Mild tank"), into, 3)


def into_plain(into):
    pour(tank(0, "Plain tank"), into, 3)
    pour(tank(70), into, 1)


def over_from_a_drum(into):
    one = drum("bath_spent", name="W2")
    pour(tank(70), one, 4)
    over(one, into, 1)


def to_and_fro(into):
    one = drum("bath_spent", name="W2")
    pour(tank(70), one, 4)
    over(one, into, 2)
    over(into, one, 1, at=5)


def neutralised(into):
    pour(tank(70), into, 3)
    read_ph(into, 7)


def thinned_by_rinse(into):
    pour(tank(70), into, 3)
    pour(tank(0, "Plain tank"), into, 7, at=3)


def struck(into):
    pour(tank(0, "Plain tank"), into, 3)
    strike(pour(tank(70), into, 3, at=3), by=signed(4), reason="a slip")


def backdated(into):
    bath = tank(0)
    pour(bath, into, 3, at=3)
    # 12 L of bath, 200 g of acid of 96 % the day before the jug
    baths.top_up(
        bath, acid=AcidPortion(amount=200, dimension=Material.Dimension.MASS, strength=AcidStrength(96.0)), by=signed(2)
    )


def drips(into):
    bath = tank(70)
    for at in range(2, 6):
        bitten(bath, at=at, ml_each=10)
    put(into, 5, at=7, source=Deposit.Source.RINSE, kind="rinse", allowance=KEYHOLDER)


def whole(into):
    pour(tank(70), into, 11.9)


# the way: grams of acid by hand
WAYS = {
    "a jug": (jugs, 210),
    "two jugs": (two_jugs, 350),
    "the whole bath": (whole, 833),
    "several baths": (several_baths, 240),
    "into a plain drum": (into_plain, 70),
    "poured over": (over_from_a_drum, 70),
    "to and fro": (to_and_fro, 70),
    "neutralised": (neutralised, 0),
    "thinned": (thinned_by_rinse, 210),
    "struck": (struck, 0),
    "acid backdated": (backdated, 48),
    "drips in a rinse": (drips, 2.8),
}


@pytest.mark.parametrize("way", WAYS)
def test_the_acid_in_a_drum_is_what_came_with_its_baths(way):
    fill, by_hand = WAYS[way]
    into = drum("bath_spent")

    fill(into)

    acid = content_of_drum(into, day(20)).acid
    assert (acid.value if acid else 0) == pytest.approx(by_hand, rel=0.02, abs=0.1)


def test_acid_is_kept_when_drums_are_poured_over():
    one, other = drum("bath_spent"), drum("bath_spent", name="W2")
    pour(tank(70), one, 4)
    over(one, other, 1.5)

    held = [content_of_drum(each, day(20)).acid.value for each in (one, other)]
    assert held == pytest.approx([175, 105], rel=0.01)


SDS = {"a trace": 0.05, "57 ± 8 g/L": 4.0}
STATES = {
    # acid of the bath: HP 8 by its share, by its pH, HP 4; D002, sewer pH
    "none": (0, [DOES_NOT_APPLY, NEEDS_INFO, APPLIES], [NEEDS_INFO, NEEDS_INFO]),
    "a trace": (0.2, [DOES_NOT_APPLY, NEEDS_INFO, APPLIES], [NEEDS_INFO, NEEDS_INFO]),
    "5 g/L": (5, [DOES_NOT_APPLY, NEEDS_INFO, APPLIES], [NEEDS_INFO, APPLIES]),
    "70 g/L": (70, [APPLIES, APPLIES, DOES_NOT_APPLY], [APPLIES, APPLIES]),
    "57 ± 8 g/L": (57, [NEEDS_INFO, APPLIES, NEEDS_INFO], [APPLIES, APPLIES]),
    "nobody said": (None, [NEEDS_INFO, NEEDS_INFO, NEEDS_INFO], [NEEDS_INFO, NEEDS_INFO]),
}


@pytest.mark.parametrize("acid", STATES)
def test_rules_read_the_acid_of_the_bath_with_its_limits(acid):
    g_per_l, eu, us = STATES[acid]
    into = drum("bath_spent")
    pour(tank(g_per_l, sd=SDS.get(acid, 1.0)), into, 3)

    assert states(into, "eu") == eu
    assert states(into, "us") == us


@pytest.mark.parametrize(
    ("g_per_l", "corrodes", "asked"),
    [(0, False, False), (0.2, False, False), (5, True, False), (70, True, False), (None, False, True)],
)
def test_a_drum_reads_as_its_bath_reads(g_per_l, corrodes, asked):
    into, bath = drum("bath_spent"), tank(g_per_l, sd=0.05 if g_per_l == 0.2 else 1.0)
    pour(bath, into, 3)

    told = classify_drum(content_of_drum(into, day(20)), "eu")

    [standing] = status_of_baths([bath])
    assert told.codes == classify_bath(standing, "eu").now.codes
    assert ("H314" in told.codes, "acid" in told.storage_groups) == (corrodes, corrodes)
    assert not told.has_unknown_part
    assert any(words.startswith("whether there was acid") for words in told.needs_info) == asked


@pytest.mark.parametrize(("g_per_l", "said"), [(70, {"72 g/L at the most"}), (0, set()), (None, {None})])
def test_the_summary_of_a_drum_tells_its_acid_at_the_upper_end(g_per_l, said):
    into = drum("bath_spent")
    pour(tank(g_per_l), into, 3)

    facts = summary_of_drum(content_of_drum(into, day(20)), WorkshopFactory.build(region="eu")).facts

    assert {value for name, value in facts if name == "Sulfuric acid"} == said


def test_a_measured_ph_goes_before_the_acid_until_the_next_thing_goes_in():
    into = drum("bath_spent")
    pour(tank(70), into, 3)
    assert states(into, "us") == [APPLIES, APPLIES]

    read_ph(into, 5.5, at=5)
    held = content_of_drum(into, day(20))
    # of D002 its second test, on steel, stays
    assert states(into, "us") == [NEEDS_INFO, DOES_NOT_APPLY]
    assert states(into, "eu")[:2] == [DOES_NOT_APPLY, DOES_NOT_APPLY]
    assert "H314" not in classify_drum(held, "eu").codes and held.acid.high < 0.1

    pour(tank(0, "Plain tank"), into, 1, at=6)
    assert states(into, "us") == [NEEDS_INFO, NEEDS_INFO]
    pour(tank(70, "Another tank", at=0), into, 1, at=7)
    # it warns again, and 70 g are all that came in since
    assert states(into, "us") == [APPLIES, APPLIES]
    assert content_of_drum(into, day(20)).acid.value == pytest.approx(70, rel=0.02)


def test_a_ph_that_agrees_leaves_the_acid_as_well_known_as_its_bath():
    into = drum("bath_spent")
    pour(tank(70), into, 3)
    before = content_of_drum(into, day(4)).acid

    read_ph(into, 0.6)

    assert content_of_drum(into, day(20)).acid.half_width == pytest.approx(before.half_width)


def test_a_ph_answers_what_nobody_said_of_the_acid():
    into = drum("bath_spent")
    pour(tank(None), into, 3)

    read_ph(into, 4)

    held = content_of_drum(into, day(20))
    assert not held.acid_unsaid and states(into, "eu") == [DOES_NOT_APPLY, DOES_NOT_APPLY, APPLIES]


def test_water_thins_the_acid_and_its_grams_stay():
    into = drum("bath_spent")
    pour(tank(70), into, 3)
    put(into, 12, at=3, kind="rinse", source=Deposit.Source.OTHER, allowance=KEYHOLDER)

    held = content_of_drum(into, day(20))

    assert (held.acid.value, held.acid_per_l.value) == pytest.approx((210, 14), rel=0.02)


def test_mud_holds_the_acid_of_the_liquid_that_it_is_wet_with():
    mud = drum("bath_mud")
    sources.strain(
        tank(70),
        litres_lost=0.2,
        crystals_g=0,
        by=signed(2),
        into=DepositRequest(drum=mud, kind="bath_mud", mass_g=weighed(500)),
    )

    held = content_of_drum(mud, day(20))

    assert held.acid_by_weight.value == pytest.approx(100 * 14 / 500, rel=0.05)
    assert "H314" in classify_drum(held, "eu").codes


def test_the_acid_asks_no_query_more_than_the_copper():
    into = drum("bath_spent")
    counts = []
    for at, g_per_l in enumerate((0, 70, None), start=2):
        pour(tank(g_per_l, f"Tank {at}"), into, 1, at=at)
        with CaptureQueriesContext(connection) as queries:
            assert content_of_drum(into, day(20)).copper
        counts.append(len(queries))

    assert len(set(counts)) == 1


@pytest.mark.parametrize("kind", ["sludge", "bath_mud"])
def test_what_names_its_bath_is_made_of_what_that_holds(kind):
    bath, mud = tank(0), drum(kind)
    put(mud, grams=500, bath=bath)

    told = classify_drum(content_of_drum(mud, day(20)), "eu")

    assert not any("other 100 %" in words for words in told.needs_info)
    assert any("water out of Sour tank" in words for words in told.needs_info)


def test_naming_a_bath_counts_no_copper_twice():
    bath, named, plain = tank(0), drum("bath_mud"), drum("bath_mud", name="W2")
    put(named, grams=500, bath=bath, source=Deposit.Source.MUD)
    put(plain, grams=500, source=Deposit.Source.MUD)

    assert content_of_drum(named, day(20)).copper == content_of_drum(plain, day(20)).copper


@pytest.mark.parametrize(("kind", "baths_here", "chosen"), [("sludge", 1, True), ("sludge", 2, False)])
def test_the_only_bath_is_chosen_already(member, studio, kind, baths_here, chosen):
    for number in range(baths_here):
        tank(0, f"Tank {number}")
    mud = drum(kind)

    page = member.get(reverse("waste:deposit", args=[mud.pk])).content.decode()

    assert "Its liquid came out of" in page
    assert bool(re.search(r"<option[^>]*selected[^>]*>\s*Tank 0", page)) == chosen


def test_a_bath_that_was_chosen_stays_in_the_book(member, studio, today):
    today(3)
    bath, mud = tank(0), drum("sludge")
    key = re.search(r'name="key" value="([^"]+)"', member.get(reverse("waste:deposit", args=[mud.pk])).content.decode())

    sent = {"amount_0": "500", "amount_1": "g", "kind": "sludge", "bath": bath.pk, "key": key[1] if key else ""}
    member.post(reverse("waste:deposit", args=[mud.pk]), sent)

    assert mud.deposits.get().bath == bath
    row = next(iter(Deposit.exported(list(mud.deposits.all()), UTC)))
    assert str(row[Deposit.headings().index("bath")]) == str(bath)
