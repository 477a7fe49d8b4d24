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
from tests.studio.conftest import sign_in

pytestmark = pytest.mark.django_db
A_NEW_PAGE = (15, 13)
# The year ends today, so some days have more to tell, and the first strike is of another entry: a spill costs most.
A_LINE_MORE = 2
PAGES = """
baths:add_acid 6 5 · baths:add_solution 5 4 · baths:adopt 5 4 · baths:bath 16 2 · baths:change 7 6 · baths:cover 6 5 ·
baths:drips 5 4 · baths:list 7 2 · baths:log 8 7 · baths:mix 8 7 · baths:pour_into 6 5 · baths:read_acid 6 5 ·
baths:read_level 6 5 · baths:set_up 6 5 · baths:titrate 6 5 · baths:top_up 9 8 · bench:bench 11 3 · bench:closing 3 2
· bench:closing_list 16 15 · bench:needs 50 2 · bench:year 9 2 · bites:add_photographs 7 6 · bites:bite 18 3 ·
bites:bites 10 2 · bites:bring_back 7 6 · bites:choose 4 3 · bites:efficiency 9 8 · bites:new_plate 7 6 · bites:plan 6
5 · bites:plate 12 2 · bites:plates 7 2 · bites:prepare 7 6 · bites:put_right 10 9 · bites:recipe 3 2 · bites:send 7 6
· bites:start 9 8 · bites:type_log_sheet 6 5 · bites:weigh 5 4 · bites:write 8 7 · bites:write_card 6 5 · book:book 6
2 · book:entry 5 4 · book:seals 4 3 · book:strike 18 17 · cathodes:cathode 12 3 · cathodes:copper_in 6 5 ·
cathodes:hang 12 11 · cathodes:hang_new 7 6 · cathodes:list 11 2 · cathodes:measure 12 11 · cathodes:recovered 4 3 ·
cathodes:replace 13 12 · cathodes:take_out 11 10 · cathodes:weigh 13 12 · first_aid 8 2 · orders:cancel_line 5 4 ·
orders:change_pack 5 4 · orders:change_supplier 5 4 · orders:costs 10 3 · orders:delivery 8 7 · orders:file_invoice 5
4 · orders:low 4 3 · orders:mark_low 11 10 · orders:material 10 9 · orders:new_pack 6 5 · orders:new_supplier 4 3 ·
orders:order 12 11 · orders:orders 9 2 · orders:placed 7 6 · orders:receive 7 6 · orders:supplier 10 9 ·
orders:suppliers 5 4 · people:account 6 5 · people:add 4 3 · people:add_several 4 3 · people:contact 6 5 ·
people:induct 5 4 · people:induct_several 6 5 · people:inductions 6 5 · people:invite 6 5 · people:invite_one 7 6 ·
people:left 6 5 · people:mail 5 4 · people:mark_tablet 4 3 · people:own_password 3 2 · people:own_pin 3 2 ·
people:people 5 4 · people:person 8 7 · people:role 5 4 · people:second_factor 8 5 · people:stays 4 3 · people:tablets
4 3 · safety:booklet 4 3 · safety:chemicals 20 2 · safety:copy_classes 7 6 · safety:evidence 3 2 · safety:folder 32 3
· safety:label_bath 13 12 · safety:label_container 11 10 · safety:label_material 11 10 · safety:list 13 2 ·
safety:open 19 2 · safety:open_bath 12 2 · safety:open_container 8 2 · safety:open_drum 16 2 · safety:open_material 8
2 · safety:place 10 9 · safety:together 19 2 · safety:wall 8 2 · shelf:change_material 5 4 · shelf:container 10 2 ·
shelf:count 5 4 · shelf:counts 6 5 · shelf:file_sheet 6 5 · shelf:finish 5 4 · shelf:import_file 6 5 · shelf:limit 5 4
· shelf:material 10 2 · shelf:missing_sheets 5 4 · shelf:move 7 6 · shelf:new_material 4 3 · shelf:new_place 5 4 ·
shelf:open 5 4 · shelf:places 4 3 · shelf:receive 6 5 · shelf:send_away 8 7 · shelf:shelf 8 2 · shelf:split 7 6 ·
shelf:stickers 4 3 · shelf:use 5 4 · shelf:use_several 6 5 · shelf:usual_things 7 6 · waste:add_advice 4 3 ·
waste:advice 4 3 · waste:balance 23 2 · waste:calendar 24 3 · waste:correct 10 9 · waste:deposit 11 10 · waste:discard
8 7 · waste:disposal 15 2 · waste:disposals 7 2 · waste:drum 13 3 · waste:drums 12 2 · waste:find 11 10 ·
waste:follow_up 5 4 · waste:hand_over 15 14 · waste:incident 8 7 · waste:incidents 5 4 · waste:log 11 10 ·
waste:look_over 16 15 · waste:make_address 5 4 · waste:months 20 2 · waste:move 13 12 · waste:one_advice 4 3 ·
waste:pour_over 12 11 · waste:refused 6 5 · waste:report 9 8 · waste:rule_sets 4 3 · waste:start_drum 6 5 ·
waste:strain 6 5 · waste:strip 14 13 · waste:take_out 6 5 · waste:test 11 10 · waste:weigh 11 10 · waste:weigh_empty
11 10 · workshop:begin_own 7 6 · workshop:change 4 3 · workshop:studio 6 5
"""
LISTED = PAGES.replace("·", "").split()
MOST = {
    name: (int(first), int(again)) for name, first, again in zip(LISTED[::3], LISTED[1::3], LISTED[2::3], strict=True)
}
FILES = re.compile(r"paper|csv|xlsx|everything|:(card|run_card|log_sheet|look_over_sheet|sticker|label|worker)$")


def test_each_page_asks_the_database_no_more_than_is_listed(tallow_street):
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
