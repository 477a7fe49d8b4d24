"""What is known of a drum, in the words of chemistry's vocabulary: measured, found out, or worked out from its log."""

from collections.abc import Iterable
from datetime import datetime

from django.utils import timezone

from chemistry.hazards.substances import SUBSTANCES
from chemistry.waste import properties, streams
from chemistry.waste.vocabulary import VOCABULARY
from chemistry.working import Figure
from studio.waste.content import Content
from studio.waste.models import Drum, Finding, TestResult

Ends = tuple[float, float]
Quantity = TestResult.Quantity

BLUE = SUBSTANCES["copper_sulfate_pentahydrate"]
KEY_OF_UNIT = {"mg/L": "cu_mg_per_l", "mg/kg": "cu_mg_per_kg"}
MG_PER_G = 1000


def known_properties(content: Content, kind: str, *, at: datetime, found: Iterable[Finding] = ()) -> dict[str, object]:
    """
    What is known of a drum if all that is in it were of one kind.

    A test goes before what somebody found out, and that before what is worked out.
    """
    # in this order: a test overrules a finding, a finding overrules a sum
    started_at, full_percent = content.started_at, content.full_percent
    days = (timezone.localdate(at) - timezone.localdate(started_at)).days if started_at else None
    measured = (Quantity.PH, Quantity.FLASH_POINT)  # copper is in the sums already
    return {
        **streams.STREAMS[kind].properties,
        "is_discarded": True,
        "container_age_days": None if days is None else max(days, 0),
        "container_fill_percent": None if full_percent is None else round(full_percent, 1),
        **worked_out_from_copper(content),
        **{finding.key: finding.value for finding in found},
        **{str(each.quantity): (each.low, each.high) for each in content.test_results if each.quantity in measured},
    }


def findings(drums: Iterable[Drum], at: datetime | None = None) -> dict[int, list[Finding]]:
    """By the drum's key, the latest last."""
    found: dict[int, list[Finding]] = {drum.pk: [] for drum in drums}
    until = at or timezone.now()
    standing = Finding.objects.standing().filter(drum__in=found, entry__happened_at__lte=until)
    for each in standing.select_related("entry").order_by("entry__happened_at", "entry_id", "pk"):
        found[each.drum_id].append(each)
    return found


def copper_mg_per_l(content: Content) -> Ends | None:
    """The 95 % range of dissolved copper, by the last test where nothing went in since; None where nobody knows it."""
    return copper_range(content, Quantity.COPPER_PER_L, content.copper_per_l)


def copper_range(content: Content, quantity: str, worked_out: Figure | None) -> Ends | None:
    """Both ends, within what can be."""
    # a test of less than is in there now says nothing of the whole
    result = next((each for each in reversed(content.test_results) if each.is_of_copper), None)
    if result and result.quantity == quantity:
        moment = (result.entry.happened_at, result.entry_id)
        if all((each.entry.happened_at, each.entry_id) < moment for each in content.deposits):
            return result.low, result.high
    if worked_out is None:
        return None
    most = float(VOCABULARY[KEY_OF_UNIT[worked_out.unit]].high)
    spread = worked_out.half_width or 0.0
    return max(worked_out.value - spread, 0.0), min(worked_out.value + spread, most)


def worked_out_from_copper(content: Content) -> dict[str, object]:
    """From the copper that went in; of what else is in a drum nobody can work out anything."""
    if not content.deposits:
        return {}
    per_l = copper_mg_per_l(content)
    if per_l and BLUE.copper_share and all(streams.STREAMS[kind].is_copper_solution for kind in content.kinds):
        low, high = (each / MG_PER_G / BLUE.copper_share for each in per_l)
        try:
            return properties.of_copper_solution((low, high)) | {"cu_mg_per_l": per_l}
        except ValueError:
            # more than water takes up: whatever it is, it is no solution of copper sulfate alone
            return {"cu_mg_per_l": per_l}
    is_liquid = streams.STREAMS[content.drum.kind].properties.get("is_liquid")
    per_kg = copper_range(content, Quantity.COPPER_PER_KG, content.copper_per_kg)
    return {"cu_mg_per_l": per_l if is_liquid else None, "cu_mg_per_kg": per_kg}
