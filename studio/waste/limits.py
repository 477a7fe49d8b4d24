"""What the rules name a figure for: how old a drum may grow, how much may arise in a month or stand here."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from fractions import Fraction

from django.utils import timezone

from chemistry import waste
from chemistry.waste import vocabulary
from chemistry.waste.conditions import Condition, Threshold
from chemistry.waste.evaluation import DOES_NOT_APPLY, Flag
from chemistry.waste.rules import RuleSet
from studio.waste import flags
from studio.waste.advice import AdviceInForce
from studio.waste.content import Content
from studio.waste.models import Drum
from studio.waste.months import Month
from studio.workshop.models import Workshop

AGE = "container_age_days"


@dataclass(frozen=True)
class TimeLimit:
    """The day from which a rule speaks of a drum's age."""

    drum: Drum
    since: datetime
    days: int
    on: date
    flag: Flag


def named(sets: Iterable[RuleSet], key: str, of_the_studio: Mapping[str, object]) -> list[Fraction]:
    """Every figure for a property that the rules name for such a studio, the lowest first."""
    known = vocabulary.known(of_the_studio)
    speaking = (rule for rule_set in sets for rule in rule_set.rules if rule.when.judge(known).holds is not False)
    return sorted({limit for rule in speaking for limit in limits_within(rule.when, key)})


def of_drums(
    contents: Collection[Content], month: Month, told: AdviceInForce, workshop: Workshop, now: datetime
) -> list[TimeLimit]:
    """Those of the drums that anything is in, the earliest first; a rule that turns out not to apply sets none."""
    of_age = [_only_about(AGE, each) for each in flags.rule_sets_of_studio(workshop, told)]
    of_age = [each for each in of_age if each.rules]
    of_the_month: dict[str, object] = {flags.OF_THIS_MONTH: month.kg}
    limits: list[TimeLimit] = []
    for content in contents:
        known = flags.properties_of_each_kind(content, told, workshop, now)
        limits += limits_of_drum(content, [each | of_the_month for each in known], of_age)
    return sorted(limits, key=lambda limit: (limit.on, limit.drum.pk))


def limits_of_drum(
    content: Content, known: Sequence[dict[str, object]], of_age: Sequence[RuleSet]
) -> Iterator[TimeLimit]:
    since = content.started_at
    if since is None:
        return
    begun = timezone.localdate(since)
    for rule_set in of_age:
        for rule in rule_set.rules:
            # a rule that names two ages speaks from the lower one
            days = int(min(limits_within(rule.when, AGE)))
            # judged as on that day: today the drum may be too young for it to apply
            flag = _judged(rule.id, [each | {AGE: days} for each in known], rule_set)
            if flag.state != DOES_NOT_APPLY:
                yield TimeLimit(content.drum, since, days, begun + timedelta(days=days), flag)


def _judged(rule_id: str, known: Iterable[dict[str, object]], rule_set: RuleSet) -> Flag:
    judged = (flag for each in known for flag in waste.flags(each, [rule_set]) if flag.rule_id == rule_id)
    return flags.weightiest(judged)


def _only_about(key: str, rule_set: RuleSet) -> RuleSet:
    return replace(rule_set, rules=tuple(rule for rule in rule_set.rules if key in rule.when.speaks_of()))


def limits_within(condition: Condition, key: str) -> Iterator[Fraction]:
    if isinstance(condition, Threshold):
        if condition.property.key == key:
            yield condition.limit
    else:
        for each in (*condition.all, *condition.any, *condition.none):
            yield from limits_within(each, key)
