"""The part of the invented year that is about who was shown what."""

from datetime import date

from studio.people import inductions


def induct(year, line) -> None:
    inductions.induct(
        year.people[line["name"]],
        tasks=line["tasks"].split(),
        until_on=date.fromisoformat(line["until_on"]) + year.shift if line["until_on"] else None,
        by=year.signed(line),
    )


FILES = ("inductions",)
WRITERS = {"inducted": induct}
