"""What the closing lists say of cathodes, plates, drums, and of what may travel together."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from django.urls import reverse

from chemistry.hazards.storage import GROUPS, keep_apart
from inventory.models import Container
from studio.baths.models import Bath
from studio.bites.models import Bite, Plate
from studio.cathodes import hangings
from studio.cathodes.models import Cathode
from studio.hazards.classification import Hazards, classify_materials
from studio.waste import whereabouts
from studio.workshop.models import region_of_the_book

MOST_OF_A_KIND = 40


@dataclass(frozen=True)
class ChecklistLine:
    """One thing to do; `key` tells it from the others however its words change."""

    key: str
    words: str
    url: str = ""


def fixed(*lines: str) -> Iterator[ChecklistLine]:
    """Lines that no record asks for: common practice, no source."""
    for line in lines:
        key, _, words = line.partition(":")
        yield ChecklistLine(key, words)


# cathodes


def cathodes_out() -> Iterator[ChecklistLine]:
    """Each that hangs; a studio that keeps none in the book is reminded all the same."""
    hung = cathodes_and_baths()
    if not hung:
        yield from fixed("cathodes:Cathodes out of the liquid, rinsed and dry.")
    for cathode, bath in hung:
        if bath:
            words = f"Take {cathode} out of {bath}, rinse and dry it; weigh or strip it while you are at it."
            yield ChecklistLine(f"out-{cathode.pk}", words, reverse("cathodes:take_out", args=[cathode.pk]))


def cathodes_back() -> Iterator[ChecklistLine]:
    for cathode, bath in cathodes_and_baths():
        if bath is None:
            words = f"Hang {cathode} again once its bath is read; strip or weigh it first."
            yield ChecklistLine(f"hang-{cathode.pk}", words, reverse("cathodes:hang", args=[cathode.pk]))


def cathodes_to_carry() -> Iterator[ChecklistLine]:
    for cathode, bath in cathodes_and_baths():
        where = f"out of {bath}, " if bath else ""
        words = f"{cathode}: {where}dry, weighed and wrapped; loose powder stays wet in a jar of its own."
        yield ChecklistLine(f"wrap-{cathode.pk}", words, reverse("cathodes:weigh", args=[cathode.pk]))


def cathodes_and_baths() -> list[tuple[Cathode, Bath | None]]:
    """All of the book, each with the bath it hangs in."""
    bath_of = {stay.cathode_id: stay.bath for stay in hangings.stays() if stay.until is None}
    return [(cathode, bath_of.get(cathode.pk)) for cathode in Cathode.objects.standing()]


# plates


def plates_in_baths() -> Iterator[ChecklistLine]:
    running = Bite.objects.running().select_related("bath", "plate").order_by("happened_at", "pk")
    for bite in running[:MOST_OF_A_KIND]:
        words = f"{bite.plate or 'A plate'} hangs in {bite.bath}: current off, plate out, rinsed and dry."
        yield ChecklistLine(f"bite-{bite.pk}", words, bite.get_absolute_url())


def plates_away() -> Iterator[ChecklistLine]:
    away = Plate.objects.standing().with_last_parcel().filter(is_away=True)
    for plate in away[:MOST_OF_A_KIND]:
        words = f"{plate} is away at {plate.away_at}: say until when nobody is here to take it in."
        yield ChecklistLine(f"plate-{plate.pk}", words, plate.get_absolute_url())


def plates_to_wrap() -> Iterator[ChecklistLine]:
    here = Plate.objects.standing().with_last_parcel().filter(is_away=False).count()
    if here:
        plates = "1 plate" if here == 1 else f"{here} plates"
        words = f"Wrap {plates}: grease or ground on the faces, paper between them, standing on edge."
        yield ChecklistLine("plates", words, reverse("bites:plates"))


# drums


def drums(words: str, page: str) -> Iterator[ChecklistLine]:
    """A line for each that is here; page: the one of the drum that answers it."""
    for drum in whereabouts.drums_on_site().select_related("place")[:MOST_OF_A_KIND]:
        named = f"{drum}, {drum.stream.title.lower()}, {drum.place}"
        yield ChecklistLine(f"drum-{drum.pk}", f"{named}: {words}", reverse(page, args=[drum.pk]))


# what may travel together


def known_materials(jars: Sequence[Container]) -> dict[int, Hazards]:
    """What is in jars, by the key of its material."""
    materials = {jar.material_id: jar.material for jar in jars}
    return classify_materials(list(materials.values()), region_of_the_book())


def boxes(standing: Iterable[Container]) -> Iterator[ChecklistLine]:
    """A box for each storage group, and which of them must not meet."""
    here = [jar for jar in standing if not jar.is_away]
    known = known_materials(here)
    boxes = Counter(tuple(sorted(known[jar.material_id].storage_groups)) for jar in here)
    # no box for these: what they must be kept from nobody knows
    unknown = boxes.pop((), 0)
    for box in sorted(boxes):
        names = " and ".join(GROUPS[group].name for group in box)
        yield ChecklistLine(f"group-{'-'.join(box)}", f"{counted(boxes[box])} of {names}: into a box of their own.")
    groups = {group for box in boxes for group in box}
    for reason in keep_apart(groups, groups):
        pair = " and ".join(GROUPS[group].name for group in reason.pair)
        yield ChecklistLine(f"apart-{'-'.join(reason.pair)}", f"Never together on the way: {pair}. {reason.why}")
    if unknown:
        words = f"{counted(unknown)}: needs info, nobody has said which storage group. Look at their sheets first."
        yield ChecklistLine("group-unknown", words, reverse("shelf:shelf"))


def counted(containers: int) -> str:
    return "1 container" if containers == 1 else f"{containers} containers"
