"""What the bench says of labels, and of what stands in a place."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from django.urls import reverse
from django.utils.translation import gettext as _

from studio.baths.status import BathStatus
from studio.hazards.models import SupplierClasses
from studio.pages.action_items import ActionItem
from studio.safety import labels
from studio.safety.models import PrintedLabel
from studio.safety.places import co_storage_in_places
from studio.waste.content import Content
from studio.workshop.models import Workshop


def action_items(
    statuses: Iterable[BathStatus], workshop: Workshop, said: Mapping[int, SupplierClasses] | None = None
) -> Iterator[ActionItem]:
    """Labels that say less than what they are stuck on has become, or are too small for it."""
    for each in labels.outdated_labels(statuses, workshop, said):
        says_less = _("The %(label)s says less than it should.") % {"label": each.label}
        too_small = _("The %(label)s is too small for what it is on.") % {"label": each.label}
        words = says_less if each.raised else too_small
        yield ActionItem("act", _("label to reprint"), words, _("Print label"), reprint_url(each.label))


def reprint_url(label: PrintedLabel) -> str:
    """Where the next one is printed."""
    if label.bath:
        return reverse("safety:label_bath", args=[label.bath.pk])
    if label.container:
        return reverse("safety:label_container", args=[label.container.code])
    return reverse("safety:label_material", args=[label.material_id])


def room_action_items(
    workshop: Workshop,
    *,
    baths: Sequence[BathStatus] | None = None,
    drums: Sequence[Content] | None = None,
    said: Mapping[int, SupplierClasses] | None = None,
) -> Iterator[ActionItem]:
    """What stands beside what it must be kept from, and where too much that burns stands in one place."""
    page = reverse("safety:together")
    for each in co_storage_in_places(workshop, baths=baths, drums=drums, said=said):
        for clash in each.clashes:
            yield ActionItem(
                clash.level, clash.word, f"{each.place}: {clash.names}.", _("Move one"), f"{page}#place-{each.place.pk}"
            )
        if each.flammables.is_over:
            words = f"{each.place}: {each.flammables.words}"
            yield ActionItem("act", _("over the limit"), words, _("Move some"), each.place.get_absolute_url())
