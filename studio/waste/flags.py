"""What the rules say of a drum, set out for its page: sewer and water apart, then what applies, then what is asked."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property
from typing import NamedTuple
from urllib.parse import urlencode

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry import waste
from chemistry.measured import digits
from chemistry.sentences import THEN, strung
from chemistry.waste.evaluation import APPLIES, DOES_NOT_APPLY, NEEDS_INFO, Flag
from chemistry.waste.rules import ABOUT, SEVERITIES, SHIPPED, RuleSet
from chemistry.waste.vocabulary import VOCABULARY
from inventory.models import Material
from inventory.wording import translated
from studio.waste import advice, months, premises, properties, treatments
from studio.waste.advice import AdviceInForce
from studio.waste.content import Content
from studio.waste.findings import ASKED_TOGETHER, OF_INGREDIENTS, OF_LEACH_TESTS, OF_STUDIO, heading
from studio.waste.models import Drum, TestResult
from studio.workshop.models import Workshop

Hatched = tuple[Flag, str]

IN_VIEW = 1
OF_THE_MONTH = "month total"  # said on the page of the month, not of a drum
OF_THIS_MONTH = "hazardous_month_kg"
OF_WATER = "sewer and water"
STATES = (APPLIES, NEEDS_INFO, DOES_NOT_APPLY)  # the first that any kind in the drum gives
HATCH = {"emergency": "act", "stop": "act", "likely hazardous": "act"}


@dataclass(frozen=True)
class Need:
    """What nobody knows yet, what to do about it, and the button that answers it."""

    name: str
    ask: str
    label: str
    url: str
    flags: Sequence[Flag]


class FlagsByState(NamedTuple):
    """Flags by their state, each with its hatching."""

    applying: list[Hatched]
    undecided: list[Hatched]
    not_met: list[Hatched]


@dataclass(frozen=True)
class DrumFlags:
    content: Content
    flags: Sequence[Flag]
    sets: Sequence[RuleSet]
    no_rules_yet: str
    copper_mg_per_l: tuple[float, float] | None
    sewer_limit_mg_per_l: float | None
    may_be_treated: bool

    @property
    def drum(self) -> Drum:
        return self.content.drum

    @property
    def copper_words(self) -> str:
        """Both ends, or the one figure that a test gave."""
        low, high = (digits(end, 3) for end in self.copper_mg_per_l or (0, 0))
        return low if low == high else _("%(low)s to %(high)s") % {"low": low, "high": high}

    @cached_property
    def of_water(self) -> FlagsByState:
        """Whatever their state, they stand apart: what a waste is called is one thing, a drain another."""
        return flags_by_state(flag for flag in self.flags if flag.about == OF_WATER)

    @cached_property
    def elsewhere(self) -> FlagsByState:
        return flags_by_state(flag for flag in self.flags if flag.about != OF_WATER)

    @cached_property
    def needs(self) -> list[Need]:
        """Once each, what decides most first."""
        keys = dict.fromkeys(key for flag in self.flags for key in flag.missing)
        single = [[key] for key in keys if key not in ASKED_TOGETHER]
        together = ([key for key in keys if key in group] for group in (OF_INGREDIENTS, *OF_LEACH_TESTS))
        return sorted(map(self.need, filter(None, [*single, *together])), key=lambda need: -len(need.flags))

    @property
    def needs_first(self) -> list[Need]:
        """In view."""
        return self.needs[:IN_VIEW]

    @property
    def needs_then(self) -> list[Need]:
        """Folded away."""
        return self.needs[IN_VIEW:]

    def need(self, keys: Sequence[str]) -> Need:
        asking = [flag for flag in self.flags if not set(keys).isdisjoint(flag.missing)]
        label, url = where_to_answer(self.drum, keys)
        of = VOCABULARY[keys[0]]
        name, ask = heading(translated(of.name)), of.measure
        if len(keys) > 1:
            name, ask = (
                (str(OF_SHEET), str(FROM_SHEETS)) if keys[0] in OF_INGREDIENTS else (str(OF_LEACH_TEST), of.measure)
            )
        return Need(name, strung([ask, *self.content.outdated(keys)], THEN), label, url, asking)


OF_SHEET, OF_LEACH_TEST = gettext_lazy("What its ingredients are classed as"), gettext_lazy("What the leach test gives")
FROM_SHEETS = gettext_lazy("Read percentage and statements of every ingredient from its sheet, sections 3 and 2.2.")


def rule_sets_of_studio(workshop: Workshop, told: AdviceInForce) -> list[RuleSet]:
    """What was told comes first, then the cautions that hold everywhere, then the region's."""
    return [*([told.rules] if told.rules else []), *waste.rule_sets_for(workshop.region)]


