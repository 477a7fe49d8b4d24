"""What a studio was told where it stands: rules of its own, each with who said so and when."""

from collections.abc import Iterable, Mapping
from contextlib import suppress
from datetime import date

from chemistry import locale
from chemistry.hazards.ingredients import Number, exact
from chemistry.hazards.steps import plain
from chemistry.sentences import Sentence
from chemistry.waste.rules import SHIPPED, RuleSet, read_rules

USUAL = {"about": "where it goes", "severity": "duty", "evidence": "told"}


def local_rules(entries: Iterable[Mapping[str, object]]) -> RuleSet:
    """
    A studio's own rules as a set, to be given to `waste.flags` beside those of its region.

    An entry: id, when ("always" or a condition, as in data/rules/*.toml), text, said_by, said_on; where they are more
    than that, about, severity, measure and citation. A ValueError says in a sentence what is wrong.

    >>> told = sewer_copper_limit(1, said_by="the water company, by telephone", said_on="2026-01-12")
    >>> limit, = local_rules([told]).rules
    >>> print(limit.when, "|", limit.citation)
    dissolved copper above 1 mg/L | told by the water company, by telephone, on 12 January 2026
    """
    rules = read_rules(map(rule_entry, entries))
    # an answer to their rule would count as one to ours
    taken = {rule.id for rule_set in SHIPPED.values() for rule in rule_set.rules} & {rule.id for rule in rules}
    if taken:
        raise ValueError(f"rules of ours are called so already: {', '.join(sorted(taken))}")
    said_last = max((rule.as_of for rule in rules), default=date.min)
    return RuleSet(id="local", title=Sentence("What this studio was told"), version=said_last, rules=rules)


def sewer_copper_limit(cu_mg_per_l: Number, *, said_by: str, said_on: date | str) -> dict[str, object]:
    """
    The entry for the copper limit that the operator of the studio's sewer gave. [mg/L]

    >>> sewer_copper_limit(1, said_by="the water company", said_on="2026-01-12")["when"]
    {'all': [{'property': 'cu_mg_per_l', 'above': Fraction(1, 1)}]}
    """
    limit = exact(cu_mg_per_l)
    return {
        "id": "local.sewer_copper",
        "when": {"all": [{"property": "cu_mg_per_l", "above": limit}]},
        "text": Sentence("More copper than the operator of your sewer takes, %(limit)s mg/L: not down the drain.")
        % {"limit": plain(limit)},
        "about": Sentence("sewer and water"),
        "severity": Sentence("stop"),
        "said_by": said_by,
        "said_on": said_on,
    }


def day_in_words(day: date) -> str:
    """
    A day in the order that is usual here.

    >>> day_in_words(date(2026, 1, 12))
    '12 January 2026'
    """
    is_day_first = locale.current().dates == "day"
    return f"{day.day} {day:%B %Y}" if is_day_first else f"{day:%B} {day.day}, {day.year}"


def rule_entry(entry: Mapping[str, object]) -> dict[str, object]:
    """
    An entry as a rule has it; ValueError where nobody is said to have said it, or no day.

    >>> rule_entry({"id": "x", "said_by": "the depot", "said_on": "2026-01-12"})["citation"]
    'told by the depot, on 12 January 2026'
    """
    who, day = entry.get("said_by"), entry.get("said_on")
    if not isinstance(who, str) or not who.strip() or not day:
        raise ValueError(f"rule {entry.get('id') or '(without an id)'}: say who said so, and on which day")
    # what is no date is left as it is: the rule's own reading refuses it in a sentence
    with suppress(ValueError):
        day = day if isinstance(day, date) else date.fromisoformat(str(day))
    on = day_in_words(day) if isinstance(day, date) else str(day)
    told = {name: value for name, value in entry.items() if name not in ("said_by", "said_on")}
    return USUAL | {"citation": Sentence("told by %(who)s, on %(day)s") % {"who": who, "day": on}, "as_of": day} | told
