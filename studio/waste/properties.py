"""What is known of a drum, in the words of chemistry's vocabulary: measured, found out, or worked out from its log."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.utils import timezone

from chemistry.hazards.substances import SUBSTANCES
from chemistry.solution import sulfuric
from chemistry.waste import properties, streams
from chemistry.waste.vocabulary import VOCABULARY
from chemistry.working import Figure
from inventory.models import Material
from studio.hazards.classification import parts_of, sold_alone
from studio.waste.content import Content
from studio.waste.models import TestResult

Ends = tuple[float, float]
Quantity = TestResult.Quantity

BLUE = SUBSTANCES["copper_sulfate_pentahydrate"]
KEY_OF_UNIT = {"mg/L": "cu_mg_per_l", "mg/kg": "cu_mg_per_kg"}
# a test or an answer of these is a line among others in the sum, which goes on from it
SUMMED = (*KEY_OF_UNIT.values(), "only_copper_solution")
OF_BATHS = {key for key, value in properties.of_copper_solution(1).items() if value is not None} - {*SUMMED}
# what only acid can change: a reading of the pH answers it
OF_ACID = ("h314_percent", "h314_1a_percent", "h315_h319_percent")
MG_PER_G = 1000


def known_properties(content: Content, kind: str, *, at: datetime) -> dict[str, object]:
    """
    What is known of a drum if all that is in it were of one kind.

    What was measured or found out goes before what is worked out. Once something else went in it is needs info: whoever
    measured knew more than the sum, and the sum cannot take that up again.
    """
    started_at = content.started_at
    days = (timezone.localdate(at) - timezone.localdate(started_at)).days if started_at else None
    worked_out = {
        **said_by_kind(content, kind),
        **(unused(content.given_up) if content.given_up else {}),
        "is_discarded": True,
        "container_age_days": None if days is None else max(days, 0),
        "container_fill_percent": fill_percent(content),
        "only_copper_solution": content.is_copper_solution,
        **worked_out_from_copper(content),
    }
    # what is over clears nothing; of what the log tells since, only what warns is left standing beside it
    # a pH that the acid in it tells only ever warns, whatever was measured before that went in
    said = {
        key: VOCABULARY[key].after_more(worked_out.get(key)) if value is None else value
        for key, value in content.known.items()
        if key not in SUMMED and (key != "ph" or value is not None)
    }
    return properties.with_leach_test(worked_out | said, leached_before(content))


def leached_before(content: Content) -> set[str]:
    """Leach tests that ever found something, whatever went in since: a metal that is in it stays in it."""
    return {
        key
        for keys in properties.LEACHED.values()
        for key in keys
        for each in content.answers.get(key, ())
        if isinstance(each.line.value, tuple) and each.line.value[0] > 0
    }


def settled_by_what_is_in_it(known: Sequence[Mapping[str, object]]) -> dict[str, str]:
    """No leach test is asked for before somebody has said whether there may be any of it; known: for each kind."""
    unsaid = (asked for asked in properties.LEACHED if all(each.get(asked) is None for each in known))
    return {key: asked for asked in unsaid for key in properties.LEACHED[asked]}


def said_by_kind(content: Content, kind: str) -> dict[str, object]:
    """What goes without saying of a kind; but a jar, a spill or a rinse may bring solvent, whatever it is called."""
    told, stream = dict(streams.STREAMS[kind].properties), streams.STREAMS[kind]
    doubted = kind in content.guessed or (stream.is_copper_solution and not content.is_copper_solution)
    return told | ({"used_as_solvent": None} if doubted and not told.get("used_as_solvent") else {})


def unused(given_up: Sequence[Material]) -> dict[str, object]:
    """What is given up out of a jar was never used; where it is all of one substance that the rules name, which."""
    named = (properties.U_LISTED.get(sold_alone(parts_of(material))) for material in given_up)
    parts = {part.substance for material in given_up for part in parts_of(material)}
    # what is not among its parts may still be in it
    toxic = {
        "may_hold_toxic_solvents": not parts.isdisjoint(properties.TOXIC_SOLVENTS) or None,
        "may_hold_other_metals": not parts.isdisjoint(properties.TOXIC_METALS) or None,
    }
    return {"is_unused_product": True, "sole_active_substance": next(filter(None, named), None), **toxic}


def settled_by(content: Content) -> dict[str, str]:
    """What a bath is made of is one question for all the rules that go by it, where nobody has answered them apart."""
    is_one = content.is_copper_solution
    if is_one is False or (is_one and copper_mg_per_l(content)):
        return dict.fromkeys(OF_ACID, "ph") if content.acid_unsaid else {}
    asked = {} if is_one else {"used_as_solvent": "only_copper_solution"}
    composed = dict.fromkeys(OF_BATHS, "cu_mg_per_l" if is_one else "only_copper_solution")
    return {key: other for key, other in (composed | asked).items() if key not in content.answers}


def fill_percent(content: Content) -> float | Ends | None:
    """Of the vessel; from what is known up to the brim and over, where something went in whose litres nobody knows."""
    if content.full_percent is None:
        return None
    most = float(VOCABULARY["container_fill_percent"].high)
    percent = min(round(content.full_percent, 1), most)
    return (percent, most) if content.holds_more else percent


def copper_mg_per_l(content: Content) -> Ends | None:
    """The 95 % range of dissolved copper, by the last test where nothing went in since; None where nobody knows it."""
    return copper_range(content, Quantity.COPPER_PER_L, content.copper_per_l)


def acid_g_per_l(content: Content) -> Ends:
    """The 95 % range of sulfuric acid in its liquid, of what is known; of mud, up to that of the sourest bath."""
    worked_out = content.acid_per_l
    return (worked_out.low, worked_out.high) if worked_out else (0.0, content.most_acid_g_per_l)


def copper_range(content: Content, quantity: str, worked_out: Figure | None) -> Ends | None:
    """Both ends, within what can be."""
    for each in content.answers.get(quantity, ()):
        if isinstance(each.line, TestResult) and each.holds is not None:
            return each.line.low, each.line.high
    if worked_out is None:
        return None
    most = float(VOCABULARY[KEY_OF_UNIT[worked_out.unit]].high)
    spread = worked_out.half_width or 0.0
    return min(max(worked_out.value - spread, 0.0), most), min(worked_out.value + spread, most)


def worked_out_from_copper(content: Content) -> dict[str, object]:
    """From the copper that went in; of what else is in a drum nobody can work out anything."""
    if not content.deposits:
        return {}
    per_l = copper_mg_per_l(content)
    if per_l and BLUE.copper_share and content.is_copper_solution:
        low, high = (each / MG_PER_G / BLUE.copper_share for each in per_l)
        least, most = acid_g_per_l(content)
        # of a bath of which nobody has said, as much as any bath holds
        acid = least, sulfuric.MOST_ACID_G_PER_L if content.acid_unsaid else min(most, sulfuric.MOST_ACID_G_PER_L)
        try:
            return properties.of_copper_solution((low, high), acid_g_per_l=acid) | {"cu_mg_per_l": per_l}
        except ValueError:
            # more than water takes up: whatever it is, it is no solution of copper sulfate alone
            return {"cu_mg_per_l": per_l}
    is_liquid = streams.STREAMS[content.drum.kind].properties.get("is_liquid")
    per_kg = copper_range(content, Quantity.COPPER_PER_KG, content.copper_per_kg)
    return {"cu_mg_per_l": per_l if is_liquid else None, "cu_mg_per_kg": per_kg}
