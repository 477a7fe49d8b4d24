"""What left stays as it was handed over; what happens on the day has a way of its own."""

import pytest

from chemistry.bath.replaying import MODEL_VERSION
from chemistry.waste.drum import poured
from inventory.book import strike
from inventory.models import Entry
from inventory.refusals import Refused
from studio.baths import operations as baths
from studio.waste import advice, content, descriptions, disposals, operations, whereabouts
from studio.waste.disposals import Taken
from studio.waste.models import Deposit, Disposal, DisposalItem, Drum, LocalAdvice
from studio.waste.record import DisposalLine
from tests.at_once import at_once
from tests.factories import PersonFactory, adopted, day, signed
from tests.studio.waste.shop import drum, handed_over, paper_of, put

pytestmark = pytest.mark.django_db


def rinse_of(bath, *, name="W1"):
    """A drum with the drips of a bath in it."""
    made = drum(name=name, tare_g=1000)
    baths.drips(bath, plates=20, by=signed(1))
    put(made, 4.5, at=2, source=Deposit.Source.RINSE)
    return made


def correction(**facts):
    usual = {"route": "collector", "receiver": "Quarry Lane Carriers", "counted_to": day(5), "keep_until": day(2000)}
    return Disposal(**usual | {"why": "wrong weight"} | facts)


# frozen figures


def test_a_disposal_copies_what_the_drum_held_with_its_spread():
    bath = adopted()
    went = rinse_of(bath)
    held = content.content_of_drum(went)

    handed = handed_over(went).handed.get()

    assert (handed.litres, handed.copper_g) == (held.volume.value, held.copper.value)
    assert (handed.litres_sd, handed.copper_sd_g) == (held.volume.sd, held.copper.sd)
    bath.refresh_from_db()
    assert handed.book_revisions == {bath.name: bath.revision}
    assert handed.model_version == MODEL_VERSION


def test_a_later_strike_changes_the_book_and_not_the_record():
    bath = adopted()
    crystals = baths.drips(bath, plates=10, by=signed(0.5))
    handed = handed_over(rinse_of(bath)).handed.get()

    strike(crystals, by=signed(9), reason="it was the other bath")

    kept = DisposalItem.objects.get()
    assert kept.copper_g == handed.copper_g
    assert content.content_of_drum(kept.drum, kept.disposal.handed_over_at).copper.value < kept.copper_g


def test_a_disposal_is_never_struck():
    disposal = handed_over(rinse_of(adopted()))

    with pytest.raises(Refused, match=f"{disposal} stays as it was written at handover"):
        strike(disposal.entry, by=signed(9), reason="wrong weight")

    assert whereabouts.departures([disposal.handed.get().drum])


def test_what_went_with_a_disposal_is_not_struck_either_and_the_refusal_names_it():
    went = drum()
    line = put(went, 4, at=1)
    disposal = handed_over(went)

    with pytest.raises(Refused, match=f"W1 has left: {disposal}"):
        strike(line, by=signed(9), reason="it was the other drum")


def test_nothing_goes_into_a_drum_that_has_left():
    went = drum()
    put(went, 4)
    handed_over(went)

    with pytest.raises(Refused, match="W1 has left"):
        put(went, 1, at=6)
    with pytest.raises(Refused, match="W1 has left"):
        put(went, 1, at=2)
    assert went not in whereabouts.drums_on_site()


def test_a_drum_leaves_once():
    went = drum()
    put(went, 4)
    handed_over(went)

    with pytest.raises(Refused, match="W1 has left"):
        handed_over(went, at=6)


def test_a_drum_is_not_handed_over_before_what_went_into_it():
    went = drum()
    put(went, 4, at=1)
    put(went, 4, at=7)

    with pytest.raises(Refused, match="in the book after that"):
        handed_over(went, at=5)


def test_an_empty_drum_is_not_handed_over():
    with pytest.raises(Refused, match="There is nothing in W1"):
        handed_over(drum())


# weights


