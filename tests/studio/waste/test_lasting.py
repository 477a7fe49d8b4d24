"""What was measured of a drum or found out about it counts until the next thing goes in, by every way."""

from io import BytesIO
from itertools import count

import pytest
from django.urls import reverse
from pypdf import PdfReader

from chemistry.hazards.storage import keep_unmixed
from chemistry.measured import by_scale
from chemistry.waste.drum import poured
from chemistry.waste.evaluation import APPLIES, DOES_NOT_APPLY, NEEDS_INFO
from chemistry.waste.properties import TOXIC_SOLVENTS
from chemistry.waste.vocabulary import VOCABULARY
from inventory.book import strike
from studio.cathodes.models import Cathode
from studio.safety.folder import Folder
from studio.safety.summaries import summary_of
from studio.waste import content, findings, log, models, operations, properties, sources
from studio.waste.flags import flags_of_drum
from studio.waste.hazards import classify_drum, objections
from studio.waste.models import Deposit, Drum
from studio.waste.operations import DepositRequest
from tests.factories import WorkshopFactory, adopted, day, jug, signed, stocked
from tests.studio.cathodes.shop import hung
from tests.studio.safety.shop import constituent
from tests.studio.waste.shop import KEYHOLDER, drum, found_out, put

pytestmark = pytest.mark.django_db

MEASURED, WENT_IN, LATER = 3, 5, 9
Source = Deposit.Source
VESSELS = {"solvent_spent": "safety_can", "cathode_copper": "open_bin"}
NUMBERS = count(1)
# of every property an answer from its lower end and one from its upper: one of them clears most rules, one meets them
ENDS = {
    "yes or no": lambda of: (False, True),
    "number": lambda of: ((float(of.low),) * 2, (float(of.high),) * 2),
    "one of": lambda of: (of.choices[-1], of.choices[0]),
    "any of": lambda of: ([], ["H272"] if of.key == "h_codes" else ["EUH031"]),
}


def begun(kind: str) -> Drum:
    """A drum of a kind with something in it."""
    into = drum(kind, name=f"W{next(NUMBERS)}", vessel=VESSELS.get(kind, "hdpe"), capacity_l=200)
    put(into, 2, at=1) if into.is_liquid else put(into, grams=100, at=1)
    return into


def by_hand(kind, litres=1.0, at=WENT_IN, **what):
    return lambda into: put(into, litres, kind=kind, at=at, allowance=KEYHOLDER, **what)


def out_of_a_bath(into):
    request = DepositRequest(drum=into, kind="bath_spent", allowance=KEYHOLDER)
    return sources.take_out(adopted(strength_g_per_l=200), jug(1), into=request, by=signed(WENT_IN))


def off_a_cathode(into):
    cathode: Cathode = hung(name=f"Sheet {into}", bath=adopted())
    metal = DepositRequest(drum=into, kind="cathode_copper")
    weight = by_scale(5, 0.1)
    return sources.strip(cathode, weight=weight, by=signed(WENT_IN), metal_into=metal, unlikely_anyway=True)


def from_a_jar(kind, *parts):
    def given_up(into):
        made_of = [constituent(*part) for part in parts]
        jar = stocked("1 L", dimension="volume", shown_unit="mL", composition=made_of, category="Ink, wiping and post")
        request = DepositRequest(drum=into, kind=kind, allowance=KEYHOLDER)
        return sources.discard(jar, amount=jar.on_hand, into=request, by=signed(WENT_IN))

    return given_up


def out_of_another(into):
    request = DepositRequest(drum=into, kind=into.kind, litres=poured(1))
    return operations.pour_over(begun(into.kind), into=request, by=signed(WENT_IN))


WAYS = {
    "out of a bath": ("bath_spent", out_of_a_bath),
    "rinse": ("rinse", by_hand("rinse", source=Source.RINSE)),
    "cleaner": ("cleaner_used", by_hand("cleaner_used", source=Source.CLEANER)),
    "acid from a jar": ("cleaner_used", from_a_jar("cleaner_used", ("acetic_acid_5pct", 100, 100))),
    "acetone from a jar": ("solvent_spent", from_a_jar("solvent_spent", ("acetone", 100, 100))),
    "toluene thinner from a jar": ("solvent_spent", from_a_jar("solvent_spent", ("toluene", 40, 60))),
    "a jar that nobody knows": ("rinse", from_a_jar("rinse")),
    "off a cathode": ("cathode_copper", off_a_cathode),
    "a spill": ("rinse", by_hand("rinse", source=Source.SPILL)),
    "out of another drum": ("rinse", out_of_another),
    "the same again": ("rinse", by_hand("rinse", litres=2)),
    "something else": ("bath_spent", by_hand("bath_spent", source=Source.OTHER)),
    "pieces": ("rags_copper", by_hand("rags_copper", litres=None, pieces=3, source=Source.TOWELS)),
    "another kind": ("bath_spent", by_hand("rinse")),
    "at the very moment, written later": ("rinse", by_hand("rinse", at=MEASURED)),
}


