from datetime import date

import pytest

from inventory.book import strike
from inventory.models import Entry, Material
from inventory.refusals import Refused
from studio.bites import operations as bites
from studio.bites.operations import Setting
from studio.people.inductions import Task, induct, refuse_uninducted, uninducted
from studio.people.models import Induction
from studio.people.roles import KEYHOLDER
from studio.shelf import operations as shelf
from tests.factories import PersonFactory, WorkshopFactory, adopted, bitten, plate, signed, started, stocked

pytestmark = pytest.mark.django_db

SOLVENT = {"category": Material.Category.SOLVENTS, "dimension": "volume", "shown_unit": "mL"}


@pytest.fixture
def gate(today):
    """A studio that asks for inductions, with a keyholder who gives them; it is the tenth day."""
    today(10)
    WorkshopFactory(asks_for_induction=True)
    return PersonFactory(name="Ada Brook", role=KEYHOLDER)


def inducted(person, *tasks, by, at=0, until_on=None):
    return induct(person, tasks=tasks or Task.values, by=signed(at, done_by=by), until_on=until_on)


def start(bath, person, at=2, **signature):
    return bites.start(bath, setting=Setting(), by=signed(at, done_by=person, **signature))


def test_a_bite_is_not_started_without_an_induction_and_says_whom_to_ask(gate):
    ben = PersonFactory(name="Ben Crane")

    with pytest.raises(Refused, match=r"Ben Crane is not inducted for the bath\. Ask Ada Brook") as refusal:
        start(adopted(), ben)

    assert refusal.value.field == "done_by"
    assert not Entry.objects.filter(kind=bites.STARTED).exists()


def test_whoever_was_shown_the_bath_starts_a_bite(gate):
    ben = PersonFactory()
    inducted(ben, Task.BATH, by=gate)

    assert start(adopted(), ben).done_by == ben


def test_the_bath_teaches_nothing_about_solvents(gate):
    ben, tin = PersonFactory(), stocked("1 L", **SOLVENT)
    inducted(ben, Task.BATH, by=gate)

    with pytest.raises(Refused, match="for solvents"):
        shelf.use(tin, amount=1_000, by=signed(2, done_by=ben))


@pytest.mark.parametrize("act", ["use", "use_several", "split"])
def test_a_solvent_is_taken_by_whoever_was_shown_how(gate, act):
    ben, tin = PersonFactory(), stocked("1 L", **SOLVENT)
    take = {
        "use": lambda by: shelf.use(tin, amount=1_000, by=by),
        "use_several": lambda by: shelf.use_several([(tin, 1_000)], by=by),
        "split": lambda by: shelf.split(tin, amount=1_000, place=tin.place, by=by),
    }[act]
    with pytest.raises(Refused, match="for solvents"):
        take(signed(2, done_by=ben))

    inducted(ben, Task.SOLVENTS, by=gate, at=3)

    assert take(signed(4, done_by=ben))


def test_tape_is_taken_by_anybody(gate):
    assert shelf.use(stocked("1 kg"), amount=1_000, by=signed(2))


def test_copper_is_cut_by_whoever_was_shown_how(gate):
    ben, sheet = PersonFactory(), stocked("1 m2", dimension="area", shown_unit="m2")
    cut = {"size": "10 x 10 cm", "plate_mm2": 10_000, "plates": 1, "place": sheet.place}
    with pytest.raises(Refused, match="for cutting copper"):
        shelf.cut(sheet, by=signed(2, done_by=ben), **cut)
    with pytest.raises(Refused, match="for cutting copper"):
        plate(2, cut_from=sheet, by=signed(2, done_by=ben))

    inducted(ben, Task.CUTTING, by=gate, at=3)

    assert shelf.cut(sheet, by=signed(4, done_by=ben), **cut)


def test_a_plate_of_its_own_copper_is_nobodys_cutting(gate):
    assert plate(2).pk


def test_an_induction_ends_with_its_last_day(gate):
    ben, bath = PersonFactory(name="Ben Crane"), adopted()
    inducted(ben, by=gate, until_on=date(2026, 3, 5))

    started(bath, at=3, by=signed(3, done_by=ben))

    with pytest.raises(Refused, match="The induction of Ben Crane for the bath ended on 5 March 2026"):
        start(bath, ben, at=4)


