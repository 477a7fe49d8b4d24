import os
import time
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from chemistry.bath import LevelRead
from inventory import book
from inventory.models import Container
from studio.baths import operations
from studio.baths.models import Bath, Estimate
from studio.baths.salt import Portion
from tests.factories import BathFactory, adopted, bitten, day, plate, signed, stocked
from tests.studio.bites.test_photographs import photographed

pytestmark = pytest.mark.django_db


def verified():
    out = StringIO()
    call_command("verify", stdout=out)
    return out.getvalue()


def in_use():
    """A bath that was mixed, bitten in, read and topped up."""
    jar = stocked("4600 g", crystals=True)
    bath = BathFactory(name="Upright tank")
    operations.mix(bath, water_l=11, salt=[Portion(jar, 3_000_000)], by=signed(1))
    bitten(bath, at=2)
    operations.read(bath, LevelRead(day=0, volume_l=12.1, sd_l=0.04), words="30.2 cm", by=signed(3))
    operations.top_up(bath, water_l=0.2, by=signed(4))
    return bath


def test_a_book_in_use_is_sound():
    in_use()

    assert verified() == "The book is sound: 5 entries, 1 containers, 1 baths.\n"


def test_a_book_with_lines_out_of_order_and_struck_lines_is_sound():
    bath = in_use()
    late = operations.drips(bath, plates=3, by=signed(2.5))
    operations.spill(bath, litres=0.2, by=signed(3.5))

    book.strike(late, by=signed(5), reason="never bitten")

    assert verified().startswith("The book is sound")


def test_an_empty_book_is_sound():
    assert verified() == "The book is sound: 0 entries, 0 containers, 0 baths.\n"


def test_what_nobody_could_have_written_is_named():
    in_use()
    Estimate.objects.update(state="torn")

    with pytest.raises(CommandError, match="what the database holds makes no sense"):
        verified()


def test_an_estimate_changed_behind_the_book_is_named():
    bath = in_use()
    kept = Estimate.objects.filter(bath=bath).latest("pk")
    Estimate.objects.filter(pk=kept.pk).update(state=kept.state | {"salt_g": 3100.0})

    with pytest.raises(CommandError, match="not sound: what is kept of Upright tank differs from its log"):
        verified()


def test_an_estimate_that_was_lost_is_named():
    in_use()
    Estimate.objects.latest("pk").delete()

    with pytest.raises(CommandError, match="Upright tank"):
        verified()


def test_an_event_carried_to_another_day_is_named():
    bath = in_use()
    with connection.cursor() as cursor:
        cursor.execute("UPDATE baths_bathevent SET happened_at = %s WHERE kind = 'LevelRead'", [day(3.1)])

    with pytest.raises(CommandError, match=f"what is kept of {bath}"):
        verified()


def test_an_estimate_of_an_older_model_is_not_read_and_so_not_wrong():
    bath = in_use()
    Estimate.objects.filter(bath=bath).update(state=None)
    Bath.objects.update(estimated_model=0)

    assert verified().startswith("The book is sound")


def test_everything_that_is_not_sound_is_named_in_one_line():
    jar, bath = stocked("500 g"), adopted(name="Small tank")
    Container.objects.filter(pk=jar.pk).update(on_hand=1_000)
    Estimate.objects.filter(bath=bath).delete()

    with pytest.raises(CommandError) as found:
        verified()

    assert str(jar) in str(found.value)
    assert "Small tank" in str(found.value)
    assert "\n" not in str(found.value)


@pytest.fixture
def documents(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


def test_a_document_that_is_gone_is_named(documents):
    photo = photographed(plate()).photographs.get()
    assert verified().startswith("The book is sound")

    (documents / photo.small.name).unlink()

    with pytest.raises(CommandError, match=f"the file of photograph {photo.pk} is gone: {photo.small.name}"):
        verified()


def test_a_document_that_no_line_names_is_told_and_the_book_is_sound(documents, capsys):
    photographed(plate())
    for name, age in (("stray.pdf", 7200), ("just-brought.pdf", 5)):
        (documents / name).write_bytes(b"%PDF-")
        then = time.time() - age
        os.utime(documents / name, (then, then))

    assert verified().startswith("The book is sound")

    told = capsys.readouterr().err
    assert "1 in all" in told and "stray.pdf" in told