def answered(into, end, at=MEASURED):
    """Every property that somebody can measure or find out, from one end of what it may be."""
    answers = {key: ENDS[VOCABULARY[key].kind](VOCABULARY[key])[end] for key in findings.ASKED}
    found_out(into, at=at, **answers)
    for quantity in map(str, models.TestResult.Quantity):
        answers[quantity] = ENDS["number"](VOCABULARY[quantity])[end]
        measured(into, quantity, *answers[quantity], at=at)
    return answers


def measured(into, quantity, low, high=None, at=MEASURED):
    how = models.TestResult.How.STRIP
    result = models.TestResult(quantity=quantity, low=low, high=low if high is None else high, how=how)
    return operations.record_test(into, result=result, by=signed(at))


def now(into):
    return content.content_of_drum(into, day(LATER))


def flags_of(into):
    workshops = (WorkshopFactory.build(region=region, us_state="CA" * (region == "us")) for region in ("us", "gb"))
    return [flag for each in workshops for flag in flags_of_drum(now(into), each, day(LATER)).flags]


def state(into, rule):
    return next(flag.state for flag in flags_of(into) if flag.rule_id == rule)


def test_after_whatever_goes_in_no_rule_goes_by_what_was_said_before():
    asked = 0
    for way, (kind, go_in) in WAYS.items():
        for end in (0, 1):
            into = begun(kind)
            answers = answered(into, end)
            go_in(into)
            held = now(into)
            lasting = {key: VOCABULARY[key].after_more(value) for key, value in answers.items()}
            over = {key for key, value in lasting.items() if value is None} - {*properties.SUMMED}

            assert held.known.keys() == answers.keys(), way
            assert all(held.known[key] == value for key, value in lasting.items() if key not in properties.SUMMED), way
            for flag in flags_of(into):
                # but for what the log tells by itself and nothing more that goes in can undo
                left = {key: flag.inputs[key] for key in over.intersection(flag.inputs)}
                assert all(VOCABULARY[key].after_more(value) is not None for key, value in left.items()), (way, left)
                for key in over.intersection(flag.missing):
                    asked += 1
                    assert f"before {held.deposits[1]} went in, on 5 March 2026" in flag.says, (way, flag.rule_id, key)
    assert asked > 500


def test_copper_is_added_up_anew_or_needs_info_whatever_goes_in():
    for way, (kind, go_in) in WAYS.items():
        into = begun(kind)
        measured(into, "cu_mg_per_l", 40)
        go_in(into)

        copper = properties.copper_mg_per_l(now(into))

        assert copper is None or copper[0] > 40 and way == "out of a bath", (way, copper)


def test_what_goes_in_earlier_or_is_struck_ends_nothing():
    for end in (0, 1):
        into = begun("rinse")
        put(into, 1, at=2)
        answers = answered(into, end)
        put(into, 1, at=MEASURED - 0.5, kind="rinse")
        struck = put(into, 1, at=WENT_IN)
        strike(struck, by=signed(LATER), reason="it was another drum")

        assert now(into).known == answers
        assert now(into).outdated() == []


def test_what_is_poured_out_ends_nothing():
    into, other = begun("rinse"), begun("rinse")
    answers = answered(into, 0)

    request = DepositRequest(drum=other, kind="rinse", litres=poured(1))
    operations.pour_over(into, into=request, by=signed(WENT_IN))

    assert now(into).known == answers
    clear = {value for value in now(other).known.values() if value is not None}
    assert clear == {False}  # that something else is in it besides bath and water


def test_the_cases_that_could_hurt():
    # a clearing measurement, what goes in then, and the rules that must not read as clear
    cases = [
        ("ph", 5.5, "cleaner_used", WAYS["acid from a jar"][1], ("us.d002", "eu.hp8.ph", "generic.corrosive")),
        ("ph", 5.5, "cleaner_used", WAYS["acid from a jar"][1], ("us.sewer.ph",)),
        ("flash_point_c", 95, "solvent_spent", WAYS["acetone from a jar"][1], ("eu.hp3", "us.d001.liquid")),
        ("flash_point_c", 95, "solvent_spent", WAYS["acetone from a jar"][1], ("generic.flammable", "us.sewer.flash")),
    ]
    for quantity, figure, kind, go_in, rules in cases:
        into = begun(kind)
        found_out(into, water_percent=(5, 5), steel_mm_per_year=(0, 0), is_gas_oil=False, h_codes=[], at=2)
        measured(into, quantity, figure)
        assert {state(into, rule) for rule in rules} == {DOES_NOT_APPLY}
        go_in(into)
        assert {state(into, rule) for rule in rules} == {NEEDS_INFO}, quantity

    thinned = begun("solvent_spent")
    found_out(thinned, f_listed_before_use_percent=(0, 0), f003_only_before_use=False, f003_present_before_use=False)
    assert state(thinned, "us.f002_f005") == state(thinned, "us.f003") == DOES_NOT_APPLY
    WAYS["toluene thinner from a jar"][1](thinned)
    assert state(thinned, "us.f002_f005") == state(thinned, "us.f003") == NEEDS_INFO


