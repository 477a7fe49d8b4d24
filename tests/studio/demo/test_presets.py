"""What stands chosen in the forms of the demo before anybody has touched them."""

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import Client

from inventory.models import Material, Person, Place
from studio.baths.models import Bath
from studio.bites.models import Plate
from studio.cathodes.models import Cathode
from studio.orders.models import Supplier
from studio.printing import press
from tests.studio.conftest import sign_in
from tests.studio.controls import controls
from tests.studio.walking import walk

pytestmark = pytest.mark.django_db

NAMED = (Place, Bath, Material, Plate, Cathode, Supplier, Person)


def chosen_in(html: str) -> dict[str, str]:
    """What each choice would send as it stands; the unit beside an amount follows from the thing."""
    chosen = {}
    for each in controls(html):
        if each.kind == "select" and each.options and not each.name.endswith("_1"):
            chosen[each.name] = each.chosen or each.options[0][0]
        elif each.kind == "radio" and each.chosen:
            chosen[each.name] = each.chosen
    return chosen


def turn_the_alphabet_round():
    """The first of each kind takes the name of the last, behind the back of the book."""
    with connection.cursor() as cursor:
        for model in NAMED:
            named = list(model.objects.order_by("name").values_list("pk", "name"))
            for way in ("~%s", "%s"):  # two may not have one name meanwhile
                for (pk, _), (_, name) in zip(named, named[::-1], strict=True):
                    cursor.execute(f"UPDATE {model._meta.db_table} SET name = %s WHERE id = %s", [way % name, pk])
    cache.clear()


def test_nothing_is_preselected_by_the_alphabet(tallow_street, monkeypatch):
    monkeypatch.setattr(press, "print_alone", lambda html, **how: b"%PDF")
    browser = Client()
    sign_in(browser, Person.objects.get(account__username="maren"))

    def fetch(path):
        response = browser.get(path)
        return response.headers.get("Content-Type", ""), b"".join(response)

    before = {page.path: found for page in walk(fetch) if page.is_page and (found := chosen_in(page.content.decode()))}
    turn_the_alphabet_round()
    after = {path: chosen_in(fetch(path)[1].decode()) for path in before}

    assert sum(map(len, before.values())) > 200
    assert {path: (before[path], after[path]) for path in before if before[path] != after[path]} == {}
