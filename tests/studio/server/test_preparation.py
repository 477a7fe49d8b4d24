from datetime import timedelta

import pytest
from django.core.management import call_command
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from chemistry.bath import MODEL_VERSION
from inventory.models import Person
from studio import preparation
from studio.baths.models import Bath
from studio.people.models import Session
from studio.people.sessions import SessionStore
from studio.server import backups, documents
from studio.workshop.models import Workshop
from tests.factories import adopted

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def data(settings, tmp_path):
    """A data folder of the test's own."""
    settings.DATA = tmp_path
    settings.STATIC_ROOT = tmp_path / "static"
    kept = {
        "staticfiles": {"BACKEND": MANIFEST},
        "backups": documents.for_backups("", data=tmp_path, documents=(tmp_path / "uploads", {})),
    }
    settings.STORAGES = {**settings.STORAGES, **kept}
    return tmp_path


MANIFEST = "whitenoise.storage.CompressedManifestStaticFilesStorage"


@pytest.fixture
def commands(monkeypatch):
    """The commands a start runs, named instead of run."""
    ran = []
    monkeypatch.setattr(preparation, "call_command", lambda name, **_: ran.append(name))
    return ran


@pytest.fixture
def demo(transactional_db):
    """The demo's studio, with one name in its book."""
    Person.objects.create(name="Maren")
    return Workshop.objects.create(name="Tallow Street", is_demo=True)


def _forget_the_last_migration():
    MigrationRecorder(connection).migration_qs.filter(app="workshop").delete()


def test_a_start_with_nothing_new_runs_nothing(data, commands):
    preparation.bring_up_to_date()
    (data / "static").mkdir()
    commands.clear()

    preparation.bring_up_to_date()

    assert commands == []


def test_new_code_is_migrated_to_after_a_copy_of_the_book(commands, data):
    _forget_the_last_migration()

    preparation.bring_up_to_date()

    assert commands[0] == "migrate"
    assert [path.name[:13] for path in (data / "backups").iterdir()] == ["before-update"]
    call_command("migrate", fake=True, verbosity=0)


def test_a_book_of_another_build_is_left_as_it_is(commands):
    MigrationRecorder(connection).record_applied("inventory", "0099_from_tomorrow")

    with pytest.raises(preparation.StartRefused, match="0099_from_tomorrow"):
        preparation.bring_up_to_date()

    assert commands == []
    MigrationRecorder(connection).record_unapplied("inventory", "0099_from_tomorrow")


def test_what_the_next_build_left_is_its_own(commands):
    recorder = MigrationRecorder(connection)
    recorder.record_applied("inventory", "0099_from_tomorrow_overlap")
    adopted()
    Bath.objects.update(estimated_model=MODEL_VERSION + 1)

    preparation.bring_up_to_date()

    assert Bath.objects.get().estimated_model == MODEL_VERSION + 1
    assert "migrate" not in commands
    recorder.record_unapplied("inventory", "0099_from_tomorrow_overlap")


def test_static_files_are_collected_again_only_when_one_changes(settings, data):
    preparation.bring_up_to_date()
    collected = (data / "static.stamp").stat().st_mtime_ns
    preparation.bring_up_to_date()
    unchanged = (data / "static.stamp").stat().st_mtime_ns

    (data / "static.stamp").write_text("of another version")
    preparation.bring_up_to_date()

    assert unchanged == collected
    assert (data / "static.stamp").read_text() != "of another version"
    assert (data / "static" / "staticfiles.json").exists()


def test_every_file_a_page_asks_for_is_collected(data, settings):
    preparation.bring_up_to_date()

    assert list(data.glob("static/mordant.*.css"))
    assert list(data.glob("static/mordant.*.css.gz")), "compressed once, and not for each who asks"
    assert list(data.glob("static/fonts/*.woff2"))


def test_a_first_start_opens_the_demo_s_book(commands):
    preparation.choose_book(empty=False)

    assert commands == ["demo"]


def test_an_empty_database_beside_a_book_s_copies_is_no_first_start(commands, data):
    (data / "backups").mkdir()
    (data / "backups" / "book-2026-11-25-120000.zip").touch()

    with pytest.raises(preparation.StartRefused, match="restore .*book-2026-11-25-120000.zip"):
        preparation.choose_book(empty=False)

    assert commands == []
    assert preparation.choose_book(empty=True) is None


@pytest.mark.parametrize("left", [".restoring-x1", "before-restore-2026-11-25-120000"])
def test_an_empty_database_where_a_book_was_restored_is_no_first_start(commands, data, left):
    (data / left).mkdir()

    with pytest.raises(preparation.StartRefused, match=f"{left} is left of it.*restore. again"):
        preparation.choose_book(empty=False)

    assert commands == []


def test_a_book_that_has_begun_is_left_alone(commands):
    Workshop.objects.create(name="Our own press")

    assert preparation.choose_book(empty=False) is None
    assert preparation.choose_book(empty=True) is None
    assert commands == []


@pytest.mark.parametrize("empty", [True, False])
def test_a_shared_first_start_begins_an_own_book(commands, settings, empty):
    settings.SHARED = True

    preparation.choose_book(empty=empty)

    assert commands == []


def test_the_demo_s_book_is_never_shared(demo, settings):
    settings.SHARED = True

    with pytest.raises(preparation.StartRefused, match="stays on this machine"):
        preparation.choose_book(empty=False)


def test_an_own_book_takes_the_demo_s_place_and_a_copy_is_kept(demo, settings):
    kept = preparation.choose_book(empty=True)

    assert not Workshop.objects.exists()
    backups.restore(kept)
    assert Workshop.objects.get().is_demo
    assert Person.objects.get().name == "Maren"
    connection.close()


def test_a_newer_model_replays_every_bath_before_the_book_is_served(commands):
    bath = adopted()
    Bath.objects.update(estimated_model=MODEL_VERSION - 1)

    preparation.bring_up_to_date()

    bath.refresh_from_db()
    assert bath.estimate_is_current


def test_sessions_that_have_ended_are_cleared_away(commands):
    now = timezone.now()
    for key, ends in {"ended": now - timedelta(days=1), "goes on": now + timedelta(days=1)}.items():
        Session.objects.create(session_key=key, session_data="", expire_date=ends, began_at=now)

    preparation.bring_up_to_date()

    assert [session.session_key for session in Session.objects.all()] == ["goes on"]


def test_a_node_with_another_key_is_told(settings):
    store = SessionStore()
    store["device"] = "Linux"
    store.save()
    same = preparation.other_key()

    settings.SECRET_KEY = "of another node" * 4

    assert same == ""
    assert "give all nodes the same MORDANT_SECRET_KEY" in preparation.other_key()
