"""What the closing lists say of cathodes, plates, drums, and of what may travel together."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry.hazards.storage import GROUPS, keep_apart
from inventory.models import Container
from inventory.wording import translated
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


def fixed(*lines: tuple[str, str]) -> Iterator[ChecklistLine]:
    """Lines that no record asks for: common practice, no source."""
    for key, words in lines:
        yield ChecklistLine(key, words)


# cathodes


def cathodes_out() -> Iterator[ChecklistLine]:
    """Each that hangs; a studio that keeps none in the book is reminded all the same."""
    hung = cathodes_and_baths()
    if not hung:
        yield from fixed(("cathodes", _("Cathodes out of the liquid, rinsed and dry.")))
    for cathode, bath in hung:
        if bath:
            words = _("Take %(cathode)s out of %(bath)s, rinse and dry it; weigh or strip it while you are at it.") % {
                "cathode": cathode,
                "bath": bath,
            }
            yield ChecklistLine(f"out-{cathode.pk}", words, reverse("cathodes:take_out", args=[cathode.pk]))


def cathodes_back() -> Iterator[ChecklistLine]:
    for cathode, bath in cathodes_and_baths():
        if bath is None:
            words = _("Hang %(cathode)s again once its bath is read; strip or weigh it first.") % {"cathode": cathode}
            yield ChecklistLine(f"hang-{cathode.pk}", words, reverse("cathodes:hang", args=[cathode.pk]))


def cathodes_to_carry() -> Iterator[ChecklistLine]:
    for cathode, bath in cathodes_and_baths():
        words = _("%(cathode)s: dry, weighed and wrapped; loose powder stays wet in a jar of its own.")
        if bath:
            words = _(
                "%(cathode)s: out of %(bath)s, dry, weighed and wrapped; loose powder stays wet in a jar of its own."
            )
        words %= {"cathode": cathode, "bath": bath}
        yield ChecklistLine(f"wrap-{cathode.pk}", words, reverse("cathodes:weigh", args=[cathode.pk]))


def cathodes_and_baths() -> list[tuple[Cathode, Bath | None]]:
    """All of the book, each with the bath it hangs in."""
    bath_of = {stay.cathode_id: stay.bath for stay in hangings.stays() if stay.until is None}
    return [(cathode, bath_of.get(cathode.pk)) for cathode in Cathode.objects.standing()]


# plates


def plates_in_baths() -> Iterator[ChecklistLine]:
    running = Bite.objects.running().select_related("bath", "plate").order_by("happened_at", "pk")
    for bite in running[:MOST_OF_A_KIND]:
        words = _("%(value)s hangs in %(bath)s: current off, plate out, rinsed and dry.") % {
            "value": bite.plate or _("A plate"),
            "bath": bite.bath,
        }
        yield ChecklistLine(f"bite-{bite.pk}", words, bite.get_absolute_url())


def plates_away() -> Iterator[ChecklistLine]:
    away = Plate.objects.standing().with_last_parcel().filter(is_away=True)
    for plate in away[:MOST_OF_A_KIND]:
        words = _("%(plate)s is away at %(away_at)s: say until when nobody is here to take it in.") % {
            "plate": plate,
            "away_at": plate.away_at,
        }
        yield ChecklistLine(f"plate-{plate.pk}", words, plate.get_absolute_url())


def plates_to_wrap() -> Iterator[ChecklistLine]:
    here = Plate.objects.standing().with_last_parcel().filter(is_away=False).count()
    if here:
        words = ngettext(
            "Wrap %(number)s plate: grease or ground on the faces, paper between them, standing on edge.",
            "Wrap %(number)s plates: grease or ground on the faces, paper between them, standing on edge.",
            here,
        ) % {"number": here}
        yield ChecklistLine("plates", words, reverse("bites:plates"))


# drums


def drums(words: str, page: str) -> Iterator[ChecklistLine]:
    """A line for each that is here; page: the one of the drum that answers it."""
    for drum in whereabouts.drums_on_site().select_related("place")[:MOST_OF_A_KIND]:
        named = f"{drum}, {translated(drum.stream.title).lower()}, {drum.place}"
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
        yield ChecklistLine(
            f"group-{'-'.join(box)}",
            _("%(boxes)s of %(names)s: into a box of their own.") % {"boxes": counted(boxes[box]), "names": names},
        )
    groups = {group for box in boxes for group in box}
    for reason in keep_apart(groups, groups):
        pair = " and ".join(GROUPS[group].name for group in reason.pair)
        yield ChecklistLine(
            f"apart-{'-'.join(reason.pair)}",
            _("Never together on the way: %(pair)s. %(why)s") % {"pair": pair, "why": translated(reason.why)},
        )
    if unknown:
        words = _("%(unknown)s: needs info, nobody has said which storage group. Look at their sheets first.") % {
            "unknown": counted(unknown)
        }
        yield ChecklistLine("group-unknown", words, reverse("shelf:shelf"))


def counted(containers: int) -> str:
    return ngettext("%(number)s container", "%(number)s containers", containers) % {"number": containers}
