"""What opens without signing in, and what of it a browser keeps for when the network is gone."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from django.templatetags.static import static
from django.urls import reverse

from inventory.models import Container
from studio.baths.models import Bath
from studio.baths.status import status_of_baths
from studio.hazards import classification
from studio.hazards.classification import Hazards
from studio.safety import overview
from studio.waste import whereabouts
from studio.workshop.models import Workshop

AT_ONCE = overview.AT_ONCE
# what the pages are drawn with
STATIC = (
    "mordant.css",
    "favicon.svg",
    "live.js",
    "offline.js",
    "django_htmx/htmx-2.min.js",
    "fonts/SourceSansPro-Regular.ttf",
    "fonts/SourceSansPro-Semibold.ttf",
    "fonts/SourceSerifPro-Semibold.ttf",
)


class Opened(NamedTuple):
    """A summary that opens without signing in, and how it stands in the list: a hatch and a word."""

    name: str
    path: str
    level: str
    word: str


def baths(workshop: Workshop) -> list[Opened]:
    every = status_of_baths(list(Bath.objects.select_related("place")))
    found = classification.classify_baths(every, workshop.region)
    return [
        _classified(str(each.bath), reverse("safety:open_bath", args=[each.bath.pk]), found[each.bath.pk].now)
        for each in every
    ]


def drums() -> list[Opened]:
    """Those that have not left, by what they are for; what is in each its summary says."""
    every = [(each, reverse("safety:open_drum", args=[each.pk])) for each in whereabouts.here()]
    return [Opened(str(drum), path, "look", str(drum.stream)) for drum, path in every]


def materials(workshop: Workshop) -> list[Opened]:
    """By name, whether some of it stands here or not: a label may be found that nobody expected."""
    every = list(overview.asked_about()[:AT_ONCE])
    found = classification.classify_materials(every, workshop.region)
    return [_classified(str(each), reverse("safety:open_material", args=[each.pk]), found[each.pk]) for each in every]


def _classified(name: str, path: str, found: Hazards) -> Opened:
    return Opened(name, path, found.level, found.word)


def addresses(summaries: Sequence[Opened]) -> Iterator[str]:
    """Every page to be kept, what cannot wait first, and what they are drawn with."""
    yield from (reverse(name) for name in ("first_aid", "safety:open", "safety:wall"))
    yield from map(static, STATIC)
    yield from (each.path for each in summaries)


def codes() -> dict[str, str]:
    """The page of a jar and that of its material, which says the same but for what is left in it."""
    jars = Container.objects.at_hand().order_by("-pk").values_list("code", "material")[:AT_ONCE]
    return {
        reverse("safety:open_container", args=[code]): reverse("safety:open_material", args=[material])
        for code, material in jars
    }
