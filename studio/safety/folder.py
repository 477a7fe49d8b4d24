"""
The inspector's folder: what is here, what is known of it, who was shown how, what went wrong, where the waste went.

What is missing is said as plainly as what is there. Nothing of it tells how to reach a member, or who was hurt.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from chemistry import waste
from inventory.dates import long_day
from inventory.models import Container, Entry, Material, Person
from studio.hazards.models import SupplierClasses
from studio.people import inductions
from studio.people.inductions import InductionRow
from studio.safety import chemical_list, overview
from studio.safety.chemical_list import PlaceListing
from studio.safety.overview import ShelfHazards
from studio.waste import record
from studio.waste.content import Content, contents_here
from studio.waste.descriptions import DrumDescription
from studio.waste.incidents import took as took_by
from studio.waste.models import Disposal, Incident, LocalAdvice
from studio.waste.record import Record
from studio.workshop.models import Workshop

LOOKED_BACK = timedelta(days=3 * 365)  # as long as the records that were read ask for: 40 CFR 262.40
MOST = 300


@dataclass(frozen=True)
class Folder:
    """Each part in a few queries, when it is asked for."""

    workshop: Workshop

    @cached_property
    def said(self) -> dict[int, SupplierClasses]:
        """What counts for each material by its supplier's sheet."""
        return SupplierClasses.latest_until()

    @cached_property
    def places(self) -> list[PlaceListing]:
        return chemical_list.listed(self.workshop, drums_now=self.contents, said=self.said)

    @cached_property
    def begun_on(self) -> date:
        """Of the first line of the book: what was before it, the book does not know."""
        first = Entry.objects.order_by("happened_at", "pk").first()
        return timezone.localdate(first.happened_at if first else None)

    @property
    def since(self) -> date:
        """Of what is told backwards."""
        return max(self.begun_on, timezone.localdate(timezone.now() - LOOKED_BACK))

    def complete_since(self) -> dict[str, str]:
        """Of each part since when nothing is missing from it that was written down."""
        begun, since = long_day(self.begun_on), long_day(self.since)
        places = {"begun": begun, "since": since, "most": MOST}
        dated = _("Complete since %(since)s: all that was written down from then on.")
        cut_off = _("Not complete: only the latest %(most)d since %(since)s.")
        stands = _("Complete as it stands today; the book was begun on %(begun)s.")
        told = {
            "incidents": dated if len(self.incidents) < MOST else cut_off,
            "waste": dated if len(self.disposals) < MOST else cut_off,
        }
        return {
            part: told.get(part, stands) % places
            for part in ("materials", "sheets", "inductions", "incidents", "waste", "told")
        }

    @cached_property
    def past_use_by(self) -> list[Container]:
        past = Container.objects.on_the_shelf().filter(use_by_on__lt=timezone.localdate())
        return list(past.select_related("material", "place").order_by("use_by_on", "pk"))

    @property
    def past_use_by_words(self) -> Iterator[str]:
        words = _("%(code)s %(material)s, %(left)s, %(place)s: past %(day)s")
        for jar in self.past_use_by:
            assert jar.use_by_on  # which is why it was asked for
            known = {"code": jar.code, "material": jar.material, "left": jar.shown_on_hand(), "place": jar.place}
            yield words % (known | {"day": long_day(jar.use_by_on)})

    @cached_property
    def below_level(self) -> list[str]:
        low = Material.objects.to_reorder().values("pk")
        found: QuerySet[Any] = Material.objects.standing_here().filter(pk__in=low).order_by("category", "name")
        words = _("%(material)s: %(left)s of %(level)s")
        return [
            words % {"material": each, "left": each.show(each.on_hand), "level": each.show(each.reorder_level)}
            for each in found
        ]

    @property
    def burning(self) -> list[PlaceListing]:
        return [each for each in self.places if each.has_flammables]

    @cached_property
    def sheets(self) -> list[ShelfHazards]:
        return overview.rows(self.workshop, self.said)

    @property
    def held(self) -> list[ShelfHazards]:
        return [each for each in self.sheets if each.sheet_on]

    @property
    def missing(self) -> list[ShelfHazards]:
        return [each for each in self.sheets if not each.sheet_on]

    @cached_property
    def people(self) -> list[InductionRow]:
        # whoever has left works with nothing here any more
        return list(inductions.rows(Person.objects.at_work()))

    @cached_property
    def incidents(self) -> list[Incident]:
        since = timezone.now() - LOOKED_BACK
        found = Incident.objects.standing().with_ending().filter(entry__happened_at__gte=since)
        return list(found.select_related("entry").order_by("-entry__happened_at", "-pk")[:MOST])

    @property
    def incidents_told(self) -> Iterator[tuple[Incident, list[str], list[str]]]:
        """Each with what was spilled or used up by it, and all that was done about it."""
        for each in self.incidents:
            took = [f"{change.what}: {change.how}" for change in took_by(each)]
            later = [
                f"{long_day(step.entry.happened_at)}: {step}"
                for step in each.follow_ups.standing().select_related("entry").order_by("pk")
            ]
            yield each, took, list(filter(None, (each.what_was_done, each.gathered, each.entry.note, *later)))

    @cached_property
    def contents(self) -> list[Content]:
        return contents_here()

    @cached_property
    def drums(self) -> list[DrumDescription]:
        return list(map(DrumDescription, self.contents))

    @cached_property
    def disposals(self) -> list[Record]:
        since = timezone.now() - LOOKED_BACK
        return record.records_of(
            Disposal.objects.in_force().filter(handed_over_at__gte=since).order_by("-handed_over_at")[:MOST]
        )

    @cached_property
    def advice(self) -> list[LocalAdvice]:
        return list(LocalAdvice.objects.in_force(timezone.localdate()))

    @property
    def gaps(self) -> list[str]:
        """What is not known or not done."""
        # said first and in this order: what could hurt somebody goes before what an office might miss
        found = (
            self.gaps_of_materials(),
            self.gaps_of_places(),
            self.gaps_of_people(),
            self.gaps_of_waste(),
            self.gaps_of_the_studio(),
        )
        return [gap for part in found for gap in part]

    def gaps_of_materials(self) -> Iterator[str]:
        unknown = [line.name for each in self.places for line in each.lines if line.hazards.needs_info]
        yield from named(_("Hazards need info"), unknown)
        yield from named(_("No safety sheet of the supplier on file"), [str(each.material) for each in self.missing])
        yield from named(_("Past use-by"), [f"{jar.material} {jar.code}" for jar in self.past_use_by])
        unmeasured = [line.name for each in self.places for line in each.lines if not line.amount]
        yield from named(_("Nobody has said how much is there"), unmeasured)

    def gaps_of_places(self) -> Iterator[str]:
        for each in self.burning:
            if each.flammables.is_over:
                yield f"{each.place}: {each.flammables.words}"
            yield from named(
                _("%(place)s: how much is not known of") % {"place": each.place},
                [thing.name for thing in each.flammables.unmeasured],
            )

    def gaps_of_people(self) -> Iterator[str]:
        never = [str(row.person) for row in self.people if not any(cell.level for cell in row.cells)]
        yield from named(_("No induction on record"), never)
        ended = [str(row.person) for row in self.people if any(cell.word == "ended" for cell in row.cells)]
        yield from named(_("An induction has ended"), ended)

    def gaps_of_waste(self) -> Iterator[str]:
        # an empty drum lacks neither scale nor inspection yet
        filled = [each.content for each in self.drums if each.content.deposits]
        unweighed = [held.drum.name for held in filled if held.mass is None]
        yield from named(_("Nobody knows what they weigh"), unweighed)
        yield from named(_("Never looked over"), [held.drum.name for held in filled if not held.inspections])
        yield from (
            _("%(drum)s needs info. %(said)s") % {"drum": held.drum, "said": said}
            for held in filled
            for said in held.outdated()
        )
        for each in self.disposals:
            if each.status.level == "act":
                yield _("%(disposal)s, %(drums)s to %(receiver)s: their signed copy is awaited.") % {
                    "disposal": each.disposal,
                    "drums": each.drums,
                    "receiver": each.receiver,
                }
            missing = [name.lower() for name, value in each.facts if not value]
            yield from named(_("%(disposal)s does not say") % {"disposal": each.disposal}, missing)
        still_open = [each.what_happened for each in self.incidents if not each.is_closed]
        yield from (_("Incident still open: %(words)s") % {"words": words} for words in still_open)

    def gaps_of_the_studio(self) -> Iterator[str]:
        if not self.advice:
            yield _("Nobody has asked the authority, the sewer operator or a collector yet, or not written it down.")
        if no_rules := waste.no_rules_yet(self.workshop.region):
            yield no_rules
        if self.workshop.is_household is None:
            yield _("Nobody has said whether this is a household or a business.")
        if self.workshop.asks_for_lines:
            yield _("The emergency line or the poison line is not written down.")


def named(what: str, names: Sequence[str]) -> Iterator[str]:
    """Nothing where nobody is named."""
    if names:
        # a material that stands in three places is one gap
        yield f"{what}: {', '.join(dict.fromkeys(names))}."
