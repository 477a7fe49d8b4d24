"""What opens without signing in, and what of it a browser keeps for when the network is gone."""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from django.templatetags.static import static
from django.urls import reverse

from inventory.models import Container, Material
from inventory.wording import translated
from studio.baths.models import Bath
from studio.baths.status import status_of_baths
from studio.hazards.classification import Hazards, classify_baths, classify_materials
from studio.hazards.models import SupplierClasses
from studio.safety import overview
from studio.waste import content
from studio.waste.hazards import classify_drums
from studio.waste.models import Drum
from studio.workshop.models import Workshop

AT_ONCE = overview.AT_ONCE
# what the pages are drawn with
STATIC = (
    "mordant.css",
    "favicon.svg",
    "live.js",
    "offline.js",
    "django_htmx/htmx-2.min.js",
    "fonts/SourceSansPro-Regular.woff2",
    "fonts/SourceSansPro-Semibold.woff2",
    "fonts/SourceSerifPro-Semibold.woff2",
)


class PublicPage(NamedTuple):
    """A summary that opens without signing in, and how it stands in the list: a hatch and a word."""

    name: str
    path: str
    level: str
    word: str


def baths(workshop: Workshop, said: Mapping[int, SupplierClasses] | None = None) -> list[PublicPage]:
    """said: by suppliers' sheets."""
    every = status_of_baths()
    found = classify_baths(every, workshop.region, sheets=said)
    return [public_page("safety:open_bath", each.bath, found[each.bath.pk].now) for each in every]


def drums(workshop: Workshop) -> list[PublicPage]:
    """Those that have not left."""
    held = content.contents_here()
    found = classify_drums(held, workshop.region)
    return [public_page("safety:open_drum", each.drum, found[each.drum.pk]) for each in held]


def materials(workshop: Workshop, said: Mapping[int, SupplierClasses] | None = None) -> list[PublicPage]:
    """By name, whether some of it stands here or not: a label may be found that nobody expected."""
    every = list(overview.asked_about()[:AT_ONCE])
    found = classify_materials(every, workshop.region, sheets=said)
    return [public_page("safety:open_material", each, found[each.pk]) for each in every]


def public_page(name: str, thing: Bath | Drum | Material, found: Hazards) -> PublicPage:
    # a drum’s name alone tells a stranger nothing
    shown = f"{thing}, {translated(thing.stream)}" if isinstance(thing, Drum) else str(thing)
    return PublicPage(shown, reverse(name, args=[thing.pk]), found.level, found.words)


def addresses(summaries: Sequence[PublicPage]) -> Iterator[str]:
    """Every page to be kept, what cannot wait first, and what they are drawn with."""
    yield from (reverse(name) for name in ("first_aid", "safety:open", "safety:wall"))
    yield from map(static, STATIC)
    yield from (each.path for each in summaries)


def codes() -> dict[str, str]:
    """The page of a jar and that of its material, which says the same but for what is left in it."""
    # the newest, where there are too many: older jars are sooner used up
    jars = Container.objects.at_hand().order_by("-pk").values_list("code", "material")[:AT_ONCE]
    return {
        reverse("safety:open_container", args=[code]): reverse("safety:open_material", args=[material])
        for code, material in jars
    }
