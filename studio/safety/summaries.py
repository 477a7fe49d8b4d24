"""
What a safety summary says of a material, a container, a bath or a drum, for pages and papers alike.

Nothing here is personal and nothing tells how much is on the shelf, but for the one container that was asked for: a
summary opens without signing in.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import NamedTuple

from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.hazards.advice import ARTICLE, SECTIONS, BenchAdvice
from chemistry.hazards.exposure import air_limits
from chemistry.hazards.storage import GROUPS, MIXING, STANDING, Reason
from chemistry.hazards.substances import SUBSTANCES, Substance
from chemistry.measured import digits
from chemistry.quantity import quantity
from chemistry.sentences import Sentence
from chemistry.sourced import Fact
from chemistry.waste.composition import substances_of
from inventory import facts, past
from inventory.dates import long_day
from inventory.models import Container, Material, SafetySheet
from inventory.wording import translated
from studio.baths.descriptions import BathDescription
from studio.baths.models import Bath
from studio.baths.status import BathStatus, status_of_baths
from studio.hazards.classification import (
    BathHazards,
    Hazards,
    classify_baths,
    classify_material,
    classify_materials,
    parts_of,
)
from studio.waste import whereabouts
from studio.waste.content import Content, content_of_drum
from studio.waste.hazards import classify_drum, vessel_content
from studio.waste.models import Drum
from studio.workshop.models import Workshop

# what was read in its source bears none
MARKS = {"from memory": "†", "secondary": "*", "common practice": "‡", "ours": "§"}
LEGEND = gettext_lazy(
    "* quoted by others. † from memory: your supplier’s sheet goes first. ‡ common practice, no source. § ours."
)
FIRST = "eyes"
BLUE = SUBSTANCES["copper_sulfate_pentahydrate"]


class MarkedSentence(NamedTuple):
    """A sentence and the mark of its evidence."""

    text: str
    mark: str = ""

    @classmethod
    def from_advice(cls, said: BenchAdvice, *, of: str = "") -> "MarkedSentence":
        """of: which of several things it speaks of."""
        told = Sentence("%(thing)s: %(said)s") % {"thing": of, "said": said.text} if of else said.text
        return cls(told, MARKS.get(said.grade, ""))


class SummarySection(NamedTuple):
    """
    runs_on: what its sentences say is one thing, so they stand in one paragraph.
    is_small_print: looked up, not read at the bench: a paper sets it as one paragraph too.
    """

    title: str
    lines: Sequence[MarkedSentence]
    runs_on: bool = False
    is_small_print: bool = False


UNKNOWN_LIMITS = MarkedSentence(
    Sentence("Needs info: some of it may be anything; the sheets of what went in tell their limits.")
)


Seen = Material | Container | BathStatus | Content


@dataclass(frozen=True, kw_only=True)
class Summary:
    """
    kicker: of what this is a summary. lead: what it is. stands: where it is here.
    first: what to do for an eye, before anything else. dried: what a bath becomes when nobody tops it up.
    facts: where the figures come from, pairs of name and value; None needs info.
    path: its address for whoever is not signed in. page: where somebody signed in goes on from it.
    """

    kicker: str
    title: str
    path: str
    page: str
    hazards: Hazards
    lead: str = ""
    stands: str = ""
    dried: str = ""
    first: SummarySection = SummarySection("", ())
    sections: Sequence[SummarySection] = ()
    facts: Sequence[tuple[str, str | None]] = ()

    @property
    def legend(self) -> str:
        return str(LEGEND)


def seen(thing: Bath | Drum | Seen) -> Seen:
    """A thing as it is now, looked at once for all that is said of it."""
    if isinstance(thing, Bath):
        return status_of_baths([thing])[0]
    return content_of_drum(thing) if isinstance(thing, Drum) else thing


def summary_of(thing: Bath | Drum | Seen, workshop: Workshop) -> Summary:
    """The summary of one thing, by the rules of the workshop's region and in its units."""
    thing = seen(thing)
    if isinstance(thing, Material):
        return summaries_of_materials([thing], workshop)[0]
    if isinstance(thing, BathStatus):
        return summaries_of_baths([thing], workshop)[0]
    if isinstance(thing, Content):
        return summary_of_drum(thing, workshop)
    left = _("%(code)s stands here: %(place)s. %(shown_on_hand)s left.") % {
        "code": thing.code,
        "place": thing.place,
        "shown_on_hand": thing.shown_on_hand(),
    }
    return replace(
        summary_of(thing.material, workshop),
        kicker=_("Safety summary of what is in %(code)s") % {"code": thing.code},
        stands=left
        if thing.on_hand
        else _("%(code)s is empty, and by the book it stands nowhere any more.") % {"code": thing.code},
        path=reverse("safety:open_container", args=[thing.code]),
        page=thing.get_absolute_url(),
    )


