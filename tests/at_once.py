"""Several people at several machines, all at the same moment: each on a thread with a connection of its own."""

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

from django.db import connection


def at_once(acts: Sequence[Callable]) -> list:
    """Begin all acts together; what each returned, or the exception it ended with."""
    start = Barrier(len(acts))

    def run(act):
        try:
            start.wait()
            return act()
        except Exception as error:  # which ones are allowed is for the test to say
            return error
        finally:
            connection.close()

    with ThreadPoolExecutor(len(acts)) as people:
        return list(people.map(run, acts))
