"""`everything.zip` of a whole year opens again in an empty book, with every row, figure, seal and document."""

from contextlib import nullcontext
from datetime import timedelta
from hashlib import sha256

import pytest
from django.core.management import call_command
from django.db.models import Sum
from django.test import Client
from django.utils import timezone

from inventory import integrity, seals
from inventory.models import Container, MonthSum, Person, Seal
from studio import preparation
from studio.baths import estimate
from studio.baths.models import Bath
from studio.bench import everything
from studio.bites import integrity as bites
from studio.server import backups, rows
from studio.waste.content import content_of_drum
from studio.waste.models import CalendarAddress, Drum
from studio.workshop import operations as workshop
from tests.factories import stocked

pytestmark = pytest.mark.django_db
LATER = timezone.now() + timedelta(days=1)


@pytest.fixture
def folder(settings, tmp_path, monkeypatch):
    """A data folder of the test's own; the year is in no other connection's sight, and its database is made."""
    settings.DATA = tmp_path
    settings.MEDIA_ROOT = tmp_path / "uploads"
    monkeypatch.setattr(backups, "snapshot", lambda: nullcontext("default"))
    monkeypatch.setattr(preparation, "bring_up_to_date", lambda: None)
    return tmp_path


def taken_to(path):
    """The zip as a keyholder has it from its page."""
    keyholder = Person.objects.filter(role=Person.Role.KEYHOLDER).first()
    client = Client()
    client.force_login(keyholder.account)
    path.write_bytes(b"".join(client.get("/everything.zip").streaming_content))
    return path


def tables():
    """Of each table how many rows it has, and a digest of all that leaves with the book."""
    found = {}
    for model in set(rows.kept_models()).difference(everything.KEPT_HERE):
        secret = everything.SECRETS.get(model, ())
        fields = [field.attname for field in model._meta.concrete_fields if field.name not in secret]
        held = list(model._base_manager.order_by("pk").values_list(*fields))
        found[model._meta.label] = (len(held), sha256(repr(held).encode()).hexdigest())
    return found


def figures():
    """What pages add up and replay, at a moment behind them."""
    stock = [(jar.code, jar.shown_on_hand()) for jar in Container.objects.select_related("material")]
    used = list(MonthSum.objects.values_list("kind").annotate(Sum("amount"), Sum("lines")).order_by("kind"))
    baths = [repr(estimate.at_moment(bath, LATER)) for bath in Bath.objects.order_by("pk")]
    drums = [(str(drum), repr(content_of_drum(drum, LATER).copper)) for drum in Drum.objects.order_by("pk")]
    return stock, used, baths, drums


def documents(folder):
    return {str(each.relative_to(folder)): each.read_bytes() for each in folder.rglob("uploads/**/*") if each.is_file()}


def unsound():
    baths = (str(bath) for bath in estimate.unsound_baths())
    return [*integrity.integrity_errors(), *baths, *bites.integrity_errors(), *seals.errors()]


def test_a_whole_year_opens_again_as_it_was(tallow_street, folder, capsys):
    (folder / "uploads" / "sheets").mkdir(parents=True)
    (folder / "uploads" / "sheets" / "sulfate.pdf").write_bytes(b"%PDF- as the supplier sent it")
    seals.seal()
    sealed = list(Seal.objects.values_list("digest", flat=True))
    before = tables(), figures(), documents(folder)
    addresses = set(CalendarAddress.objects.values_list("token", flat=True))
    archive = taken_to(folder / "everything.zip")
    workshop.empty_the_demo()
    (folder / "uploads" / "sheets" / "sulfate.pdf").unlink()

    call_command("restore", archive)

    assert (tables(), figures(), documents(folder)) == before
    assert min(held for held, _ in (before[0]["inventory.Entry"], before[0]["baths.BathEvent"])) > 50
    assert sealed and list(Seal.objects.values_list("digest", flat=True)) == sealed
    assert unsound() == []
    assert addresses.isdisjoint(CalendarAddress.objects.values_list("token", flat=True))
    assert not Person.objects.get(name="Maren Oakes").account.check_password("tallow-street")
    assert "changepassword NAME` gives a keyholder a password: maren" in capsys.readouterr().out
    assert stocked("1 kg").pk > Container.objects.order_by("pk").first().pk, "numbers go on behind those that came"
