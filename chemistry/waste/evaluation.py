"""
What is to be thought of before waste goes anywhere: flags, from what is known of it and the rules of a region.

A flag is suggested and local rules decide. What is not known needs info, and a rule that does not apply permits
nothing: sewer and water have rules of their own, driven by dissolved copper.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from types import MappingProxyType

from chemistry import data_files
from chemistry.sentences import THEN, Sentence, strung
from chemistry.waste import vocabulary
from chemistry.waste.rules import GENERIC, SHIPPED, Rule, RuleSet
from chemistry.waste.vocabulary import VOCABULARY, Range, Value, span

APPLIES = Sentence("applies")
DOES_NOT_APPLY = Sentence("does not apply")
NEEDS_INFO = Sentence("needs info")
STATE_OF: Mapping[bool | None, Sentence] = MappingProxyType({True: APPLIES, False: DOES_NOT_APPLY, None: NEEDS_INFO})

SUGGESTED = Sentence("suggested; local rules decide")
PERMITS_NOTHING = Sentence("Not met by what is written down. That permits nothing: ask before it goes anywhere.")
FOOTER = Sentence(
    "Generic guidance from published rules. The supplier's safety sheet, your local authority, the operator of your "
    "sewer and licensed collectors decide. Ask them before you treat, move or pour anything."
)
NO_RULES_YET = Sentence(
    "No rule set for your region yet: ask your waste authority, the operator of your sewer and a licensed collector, "
    "and write down what they say. The cautions that hold everywhere stay on."
)
NOTHING: Mapping[str, str] = MappingProxyType({})
NO_FLASH_POINT = (94, 500)  # °C, what to say of a liquid that has none: above every limit of a flammable liquid


@dataclass(frozen=True, slots=True, kw_only=True)
class Flag:
    """
    What a rule says of a waste.

    state: applies, does not apply, needs info.
    text: the rule's own words, whatever the state; print `says`.
    missing: keys of the properties that would decide it, where it needs info; ask: what to do about each.
    because: the rule's condition in words; inputs: what of it was known.
    as_of, evidence: how old the rule's source is and how it is known; version: of the set the rule stands in.
    """

    rule_id: str
    state: Sentence
    text: str
    citation: str
    missing: tuple[str, ...]
    ask: tuple[str, ...]
    as_of: date
    evidence: str
    about: str
    severity: str
    because: str
    inputs: Mapping[str, Value]
    rule_set: str
    version: date
    standing: str = SUGGESTED

    @property
    def says(self) -> str:
        """A sentence for pages and papers that cannot be read as a permission."""
        if self.state == APPLIES:
            return self.text
        if self.state == DOES_NOT_APPLY:
            return PERMITS_NOTHING
        return Sentence("Needs info. %(ask)s It may turn out: %(text)s") % {
            "ask": strung(self.ask, THEN),
            "text": self.text,
        }


def flags(
    properties: Mapping[str, object], rule_sets: Iterable[RuleSet | str], settled_by: Mapping[str, str] = NOTHING
) -> list[Flag]:
    """
    Judge a waste by every rule of the sets, and by the cautions that hold everywhere.

    properties: what is known, by the keys of data/vocabulary.toml; left out, None or UNKNOWN where it is not. A number
        may be (low, high): a limit between the two needs info.
    rule_sets: of `rule_sets_for(region)`, or their ids; a studio's own beside them.
    settled_by: of properties that one answer to another would settle, which to ask instead.

    >>> acid, rinse, unread = ({"is_liquid": True, "ph": ph} for ph in (4.5, 5, (4.5, 5.5)))
    >>> for waste in (acid, rinse, unread):
    ...     print(next(flag.state for flag in flags(waste, ["us-federal"]) if flag.rule_id == "us.sewer.ph"))
    applies
    does not apply
    needs info
    """
    known = vocabulary.known(properties)
    chosen = [GENERIC]
    for given in rule_sets:
        if not isinstance(given, RuleSet) and given not in SHIPPED:
            raise ValueError(f"no such rule set: {given}")
        rule_set = given if isinstance(given, RuleSet) else SHIPPED[given]
        # handed over or not, what holds everywhere is judged once
        if rule_set.id != GENERIC.id:
            chosen.append(rule_set)
    return [flag_of(rule, rule_set, known, settled_by) for rule_set in chosen for rule in rule_set.rules]


def rule_sets_for(region: str) -> tuple[RuleSet, ...]:
    """
    The sets that hold in a workshop's region, the cautions that hold everywhere first.

    >>> [rule_set.id for rule_set in rule_sets_for("us")], [rule_set.id for rule_set in rule_sets_for("elsewhere")]
    (['generic', 'us-federal'], ['generic'])
    """
    return tuple(known for known in SHIPPED.values() if known.is_everywhere or region.lower() in known.regions)


def no_rules_yet(region: str) -> str:
    """
    What to print where a region has no rules of its own here; empty where it has them.

    >>> no_rules_yet("us"), no_rules_yet("elsewhere") == NO_RULES_YET
    ('', True)
    """
    return "" if any(not known.is_everywhere for known in rule_sets_for(region)) else NO_RULES_YET


def flag_of(rule: Rule, rule_set: RuleSet, known: Mapping[str, Value], settled_by: Mapping[str, str]) -> Flag:
    """
    What one rule says of what is known, with all that it rests on.

    >>> flag = flag_of(GENERIC.rules[0], GENERIC, {}, {})
    >>> flag.rule_id == GENERIC.rules[0].id, flag.rule_set
    (True, 'generic')
    """
    verdict = rule.when.judge(known)
    missing = tuple(dict.fromkeys(settled_by.get(key, key) for key in verdict.missing))
    return Flag(
        rule_id=rule.id,
        state=STATE_OF[verdict.holds],
        text=rule.text,
        citation=rule.citation,
        missing=missing,
        ask=tuple(dict.fromkeys(rule.ask(key) for key in missing)),
        as_of=rule.as_of,
        evidence=rule.evidence,
        about=rule.about,
        severity=rule.severity,
        because=str(rule.when),
        inputs=MappingProxyType({key: known[key] for key in rule.when.speaks_of() if key in known}),
        rule_set=rule_set.id,
        version=rule_set.version,
    )


def month_kg(generated: Iterable[tuple[date, Range | None]], *, year: int, month: int) -> tuple[Fraction, Fraction]:
    """
    Hazardous waste that arose in one calendar month, lowest and highest. [kg]

    generated: (day, kg) of everything counted as hazardous; kg may be (low, high), or None where nobody weighed it.

    >>> drums = [(date(2026, 3, 31), 60), (date(2026, 4, 1), 60), (date(2026, 4, 30), (10, 12))]
    >>> [float(end) for end in month_kg(drums, year=2026, month=4)]
    [70.0, 72.0]
    """
    # what nobody weighed may be as heavy as a month can be at all
    heaviest = VOCABULARY["hazardous_month_kg"].high
    spans = [
        span((0, heaviest) if kg is None else kg) for day, kg in generated if (day.year, day.month) == (year, month)
    ]
    low = sum((weighed.low for weighed in spans), Fraction())
    # two drums that nobody weighed would add up to more than the vocabulary takes
    return low, min(sum((weighed.high for weighed in spans), Fraction()), heaviest)


def month_flags(
    generated: Iterable[tuple[date, Range | None]],
    *,
    year: int,
    month: int,
    rule_sets: Iterable[RuleSet | str],
    on_site_kg: Range | None = None,
    of_the_studio: Mapping[str, object] = MappingProxyType({}),
) -> list[Flag]:
    """
    What the rules say of a calendar month's total.

    of_the_studio: what is known of whoever makes the waste, such as whether it is a household.

    >>> drums = [(date(2026, 4, 1), 60), (date(2026, 4, 30), 40.5)]
    >>> studio = {"is_household": False, "acute_month_kg": 0, "acute_spill_month_kg": 0}
    >>> flagged = month_flags(drums, year=2026, month=4, rule_sets=["us-federal"], of_the_studio=studio)
    >>> [flag.rule_id for flag in flagged if flag.state == "applies"]
    ['us.month.small', 'us.month.episode']
    """
    total = {"hazardous_month_kg": month_kg(generated, year=year, month=month), "hazardous_on_site_kg": on_site_kg}
    return [flag for flag in flags({**of_the_studio, **total}, rule_sets) if flag.about == "month total"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SewerLimit:
    """A copper limit as one sewer authority wrote it; none of them is the studio's own. [mg/L]"""

    where: str
    cu_mg_per_l: Fraction
    source: str
    evidence: str


SEWER_LIMITS = tuple(SewerLimit(**entry) for entry in data_files.read("sewer_limits")["limit"])
