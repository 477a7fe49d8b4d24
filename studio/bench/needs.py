"""What needs a hand, each in a plain sentence with the button that answers it."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from typing import NamedTuple

from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format

from inventory.models import Container, Material
from studio.baths import sayings
from studio.baths.glance import Glance
from studio.bites.sayings import Told
from studio.cathodes.sayings import Ask
from studio.orders import stock
from studio.orders.sayings import already

SOON = timedelta(days=7)
MOST_OF_A_KIND = 6  # the shelf's own list has the rest


class Need(NamedTuple):
    level: str
    word: str
    sentence: str
    label: str
    url: str


def of(glances: Sequence[Glance], running: Sequence[Told], cathodes: Iterable[Ask], today: date) -> list[Need]:
    """What plates, baths, cathodes and the shelf ask for; what must be acted on comes first."""
    needs = [*_of_plates(running), *(need for glance in glances for need in _of_bath(glance))]
    needs += [Need(*ask) for ask in cathodes]
    return sorted([*needs, *_past_use_by(today), *_low()], key=lambda need: need.level != "act")


def _of_plates(running: Sequence[Told]) -> Iterator[Need]:
    """Those whose time is up."""
    for told in running:
        if told.level == "act":
            words = f"{told.words}. Current off, then {told.bite.plate or 'the plate'} out."
            yield Need("act", "time is up", words, "Stop the clock", told.bite.get_absolute_url())


def _of_bath(glance: Glance) -> Iterator[Need]:
    standing, bath = glance.standing, glance.bath
    for reading, comparison in glance.held_out:
        words = f"{bath}, {sayings.day(reading.entry.happened_at, standing.at)}: {reading.words} {comparison}."
        yield Need("act", "reading held out", words, "Answer it", reverse("baths:answer", args=[reading.pk]))
    if standing.state is None:
        words = f"{bath}: nobody has said yet what is in it."
        yield Need("look", "unread", words, "Adopt or mix it", bath.get_absolute_url())
        return
    yield from _of_its_strength(glance)
    if standing.is_long_unread:
        words = f"{bath}: {glance.last_read}. A level and a hydrometer tell whether the book still holds."
        yield Need("look", "not read for a month", words, "Read it", reverse("baths:read_level", args=[bath.pk]))


def _of_its_strength(glance: Glance) -> Iterator[Need]:
    """One sentence where one top-up answers them all: too strong, too low, crystals in the night."""
    standing, bath = glance.standing, glance.bath
    assert glance.strength and glance.volume
    top_up = reverse("baths:top_up", args=[bath.pk])
    cold_night = glance.tonight if standing.freezes_tonight or standing.crystals_tonight else ""
    if glance.unsure:
        read = reverse("baths:read_hydrometer", args=[bath.pk])
        yield Need("look", "unsure", f"{bath} stands at {glance.strength.shown}. {glance.unsure}", "Read it", read)
    elif standing.status.level != "fine":
        words = f"{bath} stands at {glance.strength.shown}; its range is {_range(glance)}. {cold_night}"
        yield Need(*standing.status, words.strip(), "Plan the top-up", top_up)
        return
    if cold_night:
        word = "ice tonight" if standing.freezes_tonight else "crystals tonight"
        yield Need("look", word, f"{bath}. {cold_night}", "Look", bath.get_absolute_url())
    if standing.is_low:
        words = f"{bath} holds {glance.volume.shown} and is filled to {bath.fill_l:.3g} L."
        yield Need("look", "needs water", words, "Top up", top_up)
    elif standing.due and 0 < standing.due.span.days <= SOON.days:
        yield Need("look", "needs water soon", f"{bath}. {glance.water_due}", "Plan the top-up", top_up)


def _range(glance: Glance) -> str:
    low, high = (
        glance.units.strength(bound) for bound in (glance.bath.range_low_g_per_l, glance.bath.range_high_g_per_l)
    )
    return f"{low.value} to {high}"


def _past_use_by(today: date) -> Iterator[Need]:
    past = (
        Container.objects.on_the_shelf()
        .filter(use_by_on__lt=today)
        .select_related("material", "place")
        .order_by("use_by_on", "pk")
    )
    for container in past[:MOST_OF_A_KIND]:
        words = (
            f"{container.material} in {container.code}: {container.shown_on_hand()} left on {container.place}, past "
            f"its date of {date_format(container.use_by_on, 'j F Y')}."
        )
        yield Need("act", "past use-by", words, "Decide", container.get_absolute_url())


def _low() -> Iterator[Need]:
    low = Material.objects.to_reorder().filter(reorder_level__gt=0).order_by("category", "name")
    shown = list(low[:MOST_OF_A_KIND])
    awaited = stock.awaited_lines(timezone.now()).filter(pack__material__in=shown)
    ordered = {line.pack.material_id: f"; {already(line)}" for line in awaited} if shown else {}
    for material in shown:
        left, level = material.show(material.on_hand), material.show(material.reorder_level)
        words = f"{material}: {left} left, and {level} is when to buy more{ordered.get(material.pk, '')}."
        yield Need("look", "low", words, "Look", material.get_absolute_url())