def test_what_a_jar_is_known_to_bring_applies_whatever_was_said_before():
    into = begun("solvent_spent")
    found_out(into, may_hold_toxic_solvents=False, at=3)
    assert state(into, "us.tc.solvents") == DOES_NOT_APPLY

    from_a_jar("solvent_spent", (sorted(TOXIC_SOLVENTS)[0], 100, 100))(into)

    assert state(into, "us.tc.solvents") == APPLIES


def test_a_solvent_that_is_called_rinse_may_still_have_been_used_as_one():
    into = begun("rinse")
    found_out(into, only_copper_solution=True)
    assert state(into, "us.f002_f005") == DOES_NOT_APPLY

    WAYS["a jar that nobody knows"][1](into)

    assert state(into, "us.f002_f005") == NEEDS_INFO


def test_what_was_poured_over_is_judged_as_all_that_was_in_the_other_drum():
    other, into = begun("bath_spent"), begun("rinse")
    put(other, 1, kind="bath_mud", at=2, allowance=KEYHOLDER)
    found_out(other, at=3, may_hold_other_metals=True)
    request = DepositRequest(drum=into, kind="bath_spent", litres=poured(1), allowance=KEYHOLDER)

    operations.pour_over(other, into=request, by=signed(WENT_IN))

    assert "bath_mud" in now(into).kinds
    assert state(into, "us.scrap.powder") == APPLIES
    assert state(into, "generic.other_metals") == APPLIES


def test_what_a_test_warned_of_stays_on_the_label_until_all_of_it_is_tested_again():
    into, other = begun("cleaner_used"), begun("cleaner_used")
    measured(other, "ph", 1)
    measured(other, "flash_point_c", 12)
    request = DepositRequest(drum=into, kind="cleaner_used", litres=poured(1), allowance=KEYHOLDER)
    operations.pour_over(other, into=request, by=signed(WENT_IN))
    put(other, 1, at=WENT_IN)
    for each in (into, other):
        found = classify_drum(now(each), "eu")
        assert {"H225", "H314"} <= set(found.codes) and found.is_flammable
        assert any("pH: 1 by a test strip" in said for said in found.needs_info)

        measured(each, "ph", 6, at=6)
        measured(each, "flash_point_c", 95, at=6)
        assert not {"H225", "H314"} & set(classify_drum(now(each), "eu").codes)


def test_what_once_flashed_is_not_poured_to_what_feeds_a_fire():
    into = drum("peroxide_mix", name=f"W{next(NUMBERS)}")
    source = begun("cleaner_used")
    clear = {each.why for each in objections("rinse", into=now(into), poured_over=now(source)) if each.refused}
    measured(source, "flash_point_c", 12)
    put(source, 1, at=WENT_IN)

    refused = {each.why for each in objections("rinse", into=now(into), poured_over=now(source)) if each.refused}

    assert {each.why for each in keep_unmixed(["flammable"], ["oxidiser"])} <= refused - clear


def test_what_nobody_can_tell_the_litres_of_makes_a_drum_full_as_far_as_anybody_knows():
    into = begun("rags_copper")
    operations.look_over(into, found="fine", full_percent=50, by=signed(MEASURED))
    assert state(into, "generic.fill") == DOES_NOT_APPLY

    put(into, pieces=20, at=WENT_IN)

    assert state(into, "generic.fill") == NEEDS_INFO


def test_it_is_said_on_the_page_the_summary_the_label_the_log_and_in_the_folder(member, studio):
    into = begun("rinse")
    measured(into, "ph", 5.5)
    found_out(into, drips=False)
    put(into, 1, at=WENT_IN)
    deposit = now(into).deposits[1]
    told = f"Measured before {deposit} went in, on 5 March 2026: pH: 5.5 by a test strip"

    page = member.get(into.get_absolute_url()).content.decode()
    label = PdfReader(BytesIO(member.get(f"{reverse('waste:label', args=[into.pk])}?").content)).pages[0].extract_text()

    assert told in page and f"Of before {deposit} went in." in page
    assert any(told in said for said in summary_of(into, studio).hazards.needs_info)
    assert any(told in gap for gap in Folder(studio).gaps)
    assert "pH: 5.5 by a test strip" in " ".join(label.split())
    done = [line.done for line in log.log_lines(log.Period(since=day(0), until=day(LATER)))]
    assert done.count("tested") == done.count("found out") == 1
