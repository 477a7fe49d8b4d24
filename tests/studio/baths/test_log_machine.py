"""A bath written about in any order of days, answered and struck: what is kept of it is what a fresh replay gives."""

from contextlib import suppress

import pytest
from django.db import transaction
from hypothesis import assume, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from chemistry.bath import Adopted, LevelRead
from inventory import book
from inventory.models import Entry
from inventory.refusals import Refused
from studio.baths import estimate, operations
from studio.baths.models import Answer, Bath, BathEvent
from tests.factories import PersonFactory, adopted, signed

DAYS = st.integers(min_value=0, max_value=9)
LITRES = st.sampled_from([0.1, 0.5, 2])


class LogMachine(RuleBasedStateMachine):
    def __init__(self):
        super().__init__()
        self.example = transaction.atomic()
        self.example.__enter__()

    def teardown(self):
        # each example begins with an empty book
        transaction.set_rollback(True)
        self.example.__exit__(None, None, None)

    @initialize()
    def fill_the_tank(self):
        self.person = PersonFactory()
        self.tank = adopted(volume_l=10).pk

    @rule(day=DAYS)
    def begin_anew(self, day):
        begun = Adopted(day=0, volume_l=9, volume_sd_l=0.1, strength_g_per_l=230, strength_sd_g_per_l=5)
        self.write(operations.adopt, adopted=begun, lid_on=True, by=self.by(day))

    @rule(litres=LITRES, day=DAYS)
    def top_up(self, litres, day):
        self.write(operations.top_up, water_l=litres, by=self.by(day))

    @rule(litres=LITRES, day=DAYS)
    def spill(self, litres, day):
        self.write(operations.spill, litres=litres, by=self.by(day))

    @rule(litres=st.sampled_from([8, 10, 12]), day=DAYS)
    def read_level(self, litres, day):
        reading = LevelRead(day=0, volume_l=litres, sd_l=0.05)
        self.write(operations.read, reading=reading, words=f"{litres} L", by=self.by(day))

    @rule(lid_on=st.booleans(), day=DAYS)
    def cover(self, lid_on, day):
        self.write(operations.cover, lid_on=lid_on, by=self.by(day))

    @rule(data=st.data(), choice=st.sampled_from(Answer.Choice.values))
    def answer(self, data, choice):
        readings = list(BathEvent.objects.standing().filter(kind=BathEvent.Kind.LEVEL_READ).order_by("pk"))
        assume(readings)

        operations.answer(data.draw(st.sampled_from(readings)), choice=choice, by=self.by(9))

    @rule(data=st.data())
    def strike(self, data):
        standing = list(Entry.objects.standing().order_by("pk"))
        assume(standing)

        book.strike(data.draw(st.sampled_from(standing)), by=self.by(9), reason="a slip")

    @invariant()
    def what_is_kept_is_what_a_fresh_replay_gives(self):
        assert not list(estimate.unsound_baths())

    def by(self, day):
        return signed(day, done_by=self.person)

    def write(self, act, **facts):
        """A bath may be unread by then, run over or run dry: what is refused leaves nothing behind."""
        with suppress(Refused), transaction.atomic():
            act(Bath.objects.get(pk=self.tank), **facts)


@pytest.mark.django_db
def test_a_log_in_any_order_leaves_what_a_fresh_replay_gives():
    run_state_machine_as_test(LogMachine, settings=settings(max_examples=25, stateful_step_count=15))
