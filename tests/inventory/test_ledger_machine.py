"""The ledger against a plain notebook: whatever is received, used, counted, moved and struck, in any order of days."""

from dataclasses import dataclass

import pytest
from django.db import transaction
from hypothesis import assume, settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from inventory import book, integrity, ledger
from inventory.models import Container, Entry
from inventory.refusals import Refused
from tests.factories import MaterialFactory, PersonFactory, PlaceFactory, declared, signed

DAYS = st.integers(min_value=0, max_value=9)


@dataclass
class Line:
    day: int
    number: int
    act: str
    jar: int
    what: int
    struck: bool = False

    @property
    def place(self):
        return (self.day, self.number)


class Notebook:
    """What a careful person works out from the lines that are not struck, read in the order of their days."""

    def __init__(self):
        self.lines = []

    def standing(self, jar, acts, before=None):
        lines = sorted((line for line in self.lines if not line.struck), key=lambda line: line.place)
        lines = [line for line in lines if line.jar == jar and line.act in acts]
        return [line for line in lines if before is None or line.place < before.place]

    def level(self, jar, before=None):
        level = 0
        for line in self.standing(jar, ("received", "used", "counted"), before):
            level = line.what if line.act == "counted" else level + line.what
        return level

    def stands_in(self, jar, before=None):
        return self.standing(jar, ("came", "moved"), before)[-1].what

    def is_before_it_came(self, day, jar):
        return day < next(line.day for line in self.lines if (line.jar, line.act) == (jar, "received"))

    def with_line(self, line):
        self.lines.append(line)
        return line


class LedgerMachine(RuleBasedStateMachine):
    jars = Bundle("jars")

    def __init__(self):
        super().__init__()
        self.example = transaction.atomic()
        self.example.__enter__()

    def teardown(self):
        # each example begins with an empty book
        transaction.set_rollback(True)
        self.example.__exit__(None, None, None)

    @initialize()
    def open_the_shop(self):
        self.notebook = Notebook()
        self.person = PersonFactory()
        self.material = MaterialFactory()
        self.places = PlaceFactory.create_batch(3)

    @rule(target=jars, amount=st.integers(min_value=1, max_value=9), day=DAYS)
    def receive(self, amount, day):
        entry = self.entry(day)

        jar = ledger.receive(self.material, amount, entry=entry, place=self.places[0])

        self.notebook.with_line(Line(-1, 0, "came", jar.pk, self.places[0].pk))
        self.notebook.with_line(Line(day, entry.pk, "received", jar.pk, amount))
        return jar

    @rule(jar=jars, amount=st.integers(min_value=1, max_value=9), day=DAYS)
    def use(self, jar, amount, day):
        entry = self.entry(day)
        line = self.notebook.with_line(Line(day, entry.pk, "used", jar.pk, -amount))
        there = self.notebook.level(jar.pk, before=line)

        self.happens(there >= amount, line, lambda: ledger.use(jar, amount, entry=entry))

    @rule(jar=jars, amount=st.integers(min_value=0, max_value=9), day=DAYS)
    def count(self, jar, amount, day):
        entry = self.entry(day)
        line = self.notebook.with_line(Line(day, entry.pk, "counted", jar.pk, amount))
        there = self.notebook.level(jar.pk, before=line)
        possible = not self.notebook.is_before_it_came(day, jar.pk)

        difference = self.happens(possible, line, lambda: ledger.count(jar, amount, entry=entry))

        assert difference in (None, amount - there)

    @rule(jar=jars, place=st.integers(min_value=0, max_value=2), day=DAYS)
    def move(self, jar, place, day):
        place = self.places[place]
        entry = self.entry(day)
        line = self.notebook.with_line(Line(day, entry.pk, "moved", jar.pk, place.pk))
        moves = self.notebook.stands_in(jar.pk, before=line) != place.pk
        possible = moves and not self.notebook.is_before_it_came(day, jar.pk)

        self.happens(possible, line, lambda: ledger.move(jar, place, entry=entry))

    @rule(data=st.data())
    def strike(self, data):
        standing = [line for line in self.notebook.lines if line.act != "came" and not line.struck]
        assume(standing)
        line = data.draw(st.sampled_from(standing))
        line.struck = True
        entry = Entry.objects.get(pk=line.number)

        if self.notebook.level(line.jar) >= 0:
            book.strike(entry, by=self.by(9), reason="a slip")
        else:
            line.struck = False
            with pytest.raises(Refused), transaction.atomic():
                book.strike(entry, by=self.by(9), reason="a slip")

    @invariant()
    def the_ledger_agrees_with_the_notebook(self):
        for jar in Container.objects.all():
            assert jar.on_hand == self.notebook.level(jar.pk)
            assert jar.place_id == self.notebook.stands_in(jar.pk)
        assert not list(integrity.integrity_errors())

    def by(self, day):
        return signed(day, done_by=self.person)

    def entry(self, day):
        with book.entry(declared("line"), "line", self.by(day)) as entry:
            return entry

    def happens(self, possible, line, act):
        """The ledger writes what the notebook finds possible, and refuses the rest."""
        if possible and self.notebook.level(line.jar) >= 0:
            return act()
        self.notebook.lines.remove(line)
        with pytest.raises(Refused), transaction.atomic():
            act()


@pytest.mark.django_db
def test_the_ledger_keeps_the_same_book_as_a_plain_notebook():
    run_state_machine_as_test(LedgerMachine, settings=settings(max_examples=25, stateful_step_count=20))
