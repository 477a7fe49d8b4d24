"""
What needs a hand, each in a plain sentence with the button that answers it.

It comes in groups. Those of the baths come with the bench; each further group is a piece of its own, fetched where it
is not kept, so that no page waits for all of them.
"""

from collections.abc import Callable, Iterable, Iterator
from datetime import timedelta
from functools import cached_property
from itertools import chain
from typing import Any, NamedTuple

from django.urls import reverse
from django.utils import timezone

from chemistry.measured import digits
from inventory.dates import long_day, near_day
from inventory.models import Container, Entry, Material
from studio.baths.descriptions import BathDescription, describe_baths
from studio.baths.models import Bath
from studio.bites import descriptions as bites
from studio.bites import running
from studio.bites.descriptions import RunningBite
from studio.bites.models import Bite
from studio.cathodes import descriptions as cathodes
from studio.orders import stock
from studio.orders.descriptions import already
from studio.pages.action_items import ActionItem
from studio.people import inductions
from studio.safety import descriptions as labels
from studio.waste import descriptions as waste
from studio.waste import incidents, record, threshold_warnings
from studio.workshop.models import Workshop

SOON = timedelta(days=7)
MOST_OF_A_KIND = 6  # the shelf's own list has the rest


class Now:
    """The studio at this moment; its baths are looked at once, whoever asks."""

    def __init__(self, workshop: Workshop) -> None:
        self.workshop, self.at = workshop, timezone.now()

    @cached_property
    def baths(self) -> list[BathDescription]:
        return describe_baths(list(Bath.objects.select_related("place")), self.workshop.units)

    @property
    def running(self) -> list[RunningBite]:
        """Told anew to every piece that asks, so that each is kept until the next time is up and no longer."""
        return [bites.told(bite, self.at) for bite in self.bites_running]

    @cached_property
    def bites_running(self) -> list[Bite]:
        return list(running.in_baths([described.bath for described in self.baths]))


class Group(NamedTuple):
    """What is asked by one part of the studio."""

    name: str
    action_items: Callable[[Now], Iterable[ActionItem]]


def action_items(slug: str, now: Now) -> list[ActionItem]:
    """What a group asks for; what must be acted on comes first."""
    # a stable sort: within a level each part keeps its own order
    return sorted(GROUPS[slug].action_items(now), key=lambda item: item.level != "act")


def about_baths(now: Now) -> Iterator[ActionItem]:
    # a bite whose time is up eats on: it goes before whatever a bath needs
    for told in now.running:
        if told.level == "act":
            words = f"{told.words}. Current off, then {told.bite.plate or 'the plate'} out."
            yield ActionItem("act", "time is up", words, "Stop the clock", told.bite.get_absolute_url())
    for described in now.baths:
        status, bath = described.status, described.bath
        for reading, comparison in described.held_out:
            words = f"{bath}, {near_day(reading.entry.happened_at, status.at)}: {reading.words} {comparison}."
            yield ActionItem("act", "reading held out", words, "Answer it", reverse("baths:answer", args=[reading.pk]))
        if status.state is None:
            words = f"{bath}: nobody has said yet what is in it."
            yield ActionItem("look", "unread", words, "Adopt or mix it", bath.get_absolute_url())
            continue
        yield from about_strength(described)
        if status.is_long_unread:
            words = f"{bath}: {described.last_read}. A level and a hydrometer tell whether the book still holds."
            read = reverse("baths:read_level", args=[bath.pk])
            yield ActionItem("look", "not read for a month", words, "Read it", read)


def about_strength(described: BathDescription) -> Iterator[ActionItem]:
    """One sentence where one top-up answers them all: too strong, too low, crystals in the night."""
    status, bath = described.status, described.bath
    assert described.strength and described.volume
    top_up = reverse("baths:top_up", args=[bath.pk])
    cold_night = described.tonight if status.freezes_tonight or status.crystals_tonight else ""
    if described.unsure:
        read = reverse("baths:read_hydrometer", args=[bath.pk])
        yield ActionItem(
            "look", "unsure", f"{bath} stands at {described.strength.shown}. {described.unsure}", "Read it", read
        )
    elif status.level != "fine":
        low, high = map(described.units.strength, (bath.range_low_g_per_l, bath.range_high_g_per_l))
        words = f"{bath} stands at {described.strength.shown}; its range is {low.value} to {high}. {cold_night}"
        yield ActionItem(*status.level_and_word, words.strip(), "Plan the top-up", top_up)
        return
    if cold_night:
        word = "ice tonight" if status.freezes_tonight else "crystals tonight"
        yield ActionItem("look", word, f"{bath}. {cold_night}", "Look", bath.get_absolute_url())
    if status.is_low:
        words = f"{bath} holds {described.volume.shown} and is filled to {digits(bath.fill_l, 3)} L."
        yield ActionItem("look", "needs water", words, "Top up", top_up)
    elif status.due and 0 < status.due.span.days <= SOON.days:
        yield ActionItem("look", "needs water soon", f"{bath}. {described.water_due}", "Plan the top-up", top_up)


def about_the_shelf(now: Now) -> Iterator[ActionItem]:
    past = Container.objects.on_the_shelf().filter(use_by_on__lt=timezone.localdate(now.at))
    for jar in past.select_related("material", "place").order_by("use_by_on", "pk")[:MOST_OF_A_KIND]:
        assert jar.use_by_on  # which is why it was asked for
        left = f"{jar.material} in {jar.code}: {jar.shown_on_hand()} left on {jar.place}"
        words = f"{left}, past its date of {long_day(jar.use_by_on)}."
        yield ActionItem("act", "past use-by", words, "Decide", jar.get_absolute_url())
    low: list[Any] = list(Material.objects.to_reorder().order_by("category", "name")[:MOST_OF_A_KIND])
    # nobody is sent to buy what somebody has ordered
    awaited = stock.awaited_lines(now.at).filter(pack__material__in=low) if low else ()
    ordered = {line.pack.material_id: f"; {already(line)}" for line in awaited}
    for material in low:
        left, level = material.show(material.on_hand), material.show(material.reorder_level)
        words = f"{material}: {left} left, and {level} is when to buy more{ordered.get(material.pk, '')}."
        yield ActionItem("look", "low", words, "Look", material.get_absolute_url())


def about_people(now: Now) -> Iterable[ActionItem]:
    if not now.workshop.asks_for_induction:
        return ()
    return inductions.action_items(Entry.objects.filter(bites__isnull=False), timezone.localdate(now.at))


GROUPS = {
    "baths": Group("Baths and plates", about_baths),
    "cathodes": Group("Cathodes", lambda now: cathodes.action_items(now.workshop.units)),
    "shelf": Group("Shelf and orders", about_the_shelf),
    "drums": Group("Drums", lambda now: waste.action_items(now.at)),
    "records": Group("Incidents and disposals", lambda now: chain(incidents.action_items(), record.action_items())),
    "limits": Group("Limits and local advice", lambda now: threshold_warnings.action_items(now.workshop, now.at)),
    "people": Group("People", about_people),
    "labels": Group(
        "Labels", lambda now: labels.action_items([described.status for described in now.baths], now.workshop)
    ),
    "rooms": Group("What stands where", lambda now: labels.room_action_items(now.workshop)),
}
