"""What would go in circles is told in a sentence that names the setting."""

import pytest
from django.test import Client, override_settings

pytestmark = pytest.mark.django_db
SAYS_SO = ("HTTP_X_FORWARDED_PROTO", "https")
BEHIND = {"HTTPS": True, "PROXIES": 1, "SECURE_SSL_REDIRECT": True, "SECURE_PROXY_SSL_HEADER": SAYS_SO}


def test_a_name_that_is_not_the_books_is_told_where_to_add_it():
    answer = Client().get("/", HTTP_HOST="press.example.org")

    assert answer.status_code == 400
    assert answer.content.decode() == (
        "This book does not answer under press.example.org. Whoever keeps it adds that name to MORDANT_HOSTS."
    )


@override_settings(**BEHIND)
def test_a_proxy_that_leaves_out_its_header_is_told_so(studio):
    silent = Client().get("/first-aid/")

    assert (silent.status_code, "X-Forwarded-Proto" in silent.content.decode()) == (400, True)
    assert Client().get("/first-aid/", HTTP_X_FORWARDED_PROTO="https").status_code == 200
    assert Client().get("/first-aid/", HTTP_X_FORWARDED_PROTO="http").status_code == 301


def test_an_address_that_leads_nowhere_costs_the_database_nothing(member, django_assert_num_queries):
    with django_assert_num_queries(0):
        answer = member.get("/no-such-page/")

    assert answer.status_code == 404
    assert b"There is no such page" in answer.content and answer.headers["X-Frame-Options"] == "DENY"
    assert member.get("/shelf").headers["Location"] == "/shelf/"


@pytest.mark.parametrize("method", ["TRACE", "PUT", "DELETE", "PROPFIND"])
def test_a_method_that_no_page_uses_is_refused(method, studio):
    assert Client().generic(method, "/first-aid/").status_code == 405


def test_every_answer_says_what_it_is_and_tells_nobody_where_one_was(studio):
    for path in ("/first-aid/", "/people/sign-in/", "/nowhere/"):
        answer = Client().get(path)

        assert answer.headers["Content-Type"] == "text/html; charset=utf-8"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Referrer-Policy"] == "same-origin"