def test_the_newer_induction_takes_the_place_of_the_older(gate):
    ben, bath = PersonFactory(), adopted()
    inducted(ben, Task.BATH, by=gate)
    inducted(ben, Task.BATH, by=gate, at=1, until_on=date(2026, 3, 3))

    with pytest.raises(Refused, match="ended on 3 March"):
        start(bath, ben)


def test_a_struck_induction_no_longer_opens_the_gate(gate):
    ben = PersonFactory()
    line = inducted(ben, by=gate)
    strike(line, by=signed(1, done_by=gate), reason="it was somebody else")

    with pytest.raises(Refused, match="is not inducted"):
        start(adopted(), ben)


def test_an_induction_of_today_says_nothing_about_yesterday(gate):
    ben = PersonFactory()
    inducted(ben, by=gate, at=5)

    with pytest.raises(Refused, match="is not inducted"):
        start(adopted(), ben, at=4)


def test_a_keyholder_is_never_stopped(gate):
    assert start(adopted(), gate)


def test_an_etcher_alone_at_home_never_meets_the_gate(gate):
    shelf.use(stocked("1 L", **SOLVENT), amount=1_000, by=signed(2, done_by=gate))

    assert start(adopted(), gate)


def test_a_keyholder_writes_the_line_of_somebody_who_lacks_an_induction_with_the_reason(gate):
    guest, bath = PersonFactory(account=None), adopted()
    with pytest.raises(Refused):
        start(bath, guest, recorded_by=gate.account)

    entry = start(bath, guest, recorded_by=gate.account, note="Ada stood beside it, a course evening")

    assert entry.done_by == guest


def test_a_members_reason_opens_no_gate(gate):
    ben = PersonFactory()

    with pytest.raises(Refused):
        start(adopted(), ben, recorded_by=ben.account, note="I know how")


def test_a_studio_may_leave_the_gate_open(today):
    today(10)
    WorkshopFactory(asks_for_induction=False)

    assert start(adopted(), PersonFactory())


def test_the_gate_asks_the_database_once(gate, django_assert_num_queries):
    ben = PersonFactory()
    inducted(ben, by=gate)
    by = signed(2, done_by=ben, recorded_by=ben.account)

    with django_assert_num_queries(1):
        refuse_uninducted(Task.BATH, by)


def test_a_bite_that_happened_is_written_and_told_apart(gate):
    ben, cleo = PersonFactory(), PersonFactory()
    inducted(cleo, Task.BATH, by=gate)
    bath = adopted()
    stray = bitten(bath, at=2, by=signed(2, done_by=ben))
    bitten(bath, at=3, by=signed(3, done_by=cleo))
    bitten(bath, at=4, by=signed(4, done_by=gate))

    assert list(uninducted(Entry.objects.filter(bites__isnull=False), Task.BATH)) == [stray.entry]


def test_an_induction_given_afterwards_answers_for_what_was_bitten_before(gate):
    ben = PersonFactory()
    bitten(adopted(), at=2, by=signed(2, done_by=ben))

    inducted(ben, Task.BATH, by=gate, at=3)

    assert not uninducted(Entry.objects.filter(bites__isnull=False), Task.BATH)


def test_an_induction_that_ended_since_keeps_the_bites_of_its_time(gate):
    ben = PersonFactory()
    inducted(ben, by=gate, until_on=date(2026, 3, 5))
    bitten(adopted(), at=2, by=signed(2, done_by=ben))

    assert not uninducted(Entry.objects.filter(bites__isnull=False), Task.BATH)


def test_nobody_inducts_themselves(gate):
    with pytest.raises(Refused, match="Nobody inducts themselves") as refusal:
        inducted(gate, by=gate)

    assert refusal.value.field == "done_by"
    assert not Induction.objects.exists()


def test_an_induction_does_not_end_before_it_begins(gate):
    with pytest.raises(Refused, match="end before it began") as refusal:
        inducted(PersonFactory(), by=gate, at=5, until_on=date(2026, 3, 1))

    assert refusal.value.field == "until_on"


def test_one_evening_is_one_line_of_the_book(gate):
    line = inducted(PersonFactory(name="Ben Crane"), Task.SOLVENTS, Task.BATH, by=gate, until_on=date(2027, 3, 1))

    assert str(line) == "Inducted Ben Crane for the bath and solvents, until 1 March 2027"
    assert line.inductions.count() == 2
