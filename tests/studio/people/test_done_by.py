"""Who reads and does nothing, such as a landlord, is nowhere offered as the doer and never called not inducted."""

import importlib
import pkgutil
import re

import pytest
from django import forms
from django.urls import reverse

import studio
from inventory.models import Person
from studio.people import inductions, operations
from studio.people.inductions import Task
from tests.factories import PersonFactory, adopted, bitten, signed

# whose plate it is and who was hurt may be anybody; who is invited does nothing yet
ANYBODY = {"owner", "hurt"}
INVITED = ("InviteForm", "people")


def every_form() -> set[type[forms.BaseForm]]:
    for module in pkgutil.walk_packages(studio.__path__, "studio."):
        if ".forms" in module.name or ".views" in module.name:
            importlib.import_module(module.name)
    found, ahead = set(), [forms.BaseForm]
    while ahead:
        each = ahead.pop()
        ahead += each.__subclasses__()
        if each.__module__.startswith("studio."):
            found.add(each)
    return found


@pytest.fixture
def landlord(studio):
    return PersonFactory(name="Olive Grange", role="viewer", account=None)


def test_no_form_offers_a_viewer_as_the_doer(landlord):
    asked = {
        (form.__name__, name, form): field
        for form in every_form()
        for name, field in form.base_fields.items()
        if isinstance(field, forms.ModelChoiceField) and field.queryset.model is Person
    }
    offering = {(form, name) for (form, name, _), field in asked.items() if landlord in field.queryset.all()}

    assert len(asked) > 100
    assert {each for each in offering if each[1] not in ANYBODY and each != INVITED} == set()


@pytest.mark.parametrize("page", ["bites:write_card", "bites:type_log_sheet", "people:induct_several"])
def test_no_sheet_offers_a_viewer_as_the_doer(keyholder, landlord, page):
    bath = adopted()
    PersonFactory(name="Nell Marrow")
    asks_for_a_bath = page.endswith("log_sheet")

    shown = keyholder.get(reverse(page, args=[bath.pk] if asks_for_a_bath else [])).content.decode()

    assert "Olive Grange" not in re.sub(r"<title>.*</title>", "", shown)


@pytest.mark.parametrize("page", ["people:inductions", "safety:folder"])
def test_no_list_calls_a_viewer_not_inducted(keyholder, landlord, page):
    PersonFactory(name="Nell Marrow")

    shown = keyholder.get(reverse(page)).content.decode()

    assert "Nell Marrow" in shown or page == "safety:folder"
    assert "Olive Grange" not in shown


def test_a_viewers_own_page_says_nothing_of_inductions(keyholder, landlord):
    assert "Inducted for" not in keyholder.get(landlord.get_absolute_url()).content.decode()


def test_what_a_viewer_did_as_a_member_asks_for_no_induction(studio):
    once_a_member = PersonFactory(name="Olive Grange")
    bite = bitten(adopted(), by=signed(1, done_by=once_a_member))
    entries = type(bite.entry).objects.filter(bites__isnull=False)
    assert inductions.uninducted(entries, Task.BATH).filter(done_by=once_a_member).exists()

    operations.change_role(once_a_member, role="viewer", by=signed(2))

    assert not inductions.uninducted(entries, Task.BATH).filter(done_by=once_a_member).exists()


def test_several_people_are_inducted_in_one_entry(keyholder):
    many = PersonFactory.create_batch(3)
    shower = PersonFactory(name="Nell Marrow")
    before = inductions.Entry.objects.count()

    typed = {"people": [each.pk for each in many], "tasks": ["bath", "solvents"], "done_by": shower.pk, "until_on": ""}
    keyholder.post(reverse("people:induct_several"), typed | {"key": "7d0b7ad4-6a55-4cbb-a7d5-3f7b8b3cf5b5"})

    assert inductions.Entry.objects.count() == before + 1
    entry = inductions.Entry.objects.latest("pk")
    assert entry.done_by == shower
    assert entry.inductions.count() == 6


def test_those_who_lack_a_task_are_ticked_together(keyholder, landlord):
    lacking, shown = PersonFactory(name="Nell Marrow"), PersonFactory(name="Ruth Vale")
    inductions.induct(shown, tasks=["bath"], by=signed(1), until_on=None)

    assert "who lack the bath" in keyholder.get(reverse("people:inductions")).content.decode()
    page = keyholder.get(reverse("people:induct_several"), {"for": "bath"}).content.decode()

    assert re.search(f'name="people" value="{lacking.pk}"[^>]* checked', page)
    assert not re.search(f'name="people" value="{shown.pk}"[^>]* checked', page)


def test_nobody_among_several_inducts_themselves(keyholder):
    many = PersonFactory.create_batch(2)

    typed = {"people": [each.pk for each in many], "tasks": ["bath"], "done_by": many[0].pk}
    page = keyholder.post(
        reverse("people:induct_several"), typed | {"key": "7d0b7ad4-6a55-4cbb-a7d5-3f7b8b3cf5b5"}
    ).content.decode()

    assert "Nobody inducts themselves" in page
