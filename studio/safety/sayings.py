"""What the bench says of labels."""

from collections.abc import Iterable, Iterator

from django.urls import reverse
from django.utils.formats import date_format

from studio.asks import Ask
from studio.baths.standing import Standing
from studio.safety import labels
from studio.safety.models import PrintedLabel
from studio.workshop.models import Workshop


def asks(standings: Iterable[Standing], workshop: Workshop) -> Iterator[Ask]:
    """Labels that say less than what they are stuck on has become."""
    for each in labels.outgrown(standings, workshop):
        printed_on = date_format(each.label.entry.happened_at, "j F Y")
        words = f"The {each.label}, printed {printed_on}, does not say yet: {each.words}."
        yield Ask("act", "label to reprint", words, "Print it anew", reprint_url(each.label))


def reprint_url(label: PrintedLabel) -> str:
    """Where the next one is printed."""
    if label.bath:
        return reverse("safety:label_bath", args=[label.bath.pk])
    if label.container:
        return reverse("safety:label_container", args=[label.container.code])
    return reverse("safety:label_material", args=[label.material_id])
