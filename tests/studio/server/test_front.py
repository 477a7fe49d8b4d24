"""What would go in circles is told in a sentence that names the setting."""

import gzip

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


def test_a_page_goes_over_the_line_at_a_fraction_of_its_length_and_reads_the_same(member):
    plain, packed = member.get("/shelf/"), member.get("/shelf/", HTTP_ACCEPT_ENCODING="gzip")

    assert packed.headers["Content-Encoding"] == "gzip" and "Content-Encoding" not in plain.headers
    assert len(packed.content) < len(plain.content) / 2
    assert b"</html>" in gzip.decompress(packed.content)


def test_no_file_is_packed_a_second_time(keyholder):
    kept = keyholder.get("/everything.zip", HTTP_ACCEPT_ENCODING="gzip")

    assert kept.status_code == 200 and "Content-Encoding" not in kept.headers


def test_what_opens_without_signing_in_is_sent_once_and_what_is_private_is_kept_nowhere(member):
    stranger = Client()
    first = stranger.get("/first-aid/")
    again = stranger.get("/first-aid/", HTTP_IF_NONE_MATCH=first.headers["ETag"])

    assert (again.status_code, again.content) == (304, b"")
    assert again.headers["Content-Security-Policy"] == first.headers["Content-Security-Policy"]
    signed_in = member.get("/first-aid/")
    assert "ETag" not in signed_in.headers and "no-store" in signed_in.headers["Cache-Control"]
