"""
A campaign by its name, on one of the two databases:

    python -m tests.campaigns NAME [--postgresql] [--seed 7] [--long]

Each prints a table of what it tried, what came of it, and how long it took. Short forms are tests (`-m campaign`).
"""

import argparse
import logging
import os
import pkgutil
from contextlib import nullcontext
from importlib import import_module
from time import perf_counter

from tests import campaigns, postgres

NOT_CAMPAIGNS = {"__main__", "forking", "forms", "members", "table"}


def main() -> None:
    names = sorted({each.name for each in pkgutil.iter_modules(campaigns.__path__)} - NOT_CAMPAIGNS)
    names = [name for name in names if not name.startswith("test_")]
    asked = argparse.ArgumentParser(prog="python -m tests.campaigns", description="Campaigns: " + ", ".join(names))
    asked.add_argument("name", choices=names)
    asked.add_argument("--postgresql", action="store_true")
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--long", action="store_true")
    asked.add_argument("--only", default="", help="the pages whose names hold this")
    asked.add_argument("--minutes", type=float, help="after which `kill` ends, however many it has done")
    told = asked.parse_args()
    with postgres.server() if told.postgresql else nullcontext("") as url:
        if url:
            os.environ["DATABASE_URL"] = url
        began = perf_counter()
        limit = {"minutes": told.minutes} if told.minutes else {}
        rows = run(told.name, long=told.long, seed=told.seed, url=url, only=told.only, **limit)
        print(f"{told.name}, {'PostgreSQL' if url else 'SQLite'}, seed {told.seed}: {perf_counter() - began:.0f} s")
        print(rows)


def run(name: str, **how) -> str:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    import django

    django.setup()
    logging.disable(logging.CRITICAL)  # what stumbles on purpose is told by the table
    campaign = import_module(f"tests.campaigns.{name}")
    if not getattr(campaign, "IN_A_TEST_DATABASE", False):
        return campaign.run(**how)
    from django.test.utils import get_runner, setup_test_environment, teardown_test_environment

    runner = get_runner(django.conf.settings)(verbosity=0, interactive=False)
    setup_test_environment()
    databases = runner.setup_databases()
    try:
        return campaign.run(**how)
    finally:
        runner.teardown_databases(databases)
        teardown_test_environment()


if __name__ == "__main__":
    main()
