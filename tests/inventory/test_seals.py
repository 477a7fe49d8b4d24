"""Whatever is changed behind the book's back, the first thing that was is named."""

import pytest
from django.core.management import CommandError, call_command
from django.db import models
from django.utils import timezone

from chemistry.bath import LevelRead
from inventory import book, seals
from inventory.models import Entry, Material, Movement, Person, Seal
from studio.baths import operations as baths
from studio.baths.models import BathEvent
from studio.shelf import kinds
from studio.shelf import operations as shelf
from tests.factories import PersonFactory, adopted, signed, stocked
from tests.studio.waste.shop import drum, handed_over, put

pytestmark = pytest.mark.django_db


class Written:
    """A jar that was filled, used, used by mistake and renamed; a bath that was read, a drum that left."""

    def __init__(self):
        self.jar = stocked("500 g")
        self.used = shelf.use(self.jar, amount=10_000, by=signed(1))
        self.wrong = shelf.use(self.jar, amount=20_000, by=signed(2))
        self.movement = self.used.movements.get()
        baths.read(adopted(), LevelRead(day=3, volume_l=11.5, sd_l=0.1), words="30 cm", by=signed(3))
        left = drum()
        put(left, 2.0)
        handed_over(left)
        seals.seal()
        book.strike(self.wrong, by=signed(4), reason="it was another jar")
        changed = {"kind": kinds.MATERIAL_CHANGED, "subject": "Changed", "by": signed(5)}
        book.change(self.jar.material, {"note": "from the cupboard"}, **changed)
        seals.seal()


def change(model, pk, **values):
    """As somebody would who has the file and knows SQL."""
    models.QuerySet(model).filter(pk=pk).update(**values)


def test_an_unchanged_book_holds_and_is_sealed_once():
    Written()

    assert list(seals.errors()) == []
    assert seals.seal() is None, "nothing was written since"
    assert Seal.objects.count() == 2


def take_line_away(on):
    models.QuerySet(Movement).filter(pk=on.movement.pk)._raw_delete("default")


def slip_line_in(on):
    on.movement.pk, on.movement._state.adding = None, True
    models.Model.save(on.movement)


def take_entry_away(on):
    take_line_away(on)
    models.QuerySet(Entry).filter(pk=on.used.pk)._raw_delete("default")


TAMPERED = {
    "what was done": (lambda on: change(Entry, on.used.pk, subject="Used 1 g"), "entry {on.used.pk} "),
    "who did it": (lambda on: change(Entry, on.used.pk, done_by=PersonFactory()), "entry {on.used.pk} "),
    "the note": (lambda on: change(Entry, on.used.pk, note="the lid was off"), "entry {on.used.pk} "),
    "when it was written": (lambda on: change(Entry, on.used.pk, recorded_at=timezone.now()), "entry {on.used.pk} "),
    "an amount": (lambda on: change(Movement, on.movement.pk, amount=-1), "entry {on.used.pk} "),
    "a line taken away": (take_line_away, "entry {on.used.pk} "),
    "a line slipped in": (slip_line_in, "entry {on.used.pk} "),
    "an entry taken away": (take_entry_away, "entry {on.used.pk} "),
    "a reading": (lambda on: change(BathEvent, BathEvent.objects.latest("pk").pk, kind="LidPut"), "entry "),
    "a strike undone": (
        lambda on: change(Entry, on.wrong.pk, struck_at=None, struck_by=None, strike_reason=""),
        "strike of entry {on.wrong.pk} ",
    ),
    "why it was struck": (
        lambda on: change(Entry, on.wrong.pk, strike_reason="mine"),
        "strike of entry {on.wrong.pk} ",
    ),
    "a fact": (lambda on: change(Material, on.jar.material_id, name="Salt"), "material {on.jar.material_id} "),
    "a name": (lambda on: change(Person, on.used.done_by_id, name="Somebody"), "person {on.used.done_by_id} "),
    "the seal": (lambda on: change(Seal, Seal.objects.first().pk, sealed_at=timezone.now()), "the seal itself "),
}


@pytest.mark.parametrize("way", TAMPERED)
def test_what_was_changed_behind_the_book_is_named(way):
    on = Written()
    tamper, named = TAMPERED[way]

    tamper(on)

    assert next(seals.errors()).startswith(named.format(on=on))


def test_the_command_says_so(capsys):
    on = Written()
    call_command("verify")
    assert f"{Seal.objects.last()}. All 2 hold" in capsys.readouterr().out

    change(Person, on.used.done_by_id, name="Somebody")

    with pytest.raises(CommandError, match=f"is not as seal {Seal.objects.first().pk} of"):
        call_command("verify")


def test_making_one_seal_anew_breaks_the_next():
    on = Written()
    change(Entry, on.used.pk, note="the lid was off")
    first = Seal.objects.first()
    parts = list(seals.parts(None, first))
    marks = {name: digest[: seals.MARK] for name, digest in parts}

    change(Seal, first.pk, digest=seals.chained(None, first, parts), marks=marks)

    [error] = seals.errors()
    assert f"is not as seal {Seal.objects.last().pk} of" in error


def test_a_long_book_is_sealed_in_steps(monkeypatch):
    monkeypatch.setattr(seals, "ENTRIES_OF_A_SEAL", 2)
    Written()

    assert Seal.objects.count() > 3
    assert list(seals.errors()) == []


def test_a_day_is_sealed_once():
    stocked("500 g")

    assert seals.seal_the_day() is not None
    stocked("600 g")
    assert seals.seal_the_day() is None
    change(Seal, Seal.objects.get().pk, sealed_at=timezone.now() - timezone.timedelta(days=1))
    assert seals.seal_the_day() is not None