@pytest.mark.parametrize(
    ("weighed", "how", "net_g", "net_sd_g"),
    [
        ({"before_g": 9000, "after_g": 4600, "half_width_g": 50}, "scale", 4400, 36.1),
        ({"before_g": 5600, "half_width_g": 50}, "tare", 4600, 36.1),
        ({}, "book", 4590, 190),
    ],
)
def test_what_was_weighed_goes_before_what_the_book_adds_up(weighed, how, net_g, net_sd_g):
    went = drum(tare_g=1000)
    put(went, 4.5)

    handed = handed_over(taken=[Taken(drum=went, **weighed)]).handed.get()

    assert handed.how == how
    assert handed.net_g == pytest.approx(net_g)
    assert handed.net_sd_g == pytest.approx(net_sd_g, rel=0.3)


# disposal day as it goes


def test_a_part_poured_out_leaves_as_a_drum_of_its_own():
    bath = adopted()
    whole = rinse_of(bath)
    before = content.content_of_drum(whole)

    disposal = handed_over(taken=[Taken(drum=whole, part={"litres": poured(3)})])

    part = disposal.handed.get().drum
    assert part.name == "W1 part 1"
    left, gone = content.content_of_drum(whole), disposal.handed.get()
    assert whole in whereabouts.drums_on_site() and part not in whereabouts.drums_on_site()
    assert (left.volume.value, gone.litres) == (pytest.approx(1.5), pytest.approx(3))
    assert gone.copper_g == pytest.approx(before.copper.value * 3 / 4.5)
    assert left.copper.value + gone.copper_g == pytest.approx(before.copper.value)


def test_no_more_is_poured_out_than_is_there():
    whole = drum()
    put(whole, 4.5)

    with pytest.raises(Refused, match="W1 holds 4.5 L"):
        handed_over(taken=[Taken(drum=whole, part={"litres": poured(9)})])
    assert not Disposal.objects.exists() and Drum.objects.count() == 1


def test_a_drum_refused_on_the_day_stays_open_with_the_reason():
    stays = drum()
    put(stays, 4)

    disposals.refuse(stays, by_whom="Quarry Lane Carriers", why="the lid is cracked", by=signed(5))

    assert stays in whereabouts.drums_on_site()
    assert str(stays.refusals.get()) == "refused by Quarry Lane Carriers: the lid is cracked"


def test_a_drum_that_was_brought_back_can_be_filled_and_handed_over_again():
    went = drum()
    put(went, 4)
    handed_over(went)

    disposals.refuse(went, by_whom="Quarry Lane Carriers", why="the wrong code", by=signed(6))
    put(went, 2, at=7)
    again = handed_over(went, at=8)

    assert again.handed.get().litres == pytest.approx(6)
    assert whereabouts.departures([went])[went.pk].startswith(str(again))


def test_a_coming_back_is_not_struck_under_what_went_in_since():
    went = drum()
    put(went, 4)
    handed_over(went)
    back = disposals.refuse(went, by_whom="Quarry Lane Carriers", why="the wrong code", by=signed(6))
    since = put(went, 2, at=7)

    with pytest.raises(Refused, match="Later lines rest on this one"):
        strike(back, by=signed(9), reason="it did not")

    strike(since, by=signed(9), reason="it did not")
    strike(back, by=signed(9), reason="it did not")
    assert went not in whereabouts.drums_on_site()


# corrections


def test_a_further_record_corrects_and_the_first_stays_as_it_was():
    went = drum(tare_g=1000)
    put(went, 4)
    wrong = handed_over(taken=[Taken(drum=went, before_g=6000, half_width_g=50)])

    right = correction()
    disposals.correct(wrong, right, taken=[Taken(drum=went, before_g=5000, half_width_g=50)], by=signed(9))

    assert [wrong.handed.get().net_g, right.handed.get().net_g] == [5000, 4000]
    assert list(Disposal.objects.in_force()) == [right]
    assert whereabouts.departures([went])[went.pk].startswith(str(right))
    assert right.handed_over_at == wrong.handed_over_at


