"""What is known of a drum, in the words of chemistry's vocabulary: measured, found out, or worked out from its log."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from django.utils import timezone

from chemistry.hazards.substances import SUBSTANCES
from chemistry.waste import properties, streams
from chemistry.waste.vocabulary import VOCABULARY
from chemistry.working import Figure
from studio.waste.content import Content
from studio.waste.models import Drum, Finding, TestResult

Known = dict[str, object]
Ends = tuple[float, float]
Quantity = TestResult.Quantity

COPPER_SOLUTIONS = frozenset({"bath_spent", "rinse"})  # copper sulfate and water, and nothing else
BLUE = SUBSTANCES["copper_sulfate_pentahydrate"]
MG_PER_G = 1000


def of(content: Content, kind: str, *, at: datetime, found: Iterable[Finding] = ()) -> Known:
    """
    What is known of a drum if all that is in it were of one kind.

    A test goes before what somebody found out, and that before what is worked out.
    """
    return {
        **streams.STREAMS[kind].properties,
        "is_discarded": True,
        **_of_the_vessel(content, at),
        **_worked_out(content),
        **{finding.key: finding.value for finding in found},
        **_tested(content),
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
    return _copper(content, Quantity.COPPER_PER_L, content.copper_per_l)


def _copper(content: Content, quantity: str, worked_out: Figure | None) -> Ends | None:
    result = next((each for each in reversed(content.test_results) if each.is_of_copper), None)
    if result and result.quantity == quantity and _is_after_all_deposits(content, result):
        return result.low, result.high
    return _range(worked_out)


def _of_the_vessel(content: Content, at: datetime) -> Known:
    started_at, full_percent = content.started_at, content.full_percent
    days = (timezone.localdate(at) - timezone.localdate(started_at)).days if started_at else None
    return {
        "container_age_days": None if days is None else max(days, 0),
        "container_fill_percent": None if full_percent is None else round(full_percent, 1),
    }


def _worked_out(content: Content) -> Known:
    """From the copper that went in; of what else is in a drum nobody can work out anything."""
    if not content.deposits:
        return {}
    per_l = copper_mg_per_l(content)
    per_kg = _copper(content, Quantity.COPPER_PER_KG, content.copper_per_kg)
    if per_l and COPPER_SOLUTIONS.issuperset(content.kinds):
        return _of_solution(per_l) | {"cu_mg_per_l": per_l}
    is_liquid = streams.STREAMS[content.drum.kind].properties.get("is_liquid")
    return {"cu_mg_per_l": per_l if is_liquid else None, "cu_mg_per_kg": per_kg}


def _of_solution(per_l: Ends) -> Known:
    assert BLUE.copper_share
    low, high = (each / MG_PER_G / BLUE.copper_share for each in per_l)
    try:
        return properties.of_copper_solution((low, high))
    except ValueError:
        return {}  # more than water takes up: whatever it is, it is no solution of copper sulfate alone


def _tested(content: Content) -> Mapping[str, object]:
    """pH and flash point as measured last; copper is in the sums already."""
    measured = (Quantity.PH, Quantity.FLASH_POINT)
    latest = {each.quantity: (each.low, each.high) for each in content.test_results if each.quantity in measured}
    return {str(quantity): ends for quantity, ends in latest.items()}


def _is_after_all_deposits(content: Content, result: TestResult) -> bool:
    moment = (result.entry.happened_at, result.entry_id)
    return all((each.entry.happened_at, each.entry_id) < moment for each in content.deposits)


def _range(figure: Figure | None) -> Ends | None:
    """Both ends of its 95 % interval, within what can be."""
    if figure is None:
        return None
    most = float(VOCABULARY[KEY_OF_UNIT[figure.unit]].high)
    spread = figure.half_width or 0.0
    return max(figure.value - spread, 0.0), min(figure.value + spread, most)


KEY_OF_UNIT = {"mg/L": "cu_mg_per_l", "mg/kg": "cu_mg_per_kg"}