def rule_sets_elsewhere(workshop: Workshop) -> list[RuleSet]:
    return [known for known in SHIPPED.values() if known not in waste.rule_sets_for(workshop.region)]


def flags_of_drum(content: Content, workshop: Workshop, at: datetime | None = None) -> DrumFlags:
    """Judged by the rules of the studio's region, by what it was told, and by the cautions that hold everywhere."""
    now = at or timezone.now()
    # read once and handed on: two readings could fall on two sides of midnight
    told = advice.told(timezone.localdate(now))
    sets = rule_sets_of_studio(workshop, told)
    known = properties_of_each_kind(content, told, workshop, now)
    settled_by = properties.settled_by(content) | properties.settled_by_what_is_in_it(known)
    flags = judged(known, sets, settled_by)
    if any(OF_THIS_MONTH in flag.missing for flag in flags):
        # worked out only where a rule turns on it: it looks into every drum
        month = months.this_month(now, told)
        flags = judged([each | {OF_THIS_MONTH: month.kg} for each in known], sets, settled_by)
    flags = [replace(flag, ask=(*flag.ask, *content.outdated(flag.missing))) for flag in flags]
    limit = told.sewer_limit
    return DrumFlags(
        content=content,
        flags=sorted(flags, key=lambda flag: (ABOUT.index(flag.about), SEVERITIES.index(flag.severity))),
        sets=sets,
        no_rules_yet=waste.no_rules_yet(workshop.region),
        copper_mg_per_l=properties.copper_mg_per_l(content),
        sewer_limit_mg_per_l=limit.cu_mg_per_l if limit else None,
        may_be_treated=bool(treatments.permitted(content, told)),
    )


def properties_of_each_kind(
    content: Content, told: AdviceInForce, workshop: Workshop, now: datetime
) -> list[dict[str, object]]:
    """What is known of a drum, once for each kind that is in it."""
    return [
        premises.properties_of_studio(workshop)
        | {"counted_as_hazardous": told.counts_as_hazardous(kind)}
        | properties.known_properties(content, kind, at=now)
        for kind in content.kinds
    ]


def flags_of_jar(material: Material, workshop: Workshop) -> list[Hatched]:
    """What the rules say because nobody has used it, before it is given up."""
    known = premises.properties_of_studio(workshop) | properties.unused([material])
    found = waste.flags(known, waste.rule_sets_for(workshop.region))
    turning = (flag for flag in found if "is_unused_product" in flag.inputs and flag.state != DOES_NOT_APPLY)
    return [(flag, level(flag)) for flag in turning]


def judged(known: Iterable[dict[str, object]], sets: Sequence[RuleSet], settled_by: Mapping[str, str]) -> list[Flag]:
    # every kind is judged by the same rules in the same order, so the flags of one rule stand side by side
    together = zip(*(waste.flags(each, sets, settled_by) for each in known), strict=True)
    return [flag for flag in map(weightiest, together) if flag.about != OF_THE_MONTH]


def flags_by_state(flags: Iterable[Flag]) -> FlagsByState:
    found: dict[str, list[Hatched]] = {state: [] for state in STATES}
    for flag in flags:
        found[flag.state].append((flag, level(flag)))
    return FlagsByState(*found.values())


def level(flag: Flag) -> str:
    """How its hatching says it: what needs info is never drawn as it should be."""
    if flag.state == APPLIES:
        return HATCH.get(flag.severity, "look")
    return "look" if flag.state == NEEDS_INFO else "fine"


def weightiest(of_each_kind: Iterable[Flag]) -> Flag:
    """Where several kinds share a drum, what applies to one of them applies to the drum."""
    return min(of_each_kind, key=lambda flag: STATES.index(flag.state))


def where_to_answer(drum: Drum, keys: Sequence[str]) -> tuple[str, str]:
    """The page where somebody writes down what was measured or found out."""
    key = keys[0]
    if key in TestResult.Quantity:
        return _("Note a test"), f"{reverse('waste:test', args=[drum.pk])}?{urlencode({'quantity': key})}"
    if key == "container_fill_percent":
        return _("Look it over"), reverse("waste:look_over", args=[drum.pk])
    if key == "container_age_days":
        return _("Put something in"), reverse("waste:deposit", args=[drum.pk])
    if key == OF_THIS_MONTH:
        return _("Look at the months"), reverse("waste:months")
    if key == "counted_as_hazardous":
        return _("See what was said"), reverse("waste:advice")
    if key in OF_STUDIO:
        return _("Change the settings"), reverse("workshop:change")
    return _("Answer it"), f"{reverse('waste:find', args=[drum.pk])}?{urlencode({'ask': keys}, doseq=True)}"
