"""A book as rows that any build and either database reads, or says why not."""

import json

import pytest
from django.db import connection

from inventory import seals
from inventory.models import Container, Entry, Movement, Seal
from studio.bench import everything
from studio.server import backups, rows
from studio.shelf import operations as shelf
from tests.factories import signed, stocked

pytestmark = pytest.mark.django_db
SECRET = ("password", "hashed", "token", "key", "secret", "pin", "hash")
NO_SECRET = {"inventory.entry.key", "waste.finding.key"}  # of a form that was sent, of what a rule asks


def lines(**options):
    return list(rows.written_rows(**options))


def emptied():
    with connection.cursor() as cursor:
        for model in reversed(rows.kept_models()):
            cursor.execute(f"DELETE FROM {connection.ops.quote_name(model._meta.db_table)}")


def test_rows_come_back_to_the_last_letter():
    jar = stocked("500 g", name="Kraftpapier, „Rolle“ 中\n")
    shelf.use(jar, amount=100_000, by=signed(1, note="half\tof it"))
    before = lines()
    emptied()

    told = rows.read_rows(before)

    assert lines() == before
    assert told["inventory.movement"] == Movement.objects.count() == 2


def test_numbers_go_on_behind_those_that_came():
    last = stocked("1 kg").pk
    written = lines()
    emptied()

    rows.read_rows(written)

    assert stocked("1 kg").pk > last


def test_a_book_that_is_written_on_is_not_written_over():
    stocked("1 kg")

    with pytest.raises(backups.Failed, match="There is a book here already"):
        rows.read_rows(lines())


# of another build


def with_column(written, label, name, value):
    """Rows of a model as a build wrote them that knows one thing more."""
    model = ""
    for line in map(json.loads, written):
        if isinstance(line, dict):
            model = line.get("model", "")
            if model == label:
                line["fields"].append(name)
        elif model == label:
            line.append(value)
        yield rows.as_line(line)


def without_column(written, label, name):
    at, model = -1, ""
    for line in map(json.loads, written):
        if isinstance(line, dict):
            model = line.get("model", "")
            if model == label:
                at = line["fields"].index(name)
                del line["fields"][at]
        elif model == label:
            del line[at]
        yield rows.as_line(line)


@pytest.fixture
def written():
    jar = stocked("500 g")
    Container.objects.filter(pk=jar.pk).update(code="JAR")
    found = lines()
    emptied()
    return found


def test_what_an_older_build_did_not_know_begins_as_for_a_new_row(written):
    rows.read_rows(without_column(written, "inventory.container", "batch"))

    assert Container.objects.get().batch == ""


def test_seals_hold_where_a_build_knows_more_than_the_one_that_sealed():
    stocked("500 g")
    seals.seal()
    found = list(without_column(lines(), "inventory.person", "is_listed"))
    emptied()

    rows.read_rows(found)

    assert Seal.objects.exists() and list(seals.errors()) == []


def test_what_a_newer_build_knows_is_no_matter_while_it_is_empty(written):
    rows.read_rows(with_column(written, "inventory.container", "colour", ""))

    assert Container.objects.count() == 1


def refused(changed_lines):
    with pytest.raises(backups.Failed) as failure:
        rows.read_rows(changed_lines)
    assert not Entry.objects.exists() and not Container.objects.exists()
    return str(failure.value)


def test_what_a_newer_build_knows_is_not_dropped(written):
    said = refused(with_column(written, "inventory.container", "colour", "blue"))

    assert said == "It tells colour of inventory.container, which this build does not know."


def test_a_model_that_only_a_newer_build_has_is_not_dropped(written):
    later = [*written[:-1], rows.as_line({"model": "presses.press", "fields": ["id"]}), rows.as_line([1])]

    assert refused(later) == "It holds presses.press, which this build does not know."


def test_a_later_form_is_named(written):
    assert "form 99; this one reads forms up to 1" in refused([rows.as_line({"form": 99}), *written[1:]])


def test_rows_that_break_off_are_refused(written):
    assert refused(written[:-1]) == "It breaks off before its end."
    assert refused([*written[:-2], written[-1]]) == "It does not hold as many rows as it says."


def test_rows_that_point_at_nothing_are_refused(written):
    without_jars = [line for line in written if b'"JAR"' not in line]
    told = json.loads(written[-1])["rows"]

    astray = [*without_jars[:-1], rows.as_line({"rows": told | {"inventory.container": 0}})]

    assert "does not go together here" in refused(astray)


# what stays at home


def test_nothing_that_opens_a_door_is_taken_along():
    """Whoever adds a secret says here, and in `everything`, that it stays."""
    found = set()
    for model in rows.kept_models():
        for field in model._meta.concrete_fields:
            words = field.name.lower().split("_")
            stays = model in everything.KEPT_HERE or field.name in everything.SECRETS.get(model, ())
            if not stays and set(words) & set(SECRET):
                found.add(f"{model._meta.label_lower}.{field.name}")

    assert found == NO_SECRET


@pytest.mark.django_db(transaction=True)
def test_the_rows_are_those_of_one_moment(tmp_path, settings):
    settings.DATA = tmp_path
    stocked("1 kg")
    with backups.snapshot() as alias:
        before = lines()
        stocked("2 kg")

        assert lines(using=alias) == before
    assert len(lines()) > len(before)
