"""What whoever scanned a thing at the bench asks first, once signed in: how full it is, and how long it keeps."""

from collections.abc import Iterator

from django.db.models import Sum
from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry.measured import plain
from inventory.dates import long_day
from inventory.models import Container, Material, Movement
from inventory.wording import translated
from studio.baths.descriptions import BathDescription
from studio.baths.status import BathStatus
from studio.pages.quantities import Units
from studio.safety.summaries import Seen
from studio.waste import whereabouts
from studio.waste.content import Content
from studio.waste.descriptions import DrumDescription


def at_a_glance(thing: Seen, units: Units) -> list[str]:
    """Short lines, the most telling first."""
    if isinstance(thing, Container):
        return list(of_container(thing))
    if isinstance(thing, Material):
        return [of_material(thing)]
    if isinstance(thing, BathStatus):
        return list(of_bath(BathDescription(thing, units)))
    return list(of_drum(thing))


def of_container(jar: Container) -> Iterator[str]:
    came = Movement.objects.standing().filter(container=jar, kind=Movement.Kind.RECEIVED).aggregate(sum=Sum("amount"))
    left = jar.shown_on_hand()
    if came["sum"] and came["sum"] > jar.on_hand > 0:
        named = {
            "left": left,
            "whole": jar.material.show(came["sum"]),
            "percent": plain(100 * jar.on_hand / came["sum"], 0),
        }
        yield _("%(left)s left of %(whole)s: %(percent)s %%") % named
    else:
        yield _("%(left)s left") % {"left": left}
    if jar.use_by_on and jar.on_hand:
        said = _("Past its use-by of %(day)s") if jar.use_by_on < timezone.localdate() else _("Use by %(day)s")
        yield said % {"day": long_day(jar.use_by_on)}
    if jar.opened_on and jar.on_hand:
        yield _("Open since %(day)s") % {"day": long_day(jar.opened_on)}


def of_material(material: Material) -> str:
    jars = Container.objects.at_hand().filter(material=material)
    here = sum(jar.on_hand for jar in jars)
    said = ngettext("%(amount)s here, in one container", "%(amount)s here, in %(count)s containers", len(jars))
    return said % {"amount": material.show(here), "count": len(jars)} if jars else _("None of it stands here")


def of_bath(described: BathDescription) -> Iterator[str]:
    yield capfirst(translated(described.status.word))
    for figure in filter(None, (described.strength, described.volume)):
        yield f"{figure.name}: {figure.shown}"


def of_drum(content: Content) -> Iterator[str]:
    if gone := whereabouts.departures([content.drum]).get(content.drum.pk):
        yield _("It has left: %(gone)s") % {"gone": gone}
        return
    described = DrumDescription(content)
    yield capfirst(described.full)
    if described.content.started_at:
        yield _("Begun %(day)s") % {"day": long_day(described.content.started_at)}
