"""The part of the invented year that is about whom the studio asked, and what they said."""

from datetime import date

from studio.waste import advice
from studio.waste.models import LocalAdvice

AS_TEXT = ("kind", "asked", "question", "answer", "stream", "repeats")
DAYS = ("said_on", "until_on", "next_on")


def tell(year, line) -> None:
    days = {name: date.fromisoformat(line[name]) + year.shift if line[name] else None for name in DAYS}
    told = LocalAdvice(
        **{name: line[name] for name in AS_TEXT},
        **days,
        is_written=line["is_written"] == "yes",
        cu_mg_per_l=float(line["cu_mg_per_l"]) if line["cu_mg_per_l"] else None,
    )
    advice.record(told, by=year.signed(line))


FILES = ("advice",)
WRITERS = {"told": tell}
