from types import SimpleNamespace

import pytest

from chemistry.bath import Titrated
from inventory import book
from inventory.refusals import NotEnoughStock
from studio.baths import estimate
from studio.baths import operations as baths
from studio.baths.models import Answer
from studio.baths.salt import Portion
from studio.people.roles import may_strike
from tests.factories import PersonFactory, adopted, day, entry, signed, stocked

pytestmark = pytest.mark.django_db


def strength(bath, at):
    return estimate.at_moment(bath, day(at)).strength_g_per_l


def test_a_struck_top_up_leaves_jar_and_bath_as_if_it_had_not_been():
    bath, jar = adopted(), stocked("1 kg", crystals=True)
    before = strength(bath, 2)
    topped_up = baths.top_up(bath, water_l=0, salt=[Portion(jar, 200_000)], salt_anyway="it looked weak", by=signed(1))

    book.strike(topped_up, by=signed(2), reason="wrong tank")

    jar.refresh_from_db()
    bath.refresh_from_db()
    assert jar.on_hand == 1_000_000
    assert strength(bath, 2) == pytest.approx(before)


def test_a_strike_raises_the_revision_of_the_bath_it_touches():
    bath = adopted()
    topped_up = baths.top_up(bath, water_l=0.5, by=signed(1))
    revision = bath.revision

    book.strike(topped_up, by=signed(2), reason="wrong tank")

    bath.refresh_from_db()
    assert bath.revision == revision + 1
    assert not list(estimate.unsound_baths())


def test_a_struck_answer_holds_the_reading_out_again():
    bath = adopted()
    baths.read(bath, Titrated(day=0, mol_per_l=0.5, sd=0.005), words="0.5 mol/L", by=signed(1))
    reading = bath.events.last()
    held_out = strength(bath, 2)
    answer = baths.answer(reading, choice=Answer.Choice.TRUST_READING, by=signed(2))

    book.strike(answer, by=signed(3), reason="the burette leaked")

    bath.refresh_from_db()
    assert strength(bath, 2) == pytest.approx(held_out)


def test_a_refused_strike_leaves_the_bath_alone():
    jar = stocked("500 g", crystals=True)
    received = jar.movements.get().entry
    bath = adopted()
    baths.top_up(bath, water_l=0, salt=[Portion(jar, 400_000)], salt_anyway="it looked weak", by=signed(1))
    revision = bath.revision

    with pytest.raises(NotEnoughStock, match="In the way"):
        book.strike(received, by=signed(2), reason="never came")

    bath.refresh_from_db()
    assert bath.revision == revision


def asked_by(person, *, is_keyholder=False):
    return SimpleNamespace(person=person, user=person.account, is_keyholder=is_keyholder)


@pytest.mark.parametrize(("is_keyholder", "may"), [(True, True), (False, False)])
def test_what_somebody_else_did_is_struck_by_a_keyholder_only(is_keyholder, may):
    stranger = PersonFactory()

    allowed = may_strike(asked_by(stranger, is_keyholder=is_keyholder), entry())

    assert allowed is may


def test_members_strike_what_they_did_themselves():
    written = entry()

    assert may_strike(asked_by(written.done_by), written)
