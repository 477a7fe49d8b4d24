"""Nodes that are changed from one build to the next, one after another, while both keep the book."""

import shutil
import subprocess
import sys

import pytest
from django.db import migrations, models
from django.db.migrations.loader import MigrationLoader

from studio.server import copies, front
from tests import nodes, postgres
from tests.studio.opened import THIS_CHECKOUT, opened

ROOT = THIS_CHECKOUT[1].parent
ADDING = (migrations.CreateModel, migrations.AddIndex)
MIGRATION = """
from django.db import migrations

class Migration(migrations.Migration):
    dependencies = [("inventory", "{after}")]
    operations = [migrations.RunSQL("{sql}")]
"""


def adds_alone(operation) -> bool:
    """Whether the build before can go on writing as if it were not there."""
    if isinstance(operation, migrations.AddField):
        return operation.field.null or operation.field.has_db_default()
    return isinstance(operation, ADDING)


@pytest.mark.parametrize(
    ("operation", "adds"),
    [
        (migrations.AddField("place", "mark", models.TextField(null=True)), True),
        (migrations.AddField("place", "mark", models.TextField(db_default="")), True),
        (migrations.AddField("place", "mark", models.TextField(default="")), False),
        (migrations.RemoveField("place", "name"), False),
        (migrations.AlterField("place", "name", models.TextField()), False),
        (migrations.CreateModel("mark", []), True),
    ],
)
def test_what_only_adds_is_told_from_what_does_not(operation, adds):
    assert adds_alone(operation) == adds


def test_a_migration_that_claims_to_overlap_only_adds():
    own = {app for app, _ in copies.known_migrations()}
    found = MigrationLoader(None, ignore_no_migrations=True).disk_migrations
    claims = {key: each for key, each in found.items() if key[0] in own and key[1].endswith(copies.OVERLAP)}

    assert len(found) > 10
    assert not [(key, each) for key, all_ in claims.items() for each in all_.operations if not adds_alone(each)]


def test_a_page_of_the_other_build_gets_our_own_style(monkeypatch, tmp_path):
    (tmp_path / "mordant.0123456789ab.css").write_text("of this build")
    storage = front.staticfiles_storage
    monkeypatch.setattr(storage, "hashed_files", {"mordant.css": "mordant.0123456789ab.css"}, raising=False)
    monkeypatch.setattr(storage, "open", lambda name: (tmp_path / name).open("rb"), raising=False)

    answer = front.of_another_build("/static/mordant.ba9876543210.css")

    assert b"".join(answer.streaming_content) == b"of this build"
    answer.close()
    assert (answer["Content-Type"], answer["Cache-Control"]) == ("text/css", "no-store")
    assert front.of_another_build("/static/mordant.css") is None
    assert front.of_another_build("/static/other.0123456789ab.css") is None
    assert front.of_another_build("/shelf/mordant.0123456789ab.css") is None


@pytest.fixture
def next_build(tmp_path):
    """A checkout like this one, to which migrations can be added."""
    folder = tmp_path / "next"
    files = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout.split()
    for name in files:
        if not name.startswith("tests/") and (ROOT / name).exists():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(ROOT / name, folder / name)
    return folder


@pytest.mark.nodes
def test_two_builds_keep_one_book_until_the_newer_one_breaks_with_the_older(next_build, tmp_path):
    manage, migrated = (sys.executable, next_build / "manage.py"), next_build / "inventory" / "migrations"
    last = max(path.stem for path in migrated.glob("0*.py"))
    with postgres.server() as url, nodes.node(tmp_path / "old", url) as old:
        nodes.begin(tmp_path / "old", url)
        ada = nodes.Browser(old.address).sign_in()
        nodes.fill(ada)
        column = "ALTER TABLE inventory_place ADD COLUMN corner text"
        (migrated / "9001_corner_overlap.py").write_text(MIGRATION.format(after=last, sql=column))
        with nodes.node(tmp_path / "new", url, manage=manage) as new:
            for grams, (one, other) in {700: (old, new), 800: (new, old)}.items():
                ada.send(f"{nodes.JAR}count/", {"amount": f"{grams} g"}, at=one.address)
                assert nodes.on_hand_g(ada.read(nodes.JAR, at=other.address)) == grams
            assert nodes.health(old.address)[0] == nodes.health(new.address)[0] == 200
        with nodes.node(tmp_path / "again", url) as again:
            assert nodes.health(again.address)[0] == 200

        renamed = "ALTER TABLE inventory_place RENAME COLUMN corner TO nook"
        (migrated / "9002_nook.py").write_text(MIGRATION.format(after="9001_corner_overlap", sql=renamed))
        with nodes.node(tmp_path / "new", url, manage=manage):
            status, said = nodes.health(old.address)
            assert status == 503 and "newer build: inventory 9002_nook" in said
            with opened(tmp_path / "again", **nodes.environ(url)) as refused:
                assert refused.ended() == 1
            assert "written by another build, whose inventory 9002_nook this one does not know" in refused.said
