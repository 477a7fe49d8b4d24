"""The first migration of each app makes its tables whole, each behind those that it points at."""

import pytest
from django.db.migrations import CreateModel
from django.db.migrations.loader import MigrationLoader

from inventory.tables import FirstTables
from studio.server import copies

OWN = {app for app, _ in copies.known_migrations()}
FIRST = {
    app: migration
    for (app, _), migration in MigrationLoader(None, ignore_no_migrations=True).disk_migrations.items()
    if app in OWN and migration.initial
}


def pointed_at(model: CreateModel) -> set[str]:
    fields = (field for _, field in model.fields if field.remote_field)
    return {str(field.remote_field.model).lower() for field in fields}


@pytest.mark.parametrize("app", FIRST)
def test_a_first_migration_makes_whole_tables(app):
    made = set()
    for operation in FIRST[app].operations:
        assert isinstance(operation, CreateModel)
        made.add(f"{app}.{operation.name_lower}")
        assert {each for each in pointed_at(operation) if each.startswith(f"{app}.")} <= made


def test_every_app_of_the_house_begins_so():
    assert len(FIRST) > 10
    assert all(issubclass(migration.__class__, FirstTables) for migration in FIRST.values())