def test_a_record_is_corrected_once_and_then_the_correction_is():
    went = drum()
    put(went, 4)
    wrong = handed_over(went)
    right = correction()
    disposals.correct(wrong, right, taken=[Taken(drum=went)], by=signed(9))

    with pytest.raises(Refused, match=f"correct {right}"):
        disposals.correct(wrong, correction(), taken=[Taken(drum=went)], by=signed(9))
    third = correction(why="their number")
    disposals.correct(right, third, taken=[Taken(drum=went)], by=signed(10))
    assert third.began_with == wrong


def test_a_drum_left_out_of_the_correction_never_left():
    first, second = drum(), drum(name="W4", kind="cleaner_used")
    put(first, 4)
    put(second, 4)
    wrong = handed_over(first, second)

    disposals.correct(wrong, correction(why="W4 stayed"), taken=[Taken(drum=first)], by=signed(9))

    assert list(whereabouts.drums_on_site()) == [second]


def test_a_correction_brings_no_other_drum():
    first, second = drum(), drum(name="W4", kind="cleaner_used")
    put(first, 4)
    put(second, 4)
    wrong = handed_over(first)

    with pytest.raises(Refused, match="a record of its own"):
        disposals.correct(wrong, correction(), taken=[Taken(drum=second)], by=signed(9))


# routes


def scrap_of(kind):
    made = drum(kind, name="W5")
    put(made, grams=68)
    return made


def test_solid_copper_goes_as_scrap_with_its_ticket():
    disposal = handed_over(scrap_of("cathode_copper"), route="scrap", document_kind="weight ticket")

    assert disposal.handed.get().net_g == pytest.approx(68)


def test_loose_powder_is_never_called_scrap():
    with pytest.raises(Refused, match="only solid, dry copper goes as scrap metal") as refusal:
        handed_over(scrap_of("cathode_powder"), route="scrap")

    assert refusal.value.field == "route"


def permission(**facts):
    usual = {
        "kind": "sewer",
        "asked": "Quarry Lane water office",
        "answer": "Last rinse only.",
        "stream": "rinse",
        "said_on": day(0).date(),
        "is_written": True,
    }
    return advice.record(LocalAdvice(**usual | facts), by=signed(1)).advice.get()


def test_the_sewer_needs_a_permission_in_writing():
    last_rinse = rinse_of(adopted())

    with pytest.raises(Refused, match="permission in writing"):
        handed_over(last_rinse, route="sewer")
    allowed = permission()
    disposal = handed_over(last_rinse, route="sewer", permission=allowed)

    with pytest.raises(Refused, match=f"{disposal} went by this permission"):
        strike(allowed.entry, by=signed(9), reason="a mistake")


def test_of_copper_that_is_known_in_part_a_record_says_how_much_at_least():
    mixed = rinse_of(adopted())
    put(mixed, 2, at=3, source="other")
    held = content.content_of_drum(mixed)

    (handed,) = handed_over(mixed).handed.all()

    assert (held.copper, handed.copper_g) == (None, None)
    known = held.copper_parts[0].copper_g
    assert handed.copper_at_least_g == pytest.approx(known.value - 1.96 * known.sd, rel=1e-3)
    assert (
        descriptions.DrumDescription(held)
        .figures[-1]
        .summary.startswith("Copper in it, needs info for the rest: at least")
    )
    assert DisposalLine(handed).copper_words.endswith(" g; needs info for the rest")


def test_copper_that_nobody_knows_does_not_go_to_the_sewer():
    last_rinse = drum()
    put(last_rinse, 3, source="rinse")

    with pytest.raises(Refused, match="Nobody knows how much copper is dissolved in W1") as refusal:
        handed_over(last_rinse, route="sewer", permission=permission())

    assert refusal.value.field == "route"


