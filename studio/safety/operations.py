"""What is written about hazards. Each is one entry in one transaction."""

from collections.abc import Sequence
from datetime import date

from django.utils import timezone
from django.utils.translation import gettext as _

from chemistry.hazards import labels as standard
from chemistry.hazards.classes import CLASSES
from inventory import book
from inventory.book import Signed
from inventory.models import Entry, Material
from inventory.refusals import Refused
from studio.hazards.classification import LabelStatement
from studio.hazards.models import SupplierClasses, classes_of
from studio.safety import kinds
from studio.safety.models import PrintedLabel

# in order of severity: which of two is milder is told by their places
SIGNAL_WORDS = ("", "Warning", "Danger")


def copy_classes(
    material: Material,
    *,
    sheet_on: date,
    signal_word: str,
    pictograms: Sequence[str],
    hazards: Sequence[LabelStatement],
    precautions: Sequence[LabelStatement],
    by: Signed,
) -> Entry:
    """Section 2 of the supplier's sheet; it goes before every computed class from now on."""
    copied = SupplierClasses(
        material=material,
        sheet_on=sheet_on,
        signal_word=signal_word,
        pictograms=list(pictograms),
        hazards=list(hazards),
        precautions=list(precautions),
    )
    with book.entry(
        kinds.SUPPLIER_CLASSES,
        _("Copied what the sheet of %(material)s says: %(copied)s") % {"material": material, "copied": copied},
        by,
    ) as entry:
        if sheet_on > timezone.localdate():
            raise Refused("sheet_on", _("That has not come yet; the date stands on the sheet’s first page."))
        refuse_too_mild(signal_word, hazards)
        copied.entry = entry
        copied.save()
    return entry


def print_label(label: PrintedLabel, *, by: Signed) -> Entry:
    """A label goes to the printer; what it carries is kept, so that a raised class can ask for a new one."""
    with book.entry(kinds.LABEL_PRINTED, _("Printed the %(label)s") % {"label": label}, by) as entry:
        label.entry = entry
        label.save()
    return entry


def refuse_too_mild(signal_word: str, hazards: Sequence[LabelStatement]) -> None:
    """No standard pairs a statement with a milder word than its own; a slip of the pen would."""
    known = [CLASSES[id] for id in classes_of(line.code for line in hazards)]
    least = standard.signal_word(known)
    if SIGNAL_WORDS.index(signal_word) < SIGNAL_WORDS.index(least):
        codes = ", ".join(each.h_code for each in known if each.signal_word == least)
        raise Refused(
            "signal_word",
            _("%(codes)s comes with %(least)s in every standard: look at the sheet again.")
            % {"codes": codes, "least": least},
        )