def summary_then(material: Material, workshop: Workshop, at: datetime) -> Summary:
    """What the summary of a material said at a moment of the past: by the facts, classes and sheets of that day."""
    jars = [jar for jar in past.containers_on_hand_at(at) if jar.material_id == material.pk and not jar.is_away]
    then = facts.as_of(material, at)
    region = facts.as_of(workshop, at).region
    found = classify_material(then, region, at)
    summary = summary_of_material(then, found, SafetySheet.objects.latest_of([then], at).get(then.pk), "", region)
    places = ", ".join(sorted({str(jar.place) for jar in jars}))
    stood = _("Stood here then: %(places)s.") % {"places": places} if places else _("None of it stood here then.")
    return replace(
        summary, stands=_("This is as it was at the end of %(at)s. %(stood)s") % {"at": long_day(at), "stood": stood}
    )


def summaries_of_materials(materials: Sequence[Material], workshop: Workshop) -> list[Summary]:
    """In three queries however many they are."""
    found = classify_materials(materials, workshop.region)
    sheets = SafetySheet.objects.latest_of(materials)
    standing_jars = Container.objects.at_hand().filter(material__in=[each.pk for each in materials])
    places: dict[int, list[str]] = {}
    # without how many or how much: a stranger may read it
    for material, place in standing_jars.values_list("material", "place__name").order_by("place__name").distinct():
        places.setdefault(material, []).append(place)
    return [
        summary_of_material(
            each, found[each.pk], sheets.get(each.pk), ", ".join(places.get(each.pk, [])), workshop.region
        )
        for each in materials
    ]


def summary_of_material(
    material: Material, found: Hazards, sheet: SafetySheet | None, places: str, region: str
) -> Summary:
    # the sheet’s own words; what was worked out from them stands with the classes
    parts = ", ".join(map(str, material.constituents))
    by_name = "" if parts or material.bath_use else ", ".join(map(str, parts_of(material)))
    known = [SUBSTANCES[part.substance] for part in parts_of(material) if part.is_known]
    bath_salt = capfirst(f"{material.get_bath_use_display()}.") if material.bath_use else ""
    copied_on = [(_("Copied on"), long_day(found.supplier.entry.happened_at))] if found.supplier else []
    summary = Summary(
        kicker=_("Safety summary of a material"),
        title=str(material),
        path=reverse("safety:open_material", args=[material.pk]),
        page=material.get_absolute_url(),
        hazards=found,
        lead=_("Made of %(parts)s.") % {"parts": parts}
        if parts
        else _("By its name alone: %(by_name)s.") % {"by_name": by_name}
        if by_name
        else bath_salt,
        stands=_("Stands here: %(places)s.") % {"places": places} if places else _("None of it stands here now."),
        facts=[
            (_("Classes"), found.basis or None),
            *copied_on,
            (_("Supplier’s sheet"), (not sheet and material.no_sheet_needed) or on_file(sheet)),
            *from_memory(found),
            *us_differences(known, found.regime),
        ],
    )
    # what is on record for a substance says more than what holds for every member of its groups
    own = marked(known[0].hazards.keep_from) if len(known) == 1 else []
    return advised(summary, keep_from=own or kept_from_groups(found.storage_groups), made_of=known, region=region)


def summaries_of_baths(statuses: Sequence[BathStatus], workshop: Workshop) -> list[Summary]:
    """In two queries however many they are."""
    found = classify_baths(statuses, workshop.region)
    crystals = SafetySheet.objects.standing().filter(material__bath_use=Material.BathUse.BLUE_CRYSTALS).first()
    return [
        summary_of_bath(BathDescription(each, workshop.units), found[each.bath.pk], crystals, workshop.region)
        for each in statuses
    ]


