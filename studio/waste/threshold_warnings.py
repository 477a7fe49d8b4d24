"""What the bench says of waste before it is too late: time limits, monthly amounts, advice that ends."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from fractions import Fraction

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry import waste
from chemistry.quantity import quantity
from chemistry.waste.rules import RuleSet
from inventory.dates import long_day
from studio.pages.action_items import ActionItem
from studio.waste import advice, flags, limits, months, premises
from studio.waste.advice import AdviceInForce
from studio.waste.content import Content
from studio.waste.limits import TimeLimit
from studio.waste.models import LocalAdvice
from studio.waste.months import Kilograms, Month
from studio.workshop.models import Workshop

SOON = timedelta(days=14)
ADVICE_SOON = timedelta(days=30)  # an office takes weeks to answer
NEAR_SHARE = 0.8  # of an amount that the rules name: own estimate


def action_items(here: Sequence[Content], workshop: Workshop, at: datetime) -> Iterator[ActionItem]:
    told = advice.told(timezone.localdate(at))
    month = months.this_month(at, told)
    yield from near_time_limits(limits.of_drums(here, month, told, workshop, at), told)
    yield from near_amounts(
        flags.rule_sets_of_studio(workshop, told),
        premises.properties_of_studio(workshop),
        month,
        months.on_site_kg(here, told),
    )
    yield from ending_advice(told)
    if any(each.deposits for each in here):
        yield from about_premises(workshop, told)


def near_time_limits(found: Iterable[TimeLimit], told: AdviceInForce) -> Iterator[ActionItem]:
    for limit in found:
        if limit.on - told.day <= SOON:
            level = "act" if limit.on < told.day else "look"
            words = ngettext(
                "%(drum)s: %(days)s day since its first drop on %(on)s.",
                "%(drum)s: %(days)s days since its first drop on %(on)s.",
                limit.days,
            ) % {
                "drum": limit.drum,
                "days": limit.days,
                "on": long_day(limit.on),
            }
            hand_over = f"{reverse('waste:hand_over')}?drum={limit.drum.pk}"
            yield ActionItem(
                level, _("time limit"), words, _("Hand over %(name)s") % {"name": limit.drum.name}, hand_over
            )


def about_premises(workshop: Workshop, told: AdviceInForce) -> Iterator[ActionItem]:
    if workshop.is_household is None:
        words = _("Nobody has said whether this is a household or a business, and limits turn on it.")
        yield ActionItem("look", _("whose waste"), words, _("Say it"), f"{reverse('workshop:change')}#id_waste_from")
    elif workshop.is_household and not any(told.of_kind(LocalAdvice.Kind.COLLECTION)):
        # the last set is the one nearest to the studio
        collects = waste.rule_sets_for(workshop.region)[-1].collects
        words = _("When does %(collects)s take hazardous waste from households, and does it take this?") % {
            "collects": collects
        }
        url = reverse("waste:add_advice", args=[LocalAdvice.Kind.COLLECTION])
        yield ActionItem("look", _("collection day"), words, _("Write it down"), url)


def near_amounts(
    sets: Sequence[RuleSet], of_the_studio: Mapping[str, object], month: Month, on_site_kg: Kilograms
) -> Iterator[ActionItem]:
    arose, stands = (_("arose this month"), "hazardous_month_kg"), (_("stand here"), "hazardous_on_site_kg")
    for (words, key), kg in ((arose, month.known_kg), (stands, on_site_kg)):
        near = next_amount(limits.named(sets, key, of_the_studio), kg)
        if kg and near:
            sentence = _("%(between)s that may count as hazardous %(words)s. Other rules hold from %(near)s on.") % {
                "between": months.between(*kg),
                "words": words,
                "near": quantity(near, "kg", decimals=0),
            }
            yield ActionItem("look", _("threshold near"), sentence, _("Read the months"), reverse("waste:months"))


def next_amount(amounts: Iterable[Fraction], kg: Kilograms) -> float | None:
    """The next amount that the rules name, where what is known comes near it or may be past it."""
    if kg is None:
        return None
    ahead = (float(limit) for limit in amounts if limit > kg[0])
    following = next(ahead, None)
    return following if following and kg[1] >= NEAR_SHARE * following else None


def ending_advice(told: AdviceInForce) -> Iterator[ActionItem]:
    for each in told.advice:
        if each.until_on and each.until_on - told.day <= ADVICE_SOON:
            words = _("%(asked)s on %(about)s: it ends on %(until_on)s.") % {
                "asked": each.asked,
                "about": each.about,
                "until_on": long_day(each.until_on),
            }
            yield ActionItem("look", _("advice ends"), words, _("Ask again"), each.get_absolute_url())
