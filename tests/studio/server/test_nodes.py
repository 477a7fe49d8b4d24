"""Several servers with a data folder each, on one PostgreSQL behind a proxy, sharing by Redis."""

import random
import signal
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from typing import NamedTuple

import psycopg
import pytest
import redis
from django.core.cache import caches

from studio.server import database, shared_cache
from tests import nodes, postgres
from tests.postgres import free_port
from tests.studio.opened import Opened

pytestmark = pytest.mark.nodes
JAR = nodes.JAR


class House(NamedTuple):
    """A book that two nodes keep: the first on PostgreSQL itself, the second through a pool."""

    first: Opened
    second: Opened
    proxy: str
    url: str
    pool: ExitStack
    pool_port: int
    ada: nodes.Browser


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    folder, pool_port = tmp_path_factory.mktemp("nodes"), free_port()
    with ExitStack() as stack:
        url = stack.enter_context(postgres.server())
        pool = stack.enter_context(ExitStack())
        pooled = pool.enter_context(nodes.pool(url, pool_port))
        folders = {folder / "first": url, folder / "second": pooled}
        shared = stack.enter_context(nodes.redis())
        first, second = stack.enter_context(nodes.at_once(folders, MORDANT_CACHE=shared))
        nodes.begin(folder / "first", url)
        proxy = stack.enter_context(nodes.proxy([first.address, second.address], folder))
        ada = nodes.Browser(proxy).sign_in()
        nodes.fill(ada)
        yield House(first, second, proxy, url, pool, pool_port, ada)


def test_of_two_first_starts_at_once_one_makes_the_book_and_the_other_waits(house):
    said = house.first.said + house.second.said

    assert said.count("Another node is bringing the book up to date") == 1
    with psycopg.connect(house.url) as book:
        assert book.execute("SELECT count(*) - count(DISTINCT (app, name)) FROM django_migrations").fetchone() == (0,)


def test_what_is_written_at_one_node_is_read_at_the_other_at_once(house):
    nodes_of = [house.first.address, house.second.address]
    for grams in random.sample(range(100, 2000), 8):
        random.shuffle(nodes_of)
        one, other = nodes_of
        house.ada.read(JAR, at=other)  # which it now keeps
        house.ada.send(f"{JAR}count/", {"amount": f"{grams} g"}, at=one)

        assert nodes.on_hand_g(house.ada.read(JAR, at=other)) == grams


def test_a_pool_keeps_nothing_of_a_page_for_whoever_comes_next(house):
    for page in ("/", "/book/", JAR):
        house.ada.read(page, at=house.second.address)
    house.ada.send(f"{JAR}count/", {"amount": "500 g"}, at=house.second.address)

    with psycopg.connect(f"postgres://mordant@127.0.0.1:{house.pool_port}/postgres", prepare_threshold=None) as book:
        kept = "current_setting('lock_timeout'), current_setting('statement_timeout'), current_setting('search_path')"
        assert book.execute(f"SELECT {kept}").fetchone() == ("0", "0", '"$user", public')


def test_a_paper_that_was_asked_for_at_one_node_is_opened_at_the_other(house):
    house.ada.send("/safety/booklet/", {}, at=house.first.address)
    asked = house.ada.reached

    nodes.until(lambda: "Open it" in house.ada.read(asked, at=house.second.address), seconds=180)

    with house.ada.opener.open(f"{house.second.address}{asked}paper/", timeout=60) as paper:
        assert paper.read(5) == b"%PDF-"


def test_a_backup_goes_past_the_pool_or_says_that_it_has_to(house, tmp_path):
    pooled = f"postgres://mordant@127.0.0.1:{house.pool_port}/postgres"

    refused = nodes.command("backup", tmp_path / "refused", url=pooled)
    made = nodes.command("backup", tmp_path / "made", url=pooled, DATABASE_DIRECT_URL=house.url)

    assert "cannot work through a pool: name the server itself in DATABASE_DIRECT_URL" in refused
    assert not list((tmp_path / "refused").glob("*.zip")) and list((tmp_path / "made").glob("*.zip")), made


def test_a_node_says_to_strangers_that_it_is_well_and_to_its_own_machine_how(house):
    assert nodes.health(house.proxy) == (200, "ok\n")
    status, said = nodes.health(house.second.address)
    assert status == 200
    assert [line.partition(":")[0] for line in said.splitlines()] == [
        *("ok", "disk", "database", "migrations", "clock", "backup")
    ]


def test_a_node_that_loses_its_database_says_so_and_comes_back_by_itself(house):
    house.pool.close()

    status, said = nodes.health(house.second.address)
    assert status == 503 and said.startswith("not ok") and "database: cannot be reached" in said
    status, page = nodes.answer(f"{house.second.address}/people/sign-in/")
    assert status == 503 and "The book cannot be reached" in page
    # the proxy looks five times a second, and then leaves it out
    nodes.until(lambda: all(nodes.answer(f"{house.proxy}/people/sign-in/")[0] == 200 for _ in range(4)))
    assert all("Whiting" in house.ada.read(JAR) for _ in range(4))  # by the other one

    house.pool.enter_context(nodes.pool(house.url, house.pool_port))

    assert nodes.until(lambda: nodes.health(house.second.address)[0] == 200)
    assert "Whiting" in house.ada.read(JAR, at=house.second.address)


def test_what_is_told_through_redis_is_heard_by_others(settings):
    with nodes.redis() as address:
        settings.CACHES = {**settings.CACHES, "shared": shared_cache.chosen(address, data=None, of_database="")}
        caches["shared"].set("far", "row 4,000")

        heard = redis.Redis.from_url(address).keys("mordant*far")
        assert len(heard) == 1 and caches["shared"].get("far") == "row 4,000"


def test_nobody_restores_a_book_that_another_node_has_open(house, tmp_path):
    """The last one that asks these two nodes, for it closes them."""
    nodes.command("backup", tmp_path, url=house.url)
    [archive] = tmp_path.glob("book-*.zip")
    house.ada.send(f"{JAR}count/", {"amount": "123 g", "note": "after the backup"}, at=house.first.address)

    for node in (house.first, house.second):
        assert "The book is open at another node" in nodes.command("restore", tmp_path, archive, url=house.url)
        assert "after the backup" in house.ada.read("/book/", at=house.second.address)
        node.close(signal.SIGTERM)

    assert "Restored" in nodes.command("restore", tmp_path, archive, url=house.url)
    with psycopg.connect(house.url) as book:
        assert not book.execute("SELECT 1 FROM inventory_entry WHERE note = 'after the backup'").fetchall()


def test_a_node_that_begins_while_another_restores_waits_for_its_end(house, tmp_path):
    """After the one above, which has closed the others."""
    waiting = "SELECT 1 FROM pg_locks WHERE locktype = 'advisory' AND NOT granted"
    with ExitStack() as stack, ThreadPoolExecutor() as starting, psycopg.connect(house.url) as restoring:
        restoring.execute("SELECT pg_advisory_xact_lock(hashtext(%s))", [f"mordant {database.OPEN}"])

        third = starting.submit(stack.enter_context, nodes.node(tmp_path, house.url))

        nodes.until(lambda: restoring.execute(waiting).fetchone())
        assert not third.done()
        restoring.commit()
        assert "Whiting" in nodes.Browser(third.result().address).sign_in().read(JAR)
