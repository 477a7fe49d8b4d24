"""
What pages and errands cost as a book grows, in a folder of its own: `python -m tests.benchmarks.grow 1000000`.

The movements are all of one jar, which is the worst case; they are written in bulk, as the ledger would have left them.
Pages are timed by processor time, for the neighbours of a machine do not count.
"""

import os
import resource
import sys
import tempfile
import time
from functools import partial
from io import StringIO
from pathlib import Path

import django

FEW, SOME = 1_000, 100_000
BATH_EVENTS = 20_000
GOAL = 1.1


def main(movements: int) -> None:
    from django.core.management import call_command
    from django.test import Client
    from django.urls import reverse

    from studio.people.roles import KEYHOLDER
    from tests.benchmarks import test_book_at_scale as scale
    from tests.benchmarks.test_long_log import bath_with
    from tests.factories import PersonFactory, WorkshopFactory, stocked

    call_command("migrate", verbosity=0)
    call_command("collectstatic", verbosity=0, interactive=False)
    workshop, person = WorkshopFactory(), PersonFactory(role=KEYHOLDER)
    assert workshop.pk
    client = Client(HTTP_HOST="localhost")
    client.force_login(person.account, backend="studio.people.backend.BookBackend")
    jar, bath = stocked("100 kg", name="Copper sulfate crystals"), bath_with(BATH_EVENTS)
    pages = {
        "bench": reverse("bench:bench"),
        f"bath of {BATH_EVENTS:,} events": reverse("baths:bath", args=[bath.pk]),
        "container": reverse("shelf:container", args=[jar.code]),
        "material": reverse("shelf:material", args=[jar.material_id]),
        "shelf": reverse("shelf:shelf"),
        "orders": reverse("orders:orders"),
        "book": reverse("book:book"),
        "months": reverse("waste:months"),
    }
    sizes = sorted({FEW, min(SOME, movements), movements})
    costs: dict[str, list[float]] = {name: [] for name in pages}
    errands: list[dict[str, str]] = []
    written = 0
    for size in sizes:
        scale._use_often(jar, person, size - written)
        add_months_up()
        written = size
        for name, path in pages.items():
            costs[name].append(scale._cost(partial(client.get, path)))
        errands.append({name: timed(do) for name, do in errands_of(client).items()})
    print(f"{'':28}" + "".join(f"{size:>16,}" for size in sizes) + f"   ratio (goal {GOAL})")
    for name, each in costs.items():
        print(f"{name:28}" + "".join(f"{1e3 * cost:>13.1f} ms" for cost in each) + f"{each[-1] / each[0]:>8.2f}")
    for name in errands[0]:
        print(f"{name:28}" + "".join(f"{found[name]:>16}" for found in errands))
    print(f"most memory of this process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3:.0f} MB")


def add_months_up() -> None:
    """As the ledger adds up what it writes one by one."""
    from inventory import months
    from inventory.models import MonthSum

    MonthSum.objects.all().delete()
    MonthSum.objects.bulk_create(
        MonthSum(**key._asdict(), amount=amount, lines=lines) for key, (amount, lines) in months.worked_out().items()
    )


def errands_of(client) -> dict:
    """What goes through the whole book, and answers how many bytes that was."""
    from django.core.management import call_command

    from studio.server import backups

    def verify() -> int:
        call_command("verify", verbosity=0, stdout=StringIO())
        return book_bytes()

    return {
        "verify": verify,
        "export, packed": lambda: sum(map(len, client.get("/everything.zip"))),
        "backup": lambda: backups.make(Path(os.environ["MORDANT_DATA"])).stat().st_size and book_bytes(),
    }


def book_bytes() -> int:
    return (Path(os.environ["MORDANT_DATA"]) / "mordant.sqlite3").stat().st_size


def timed(do) -> str:
    began = time.process_time()
    size = do()
    took = time.process_time() - began
    return f"{took:.1f} s {size / 1e6 / took:.1f} MB/s"


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(prefix="mordant-grown-") as folder:
        os.environ |= {"MORDANT_DATA": folder, "DJANGO_SETTINGS_MODULE": "studio.settings"}
        django.setup()
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000)
