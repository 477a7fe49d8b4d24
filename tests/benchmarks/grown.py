"""One book of ten years in the folder of MORDANT_DATA: written where there is none, then measured; see `grow`."""

import json
import logging
import sys
import time
from collections.abc import Callable, Collection
from functools import partial
from io import StringIO
from pathlib import Path

import django
from django.core.management import call_command

django.setup()  # before anything that holds a model

from django.conf import settings  # noqa: E402
from django.contrib.auth import get_user_model  # noqa: E402
from django.core.cache import cache  # noqa: E402
from django.db import connection  # noqa: E402
from django.test import Client, override_settings  # noqa: E402

from inventory.models import Container, Entry, Movement  # noqa: E402
from studio import preparation  # noqa: E402
from studio.demo import load  # noqa: E402
from studio.server import backups  # noqa: E402
from tests import plans  # noqa: E402
from tests.benchmarks import ten_years  # noqa: E402
from tests.studio.walking import kind_of, walk  # noqa: E402

COUNTED = (Movement, Entry, Container)
LEAST_ROUNDS, MOST_ROUNDS, MOST_SECONDS = 3, 9, 0.15


def main(size: int, parts: Collection[str]) -> None:
    write_where_none_is(size)
    client, timed, asked = signed_in(), dict[str, float](), plans.Queries()
    for page in walk(partial(plans.fetched, client, asked)) if "pages" in parts else ():
        if page.is_page:
            kind = kind_of(page.path) or page.path
            timed[kind] = cost(partial(client.get, page.path))
            print(f"{size:,} {kind}: {1e3 * timed[kind]:.1f} ms", file=sys.stderr)  # of a long run cut short
    whole_reads = [*plans.whole_reads(asked, plans.growing_tables()), *plans.dear_on_sqlite(asked)]
    done = {name: told_of(errand) for name, errand in errands(client).items() if name in parts}
    print(f"\n{json.dumps({'pages': timed, 'whole reads': whole_reads, 'errands': done})}")


def write_where_none_is(size: int) -> None:
    preparation.bring_up_to_date()
    began = time.monotonic()
    if not Entry.objects.exists():
        load.load()
        ten_years.write(size)
    counts = ", ".join(f"{each.objects.count():,} {each._meta.verbose_name_plural}" for each in COUNTED)
    print(f"{counts}: {book_bytes() / 1e6:,.0f} MB, written or found in {time.monotonic() - began:.0f} s")


def signed_in() -> Client:
    client = Client(HTTP_HOST="localhost")
    client.force_login(get_user_model().objects.get(username="maren"), backend="studio.people.backend.BookBackend")
    return client


def worked_s() -> float:
    """
    How long this process has worked, and the one of PostgreSQL that works for it: neighbours of a machine do not count.
    """
    if connection.vendor == "sqlite":
        return time.process_time()
    of_server = Path(f"/proc/{connection.connection.info.backend_pid}/schedstat").read_text()
    return time.process_time() + int(of_server.split()[0]) / 1e9


def cost(act: Callable[[], object]) -> float:
    """The quickest of some rounds with nothing kept. [s]"""
    took: list[float] = []
    while len(took) < LEAST_ROUNDS or (len(took) < MOST_ROUNDS and sum(took) < MOST_SECONDS):
        cache.clear()
        began = worked_s()
        act()
        took.append(worked_s() - began)
    return min(took)


def errands(client: Client) -> dict[str, Callable[[], object]]:
    """What goes through the whole book."""
    return {
        "verify": lambda: call_command("verify", verbosity=0, stdout=StringIO()),
        "export": lambda: sum(map(len, client.get("/everything.zip"))),
        "backup": lambda: backups.make(settings.DATA).unlink(),
    }


def told_of(errand: Callable[[], object]) -> dict[str, float]:
    """How long it takes for how much, and by how much the memory of this process rises meanwhile."""
    Path("/proc/self/clear_refs").write_text("5")  # the most so far is forgotten
    before, began = memory_mb("VmRSS"), time.perf_counter()
    errand()
    took = time.perf_counter() - began
    return {"seconds": took, "mb_per_s": book_bytes() / 1e6 / took, "mb": memory_mb("VmHWM") - before}


def memory_mb(what: str) -> float:
    [line] = [each for each in Path("/proc/self/status").read_text().splitlines() if each.startswith(f"{what}:")]
    return int(line.split()[1]) / 1e3


def book_bytes() -> int:
    if connection.vendor == "sqlite":
        return Path(connection.settings_dict["NAME"]).stat().st_size
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_database_size(current_database())")
        return cursor.fetchone()[0]


if __name__ == "__main__":
    logging.getLogger("studio.door").setLevel(logging.ERROR)
    with override_settings(AXES_ENABLED=False):
        main(int(sys.argv[1]), sys.argv[2:])