def summary_of_bath(
    described: BathDescription, found: BathHazards, crystals: SafetySheet | None, region: str
) -> Summary:
    bath, strength, volume, basis = described.bath, described.strength, described.volume, translated(found.now.basis)
    lead = _("%(made_of)s; nobody has said yet how strong.") % {"made_of": described.made_of}
    if strength and volume:
        stands = _("%(shown)s of blue crystals, %(shown_2)s") % {"shown": strength.shown, "shown_2": volume.shown}
        lead = _("%(made_of)s, %(word)s: %(stands)s.") % {
            "made_of": described.made_of,
            "word": translated(described.status.word),
            "stands": stands,
        }
    by_mass = [
        (
            _("By mass"),
            _("%(blue_percent)s %% blue crystals at the strong end of its ±")
            % {"blue_percent": digits(float(found.blue_percent or 0), 4)},
        )
    ]
    added = " ".join(
        f"{translated(each.words)} ({each.code})" for each in found.dried.statements if each.code not in found.now.codes
    )
    summary = Summary(
        kicker=_("Safety summary of a bath, as strong as it is today"),
        title=str(bath),
        path=reverse("safety:open_bath", args=[bath.pk]),
        page=bath.get_absolute_url(),
        hazards=found.now,
        lead=lead,
        stands=_("Stands here: %(place)s.") % {"place": bath.place},
        dried=added
        and _(
            "If a fifth of its water dries off, this comes with it: %(added)s A label printed now carries it already."
        )
        % {"added": added},
        facts=[
            (_("Strength"), capfirst(described.last_read) if strength else None),
            *(by_mass if found.blue_percent is not None else []),
            (
                _("Classes"),
                _("%(basis)s; eye damage from 1 %%, the stricter basis §") % {"basis": basis} if basis else None,
            ),
            *from_memory(found.now),
            (_("Crystals’ sheet"), on_file(crystals)),
        ],
    )
    others = MarkedSentence(_("The vinegar-and-salt cleaner, bleach, peroxide."), MARKS["from memory"])
    return advised(summary, keep_from=[*marked(BLUE.hazards.keep_from), others], limited=[BLUE], region=region)


def summary_of_drum(held: Content, workshop: Workshop) -> Summary:
    """Of what is in a drum, as far as its kind and its log tell."""
    drum, stream = held.drum, held.drum.stream
    found = classify_drum(held, workshop.region)
    # the upper end, because that is what was classified
    content = vessel_content(held)
    most, sour = content.most_copper_mg_per_l, content.most_acid_g_per_l
    copper = [
        (
            _("Copper"),
            None if most is None else _("%(most)s mg/L at the most") % {"most": digits(most, 3)},
        )
    ]
    # some of it nobody has said: what is known is not the most that may be in it
    acid = None if content.acid_unsaid else _("%(acid)s at the most") % {"acid": quantity(sour, "g/L", 3)}
    gone = whereabouts.departures([drum]).get(drum.pk)
    summary = Summary(
        kicker=_("Safety summary of a waste drum"),
        title=str(drum),
        path=reverse("safety:open_drum", args=[drum.pk]),
        page=drum.get_absolute_url(),
        hazards=found,
        lead=_("%(stream)s: %(what)s.") % {"stream": translated(stream.title), "what": translated(stream.what)},
        stands=_("It has left: %(gone)s.") % {"gone": gone}
        if gone
        else _("Stands here: %(place)s.") % {"place": drum.place},
        facts=[
            (_("Classes"), found.basis or None),
            *(copper if drum.is_liquid else []),
            *([(_("Sulfuric acid"), acid)] if sour or content.acid_unsaid else []),
        ],
    )
    of_jars = [part.substance for material in held.given_up for part in parts_of(material) if part.is_known]
    in_it = dict.fromkeys([*substances_of(held.kinds), *(["sulfuric_acid"] if sour else []), *of_jars])
    told = advised(
        summary,
        keep_from=[MarkedSentence(sentence(stream.keep_from))],
        made_of=[SUBSTANCES[key] for key in dict.fromkeys(of_jars)],
        limited=[SUBSTANCES[key] for key in in_it],
        region=workshop.region,
    )
    never = SummarySection(_("Never"), [MarkedSentence(sentence(each)) for each in stream.never])
    return replace(told, sections=[*told.sections, never])