def test_more_copper_than_the_sewer_takes_is_not_poured():
    last_rinse = rinse_of(adopted())
    permission(kind="sewer-limit", stream="", cu_mg_per_l=1.0)

    with pytest.raises(Refused, match="Quarry Lane water office takes 1 mg/L at most") as refusal:
        handed_over(last_rinse, route="sewer", permission=permission())

    assert refusal.value.field == "route"


def test_less_copper_than_the_sewer_takes_may_go_by_its_permission():
    last_rinse = rinse_of(adopted())
    permission(kind="sewer-limit", stream="", cu_mg_per_l=1e5)

    assert handed_over(last_rinse, route="sewer", permission=permission()).handed.exists()


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"stream": "cleaner_used"}, "something else than it permits"),
        ({"until_on": day(3).date()}, "did not hold on that day"),
        ({"kind": "answer"}, "permission in writing"),
    ],
)
def test_a_permission_holds_for_what_and_when_it_was_given(said, words):
    last_rinse = drum()
    put(last_rinse, 4)

    with pytest.raises(Refused, match=words):
        handed_over(last_rinse, route="sewer", permission=permission(**said))


def test_somebody_takes_it():
    went = drum()
    put(went, 4)

    with pytest.raises(Refused, match="Say who takes it"):
        handed_over(went, receiver="")


# their papers


def test_a_disposal_waits_for_the_signed_copy():
    went = drum()
    put(went, 4)
    disposal = handed_over(went)
    assert list(Disposal.objects.awaiting()) == [disposal]

    paper_of(disposal)

    assert not Disposal.objects.awaiting().exists()


def test_a_copy_that_is_struck_is_awaited_again():
    went = drum()
    put(went, 4)
    disposal = handed_over(went)
    filed = paper_of(disposal).entry

    strike(filed, by=signed(10), reason="of another day")

    assert list(Disposal.objects.awaiting()) == [disposal]


def test_the_copy_of_a_corrected_record_counts_for_the_correction():
    went = drum()
    put(went, 4)
    wrong = handed_over(went)
    paper_of(wrong)

    disposals.correct(wrong, correction(), taken=[Taken(drum=went)], by=signed(9))

    assert not Disposal.objects.awaiting().exists()


def test_a_signed_copy_comes_once():
    went = drum()
    put(went, 4)
    disposal = handed_over(went)
    paper_of(disposal)

    with pytest.raises(Refused, match="here already"):
        paper_of(disposal, at=9)


# at once


@pytest.mark.django_db(transaction=True)
def test_two_people_handing_over_one_drum_write_one_record():
    went = drum()
    put(went, 4)
    people = [PersonFactory(), PersonFactory()]

    answers = at_once([lambda one=one: handed_over(went, by=signed(5, done_by=one)) for one in people])

    assert sum(isinstance(answer, Disposal) for answer in answers) == 1
    assert [str(answer.message) for answer in answers if isinstance(answer, Refused)][0].startswith("W1 has left")
    assert Disposal.objects.count() == DisposalItem.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_a_deposit_while_handing_over_is_in_the_record_or_not_in_the_drum():
    went = drum()
    put(went, 4)
    people = [PersonFactory(), PersonFactory()]

    answers = at_once(
        [
            lambda: handed_over(went, by=signed(5, done_by=people[0])),
            lambda: put(went, 2, at=4, by=signed(4, done_by=people[1])),
        ]
    )

    assert isinstance(answers[0], Disposal)
    assert isinstance(answers[1], Entry | Refused)
    assert DisposalItem.objects.get().litres == pytest.approx(6 if isinstance(answers[1], Entry) else 4)
    assert content.content_of_drum(went).volume.value == pytest.approx(DisposalItem.objects.get().litres)


def test_what_stands_in_a_drum_again_is_known_by_its_name(today):
    went = drum()
    put(went, 4)
    handed_over(went)

    assert operations.start_drum(
        Drum(name="W1", kind="rinse", vessel="hdpe", capacity_l=20, place=went.place), by=signed(6)
    )
