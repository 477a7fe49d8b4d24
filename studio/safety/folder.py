"""
The inspector's folder: what is here, what is known of it, who was shown how, what went wrong, where the waste went.

What is missing is said as plainly as what is there. Nothing of it tells how to reach a member, or who was hurt.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property

from django.utils import timezone
from django.utils.translation import gettext as _

from chemistry import waste
from inventory.models import Person
from studio.people import inductions
from studio.people.inductions import InductionRow
from studio.safety import chemical_list, overview
from studio.safety.chemical_list import PlaceListing
from studio.safety.overview import ShelfHazards
from studio.waste import content, record, whereabouts
from studio.waste.descriptions import DrumDescription
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
    def places(self) -> list[PlaceListing]:
        return chemical_list.listed(self.workshop)

    @property
    def burning(self) -> list[PlaceListing]:
        return [each for each in self.places if each.has_flammables]

    @cached_property
    def sheets(self) -> list[ShelfHazards]:
        return overview.rows(self.workshop)

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

    @cached_property
    def drums(self) -> list[DrumDescription]:
        here = whereabouts.drums_on_site().select_related("entry", "place")
        return list(map(DrumDescription, content.contents_of_drums(here).values()))

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
        unmeasured = [line.name for each in self.places for line in each.lines if not line.amount]
        yield from named(_("Nobody has said how much is there"), unmeasured)

    def gaps_of_places(self) -> Iterator[str]:
        for each in self.burning:
            if each.flammables.is_over:
                yield f"{each.place}: {each.flammables.words}"
            yield from named(
                _("%(place)s: litres not known of") % {"place": each.place},
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