def advised(
    summary: Summary,
    *,
    keep_from: Sequence[MarkedSentence],
    made_of: Sequence[Substance] = (),
    limited: Sequence[Substance] = (),
    region: str = "",
) -> Summary:
    """
    With what to do: the eye first, then the rest in the order of data/advice.toml, then what each substance adds.

    limited: what of it has a limit in the air, where it is not simply what it is made of.
    """
    found = summary.hazards
    if found.is_article:
        short = SummarySection(ARTICLE.title, list(map(MarkedSentence.from_advice, ARTICLE.lines)))
        keep = SummarySection(_("Keep away from"), keep_from)
        return replace(summary, sections=[section for section in (short, keep) if section.lines])
    told = {
        id: SummarySection(
            section.title,
            list(map(MarkedSentence.from_advice, found.advice(id))),
            runs_on=not section.takes_all,
        )
        for id, section in SECTIONS.items()
    }
    belongs = [MarkedSentence(sentence(where)) for where in found.where_it_belongs]
    told["storage"] = SummarySection(told["storage"].title, [*belongs, *told["storage"].lines])
    # an eye has seconds: it stands above everything else on the sheet
    first = told.pop(FIRST)
    sections = [
        *told.values(),
        SummarySection(_("Keep away from"), keep_from),
        SummarySection(_("Of this in particular"), particulars(made_of)),
        SummarySection(
            _("Limits in the air, over 8 hours"),
            [*limits_in_the_air(limited or made_of, region), *([UNKNOWN_LIMITS] if found.is_unknown else [])],
            is_small_print=True,
        ),
    ]
    return replace(summary, first=first, sections=[section for section in sections if section.lines])


def particulars(made_of: Sequence[Substance]) -> list[MarkedSentence]:
    """What holds for a substance beyond its class, each named where there are several."""
    told = []
    for each in made_of:
        of = capfirst(translated(each.name)) if len(made_of) > 1 else ""
        facts_told = [*each.hazards.advice, *([each.hazards.gloves] if each.hazards.gloves else [])]
        for fact in facts_told:
            text = (
                _("Gloves that hold it: %(value)s.") % {"value": translated(fact.value)}
                if fact is each.hazards.gloves
                else translated(fact.value)
            )
            told.append(MarkedSentence(f"{of}: {text}" if of else text, MARKS.get(fact.grade, "")))
    return told


def limits_in_the_air(made_of: Sequence[Substance], region: str) -> list[MarkedSentence]:
    return [
        MarkedSentence.from_advice(limit, of=capfirst(translated(each.name)) if len(made_of) > 1 else "")
        for each in made_of
        # water and its like have no class to be limited for
        if each.hazards.exposure_limits or each.hazards.classes is None or each.hazards.classes.value
        for limit in air_limits(each, region)
    ]


def from_memory(found: Hazards) -> list[tuple[str, str | None]]:
    """Whose figures rest on memory; which ones, the page says below its summary."""
    names = "; ".join(each.partition(": ")[0] for each in found.defaults)
    return (
        [(_("From memory"), _("figures of %(names)s: replace them with your supplier’s sheet") % {"names": names})]
        if names
        else []
    )


def us_differences(known: Sequence[Substance], regime: str) -> list[tuple[str, str | None]]:
    """What an American sheet or rule says otherwise of what it is made of."""
    told = [" ".join(map(translated, each.hazards.us_differs.value)) for each in known if each.hazards.us_differs]
    return [(_("In the United States"), " ".join(told))] if told and regime == "US" else []


def on_file(sheet: SafetySheet | None) -> str:
    return _("on file, %(dated_on)s") % {"dated_on": long_day(sheet.dated_on)} if sheet else _("not on file")


def sentence(words: str) -> str:
    """What stands in a table without its capital and its full stop."""
    return f"{capfirst(translated(words))}."


def marked(fact: Fact[tuple[str, ...]] | None) -> list[MarkedSentence]:
    return [MarkedSentence(sentence(text), MARKS.get(fact.grade, "")) for text in fact.value] if fact else []


def kept_from_groups(own: Collection[str]) -> list[MarkedSentence]:
    """What has a reason on record to stand elsewhere, then what it must never be poured to besides."""
    standing, mixing = (reasons_by_group(own, reasons) for reasons in (STANDING, MIXING))
    told = [(translated(GROUPS[other].name), reason) for other, reason in standing.items()]
    told += [
        (_("never poured to %(name)s") % {"name": translated(GROUPS[other].name)}, reason)
        for other, reason in mixing.items()
        # where the shelf parts them already, once is enough
        if reason.refused and other not in standing
    ]
    return [
        MarkedSentence(capfirst(f"{words}: {translated(reason.why)}"), MARKS.get(reason.grade, ""))
        for words, reason in told
    ]


def reasons_by_group(own: Collection[str], reasons: Sequence[Reason]) -> dict[str, Reason]:
    """By the other group; a reason is on record once and holds both ways."""
    return {
        other: reason
        for reason in reasons
        for group, other in (reason.pair, reason.pair[::-1])
        if group in own and other not in own
    }
