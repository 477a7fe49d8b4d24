"""What a studio was told, written down and put to use: its own rules, beside those of its region."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from chemistry.sentences import Sentence
from chemistry.waste import local_rules, streams
from chemistry.waste.rules import RuleSet
from inventory import book
from inventory.book import Signed
from inventory.dates import long_day
from inventory.models import Entry
from inventory.refusals import Refused
from studio.waste import kinds
from studio.waste.models import LocalAdvice

Kind = LocalAdvice.Kind

# of a rule made from an answer: what it speaks of, and how weighty it is
AS_RULE: Mapping[str, tuple[str, str]] = {
    Kind.ANSWER: (Sentence("where it goes"), Sentence("duty")),
    Kind.SEWER: (Sentence("sewer and water"), Sentence("note")),
    Kind.TREATMENT: ("treatment", Sentence("note")),
    Kind.COLLECTION: (Sentence("where it goes"), Sentence("note")),
    Kind.HAZARDOUS: (Sentence("what it is"), Sentence("likely hazardous")),
    Kind.NOT_HAZARDOUS: (Sentence("what it is"), Sentence("note")),
}


def record(advice: LocalAdvice, *, by: Signed) -> Entry:
    """Who was asked, and what they said."""
    with book.entry(
        kinds.ADVICE,
        _("Told by %(asked)s: %(get_kind_display)s, %(about)s")
        % {"asked": advice.asked, "get_kind_display": advice.get_kind_display(), "about": advice.about},
        by,
    ) as entry:
        _refuse_impossible_days(advice)
        _refuse_incomplete(advice)
        # written last: a refusal leaves no file behind
        advice.entry = entry
        advice.save()
    return entry


def _refuse_impossible_days(advice: LocalAdvice) -> None:
    if advice.said_on > timezone.localdate():
        raise Refused("said_on", _("That day has not come yet; the book takes what has been said."))
    if advice.until_on and advice.until_on < advice.said_on:
        raise Refused(
            "until_on",
            _("It was said on %(said_on)s and cannot end before that.") % {"said_on": long_day(advice.said_on)},
        )


def _refuse_incomplete(advice: LocalAdvice) -> None:
    if advice.stream and advice.stream not in streams.STREAMS:
        raise Refused("stream", _("Say for which kind of waste."))
    if advice.kind in LocalAdvice.ABOUT_ONE_KIND and not advice.stream:
        raise Refused("stream", _("Say for which kind of waste: an answer about one is none about another."))
    if advice.kind in LocalAdvice.PERMISSIONS and not advice.is_written:
        raise Refused("is_written", _("A permission counts once it is in writing; until then it is an answer."))
    if advice.kind == Kind.TREATMENT and not advice.how:
        raise Refused("method", _("Say which treatment they allowed."))
    if advice.kind == Kind.SEWER_LIMIT and not advice.cu_mg_per_l:
        raise Refused("cu_mg_per_l", _("Give the limit of copper in mg/L."))


@dataclass(frozen=True)
class AdviceInForce:
    """What holds on a day, the latest first."""

    day: date
    advice: list[LocalAdvice]

    def of_kind(self, *kinds: str) -> Iterator[LocalAdvice]:
        return (each for each in self.advice if each.kind in kinds)

    @cached_property
    def sewer_limit(self) -> LocalAdvice | None:
        """The latest goes before those before it."""
        return next(self.of_kind(Kind.SEWER_LIMIT), None)

    def permitted(self, stream: str) -> list[LocalAdvice]:
        """The treatments of a kind of waste that somebody has allowed in writing, one permission for each."""
        found = (each for each in self.of_kind(Kind.TREATMENT) if each.stream == stream)
        latest: dict[str, LocalAdvice] = {}
        for each in found:
            # the latest comes first, so a permission given anew goes before the older one and its end
            latest.setdefault(each.method, each)
        return list(latest.values())

    def counts_as_hazardous(self, stream: str) -> bool | None:
        """What somebody decided; None while nobody has."""
        decided = (each for each in self.of_kind(Kind.HAZARDOUS, Kind.NOT_HAZARDOUS) if each.stream == stream)
        latest = next(decided, None)
        # no decision is not a no: the months then count it as what may be hazardous
        return None if latest is None else latest.kind == Kind.HAZARDOUS

    @cached_property
    def rules(self) -> RuleSet | None:
        """As a set of rules beside those of the region; None while nobody has said anything."""
        others = [_rule(each) for each in self.advice if each.kind != Kind.SEWER_LIMIT]
        # only the latest: an older limit, stricter or laxer, would be judged beside it
        limits = [_limit(self.sewer_limit)] if self.sewer_limit else []
        return local_rules.local_rules([*limits, *others]) if limits or others else None


def told(on: date | None = None) -> AdviceInForce:
    """In one query."""
    today = on or timezone.localdate()
    return AdviceInForce(today, list(LocalAdvice.objects.in_force(today)))


def _limit(advice: LocalAdvice) -> dict[str, object]:
    assert advice.cu_mg_per_l
    return local_rules.sewer_copper_limit(advice.cu_mg_per_l, said_by=said_by(advice), said_on=advice.said_on)


def _rule(advice: LocalAdvice) -> dict[str, object]:
    about, severity = AS_RULE[advice.kind]
    only = {"all": [{"property": "kind", "one_of": [advice.stream]}]}
    return {
        "id": f"local.{advice.pk}",
        "when": only if advice.stream else "always",
        "text": sentence(advice),
        "about": about,
        "severity": severity,
        "said_by": said_by(advice),
        "said_on": advice.said_on,
    }


def said_by(advice: LocalAdvice) -> str:
    return _("%(asked)s, in writing") % {"asked": advice.asked} if advice.is_written else advice.asked


def sentence(advice: LocalAdvice) -> str:
    """What was said, as a flag prints it; no decision about a class reads as a permission."""
    ends = " " + _("Until %(until_on)s.") % {"until_on": long_day(advice.until_on)} if advice.until_on else ""
    means = " " + _("That permits no pouring.") if advice.kind == Kind.NOT_HAZARDOUS else ""
    of = f", {advice.how.lower()}" if advice.how else ""
    return f"{capfirst(advice.get_kind_display())}{of}: {advice.answer}{means}{ends}"
