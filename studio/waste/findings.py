"""What the rules ask of a drum and no scale or strip tells: somebody looks, or reads a sheet, and writes it down."""

from collections.abc import Mapping

from django.utils.translation import gettext as _

from chemistry.waste.properties import LEACHED
from chemistry.waste.vocabulary import SHARES, VOCABULARY
from inventory.book import Signed
from inventory.models import Entry
from inventory.refusals import Refused
from inventory.wording import translated
from studio.waste import kinds, operations
from studio.waste.models import Drum, Finding, TestResult

# asked once, on the Studio page
OF_STUDIO = ("us_state", "is_household", "acute_month_kg", "acute_spill_month_kg")
# what has a page of its own, or is known without being asked
ELSEWHERE = {
    *TestResult.Quantity.values,
    "kind",
    "is_discarded",
    *OF_STUDIO,
    "counted_as_hazardous",
    "hazardous_month_kg",
    "hazardous_on_site_kg",
    "container_age_days",
    "container_fill_percent",
    "cuso4_released_24h_kg",
}
# asked for together: whoever has the sheet of an ingredient or the report of a leach test open reads all of them off it
OF_INGREDIENTS = frozenset({*SHARES, "chronic_aquatic_index", "h_codes", "euh_codes"})
OF_LEACH_TESTS = tuple(frozenset(keys) for keys in LEACHED.values())
ASKED_TOGETHER = OF_INGREDIENTS.union(*OF_LEACH_TESTS)
ASKED = tuple(key for key in VOCABULARY if key not in ELSEWHERE)


Answer = bool | str | tuple[float, float] | list[str]


def find(drum: Drum, *, answers: Mapping[str, Answer], by: Signed) -> Entry:
    """Each answer goes before what was known of it; all of them are one entry."""
    found = [Finding(drum=drum, key=key, answer=_kept(key, answer)) for key, answer in answers.items()]
    subject = _("Found out about %(drum)s: %(found)s") % {"drum": drum, "found": "; ".join(map(str, found))}
    with operations.writing(drum, kinds.EXAMINED, subject, by) as entry:
        if not found:
            raise Refused(None, _("Answer at least one; what nobody knows stays open."))
        for each in found:
            each.entry = entry
            each.save()
    return entry


def heading(name: str) -> str:
    """
    A property's name at the head of a line; what begins like pH stays as it is.

    >>> heading("drips"), heading("pH")
    ('Drips', 'pH')
    """
    return name if name[1:2].isupper() else f"{name[0].upper()}{name[1:]}"


def _kept(key: str, answer: Answer) -> bool | str | list[str] | list[float]:
    """As it lies in the database; what cannot be is refused beside its field."""
    if key not in ASKED:
        raise Refused(None, _("Nothing asks for %(key)s here.") % {"key": key})
    try:
        VOCABULARY[key].value(answer)
    except ValueError as error:
        raise Refused(key, f"{translated(error)}.") from error
    return list(answer) if isinstance(answer, tuple) else answer
