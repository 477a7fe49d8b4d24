"""How often each page of the demo asks the database: where nothing is kept, and where all of it is."""

import re
from collections import deque

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import resolve

from inventory.models import Person
from studio.pages import fragment_cache
from tests.studio.conftest import sign_in

pytestmark = pytest.mark.django_db
A_NEW_PAGE = (15, 13)
# The year ends today, so some days have more to tell, and the first strike is of another entry: a spill costs most.
A_LINE_MORE = 2
PAGES = """
baths:add_acid 5 5 · baths:add_solution 4 4 · baths:adopt 4 4 · baths:bath 9 2 · baths:change 6 6 · baths:cover 5 5 ·
baths:drips 4 4 · baths:list 4 2 · baths:log 5 5 · baths:mix 7 7 · baths:pour_into 5 5 · baths:read_acid 5 5 ·
baths:read_level 5 5 · baths:set_up 5 5 · baths:titrate 5 5 · baths:top_up 8 8 · bench:bench 8 3 · bench:closing 2 2 ·
bench:closing_list 13 13 · bench:needs 41 2 · bench:year 8 2 · bites:add_photographs 6 6 · bites:bite 15 3 ·
bites:bites 9 2 · bites:bring_back 6 6 · bites:choose 3 3 · bites:efficiency 8 8 · bites:new_plate 6 6 · bites:plan 5
5 · bites:plate 11 2 · bites:plates 6 2 · bites:prepare 6 6 · bites:put_right 9 9 · bites:recipe 2 2 · bites:send 6 6
· bites:start 8 8 · bites:type_log_sheet 5 5 · bites:weigh 4 4 · bites:write 7 7 · bites:write_card 5 5 · book:book 5
2 · book:entry 4 4 · book:seals 3 3 · book:strike 18 17 · cathodes:cathode 11 3 · cathodes:copper_in 5 5 ·
cathodes:hang 11 11 · cathodes:hang_new 6 6 · cathodes:list 10 2 · cathodes:measure 11 11 · cathodes:recovered 3 3 ·
cathodes:replace 12 12 · cathodes:take_out 10 10 · cathodes:weigh 12 12 · first_aid 5 2 · orders:cancel_line 4 4 ·
orders:change_pack 4 4 · orders:change_supplier 4 4 · orders:costs 9 3 · orders:delivery 7 7 · orders:file_invoice 4 4
· orders:low 3 3 · orders:mark_low 10 10 · orders:material 9 9 · orders:new_pack 5 5 · orders:new_supplier 3 3 ·
orders:order 11 11 · orders:orders 8 2 · orders:placed 6 6 · orders:receive 6 6 · orders:supplier 7 7 ·
orders:suppliers 4 4 · people:account 6 5 · people:add 4 3 · people:add_several 3 3 · people:contact 5 5 ·
people:induct 4 4 · people:induct_several 5 5 · people:inductions 7 7 · people:invite 5 5 · people:invite_one 6 6 ·
people:left 5 5 · people:mail 4 4 · people:mark_tablet 3 3 · people:own_password 2 2 · people:own_pin 2 2 ·
people:people 4 4 · people:person 7 7 · people:role 4 4 · people:second_factor 5 5 · people:stays 3 3 · people:tablets
3 3 · safety:booklet 3 3 · safety:chemicals 15 2 · safety:copy_classes 6 6 · safety:evidence 2 2 · safety:folder 26 3
· safety:label_bath 7 7 · safety:label_container 7 7 · safety:label_material 7 7 · safety:list 8 2 · safety:open 14 2
· safety:open_bath 7 2 · safety:open_container 7 2 · safety:open_drum 10 2 · safety:open_material 7 2 · safety:place 8
8 · safety:together 14 2 · safety:wall 5 2 · shelf:change_material 4 4 · shelf:container 9 2 · shelf:count 4 4 ·
shelf:counts 5 5 · shelf:file_sheet 5 5 · shelf:finish 4 4 · shelf:import_file 5 5 · shelf:limit 4 4 · shelf:material
9 2 · shelf:missing_sheets 4 4 · shelf:move 6 6 · shelf:new_material 3 3 · shelf:new_place 4 4 · shelf:open 4 4 ·
shelf:places 3 3 · shelf:receive 5 5 · shelf:send_away 7 7 · shelf:shelf 7 2 · shelf:split 6 6 · shelf:stickers 3 3 ·
shelf:use 4 4 · shelf:use_several 5 5 · shelf:usual_things 6 6 · waste:add_advice 3 3 · waste:advice 3 3 ·
waste:balance 22 2 · waste:calendar 19 3 · waste:correct 9 11 · waste:deposit 9 9 · waste:discard 7 7 · waste:disposal
13 2 · waste:disposals 6 2 · waste:drum 11 3 · waste:drums 10 2 · waste:find 9 9 · waste:follow_up 5 5 ·
waste:hand_over 13 13 · waste:incident 7 7 · waste:incidents 4 4 · waste:log 10 10 · waste:look_over 9 9 ·
waste:make_address 4 4 · waste:months 15 2 · waste:move 11 11 · waste:one_advice 3 3 · waste:pour_over 10 10 ·
waste:refused 5 5 · waste:report 8 8 · waste:rule_sets 3 3 · waste:start_drum 5 5 · waste:strain 5 5 · waste:strip 13
13 · waste:take_out 5 5 · waste:test 9 9 · waste:weigh 9 9 · waste:weigh_empty 9 9 · workshop:begin_own 6 6 ·
workshop:change 3 3 · workshop:studio 5 5
"""
LISTED = PAGES.replace("·", "").split()
MOST = {
    name: (int(first), int(again)) for name, first, again in zip(LISTED[::3], LISTED[1::3], LISTED[2::3], strict=True)
}
FILES = re.compile(r"paper|csv|xlsx|everything|:(card|run_card|log_sheet|look_over_sheet|sticker|label|worker)$")


def test_each_page_asks_the_database_no_more_than_is_listed(tallow_street, monkeypatch):
    # or the ten minutes for which parts are kept end between two visits
    monkeypatch.setattr(fragment_cache, "KEPT_FOR_S", 86_400)
    client = Client()
    sign_in(client, Person.objects.get(account__username="maren"))

    found = dict(pages_of(client))

    dearer = {name: counts for name, counts in found.items() if not is_listed(name, *counts)}
    assert len(found) > 100
    assert dearer == {}


def is_listed(name, first, again):
    most, most_again = MOST.get(name, A_NEW_PAGE)
    return first <= most + A_LINE_MORE and again <= most_again + A_LINE_MORE


def pages_of(client):
    """Every kind of page that links lead to from the bench, by the name of its address: queries first and again."""
    paths, seen, known = deque(["/"]), {"/"}, set()
    while paths:
        path = paths.popleft()
        name = resolve(path.partition("?")[0]).view_name
        if name in known or FILES.search(name):
            continue
        known.add(name)
        cache.clear()
        first, answer = queries(client, path)
        if not answer.headers.get("Content-Type", "").startswith("text/html"):
            b"".join(answer)  # or its file stays open
            continue
        yield name, (first, queries(client, path)[0])
        links = re.findall(r'href="(/[^"#]*)"', answer.content.decode())
        paths += [link.replace("&amp;", "&") for link in links if link not in seen and not link.startswith("/static/")]
        seen.update(links)


def queries(client, path):
    with CaptureQueriesContext(connection) as asked:
        answer = client.get(path)
    return len(asked), answer
