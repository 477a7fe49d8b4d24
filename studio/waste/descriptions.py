"""A drum as its pages draw and say it, and what the bench says of the drums."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from chemistry import waste
from chemistry.measured import Measured, digits, plain
from chemistry.quantity import quantity
from chemistry.waste import drum as sums
from chemistry.waste import streams
from inventory.dates import day_of_year, said
from inventory.wording import translated
from studio.bites.account import TRAY_L
from studio.drawing.gauges import Jug
from studio.pages.action_items import ActionItem, StatusWord
from studio.pages.quantities import DisplayedFigure, Shown, displayed
from studio.waste import rinses
from studio.waste.content import IN_ORDER, Content, WasteLine
from studio.waste.models import Deposit, Drum

WRONG = gettext_lazy("leaking, bulging, open or without its label")
NEARLY_FULL_PERCENT = 75.0
LOOK_EVERY = timedelta(days=31)  # common practice, no source; some rules ask for every week


@dataclass(frozen=True)
class DrumDescription:
    """Each part is worked out when a page asks for it."""

    content: Content

    @property
    def drum(self) -> Drum:
        return self.content.drum

    @cached_property
    def jug(self) -> Jug:
        """The vessel with its level and its stop."""
        drum, room_l = self.drum, self.content.room_l
        # an empty drum is drawn empty; one that nobody measured is drawn without a level
        level_l = room_l if room_l is not None or self.content.deposits else 0.0
        stop_l = streams.FULL_AT_PERCENT / 100 * drum.capacity_l
        return Jug(name=drum.name, rim_l=drum.capacity_l, volume_l=level_l, mark_l=stop_l)

    @property
    def word(self) -> StatusWord:
        content = self.content
        if content.is_full:
            return StatusWord("act", "full")
        if content.full_percent is not None and content.full_percent >= NEARLY_FULL_PERCENT:
            return StatusWord("look", _("nearly full"))
        return StatusWord("fine", _("open") if content.deposits else _("empty"))

    @property
    def wrong(self) -> str:
        """What the last look found, where nobody has put it right."""
        return str(WRONG) if self.content.is_wrong else ""

    @property
    def full(self) -> str:
        """How full it stands, and how much more it takes."""
        percent = self.content.full_percent
        if percent is None:
            return _("nobody has said how full") if self.content.deposits else _("nothing in it yet")
        full = _("at least %(percent)s %% full") if self.content.holds_more else _("%(percent)s %% full")
        return ", ".join(filter(None, [full % {"percent": plain(percent, 0)}, self.takes]))

    @property
    def takes(self) -> str:
        """How much more goes in; empty where nothing does, or nobody knows."""
        content = self.content
        if content.full_percent is None or content.is_full or content.holds_more:
            return ""
        return _("takes %(room_left_l)s more") % {"room_left_l": quantity(content.room_left_l, "L", 2)}

    @property
    def tray(self) -> str:
        """What waits in the rinse tray to be emptied into it, and why it is not poured away."""
        carried = rinses.in_the_tray(timezone.now()) if self.drum.kind == "rinse" else None
        if not carried or not carried.plates:
            return ""
        per_l = sums.MG_PER_G * carried.copper.value / TRAY_L
        # both ends, because none of them is the limit of this studio's sewer
        limits = sorted(float(limit.cu_mg_per_l) for limit in waste.SEWER_LIMITS)
        words = ngettext(
            "Since the rinse was last emptied %(number)s plate has carried about %(copper)s of copper into it. "
            "In a tray of %(litres)s that is %(per_litre)s mg/L; limits of sewers that were read run from %(low)s to "
            "%(high)s mg/L.",
            "Since the rinse was last emptied %(number)s plates have carried about %(copper)s of copper into it. "
            "In a tray of %(litres)s that is %(per_litre)s mg/L; limits of sewers that were read run from %(low)s to "
            "%(high)s mg/L.",
            carried.plates,
        )
        return words % {
            "number": carried.plates,
            "copper": displayed(carried.copper),
            "litres": quantity(TRAY_L, "L", 2),
            "per_litre": plain(per_l, 0),
            "low": digits(limits[0]),
            "high": digits(limits[-1]),
        }

    @property
    def seen(self) -> str:
        """When somebody looked it over last."""
        if not self.content.inspections:
            return _("nobody has looked it over yet")
        look = self.content.inspections[-1]
        return _("looked over %(happened_at)s by %(done_by)s") % {
            "happened_at": day_of_year(look.entry.happened_at),
            "done_by": look.entry.done_by,
        }

    @cached_property
    def lines(self) -> list[tuple[WasteLine, Deposit | None]]:
        """What was seen, measured and found out, the latest first; beside what is over, what went in since."""
        content = self.content
        found: list[WasteLine] = [*content.inspections, *content.weighings, *content.asked]
        answers = [each for of_one in content.answers.values() for each in of_one if each.is_over]
        over: dict[WasteLine, Deposit | None] = {each.line: each.ended_by for each in answers}
        return [(line, over.get(line)) for line in sorted(found, key=IN_ORDER, reverse=True)]

    @cached_property
    def figures(self) -> list[DisplayedFigure]:
        """What is in it, as far as it is known, each with its working."""
        content, part = self.content, self.content.copper_at_least
        found = {
            _("Volume"): content.volume,
            _("Mass"): content.mass,
            # of pieces of metal it goes without saying how much of them is copper
            _("Copper metal") if content.is_solid_metal else _("Copper in it"): content.copper,
            _("Copper, by volume"): content.copper_per_l,
            _("Copper by weight"): content.copper_by_weight
            if content.copper_per_l is None and not content.is_solid_metal
            else None,
            _("Sulfuric acid in it"): content.acid,
            _("Sulfuric acid, by volume"): content.acid_per_l,
        }
        told = [DisplayedFigure.plain(name, figure) for name, figure in found.items() if figure]
        if part:
            told.append(DisplayedFigure(_("Copper in it, needs info for the rest"), at_least(part), part))
        return told


def at_least(part: Measured) -> Shown:
    # the low end: "at least" has to hold where the figure itself is vague
    return Shown(_("at least %(low)s") % {"low": digits(part.low, 2)}, part.unit)


def action_items(here: Iterable[Content], at: datetime) -> Iterator[ActionItem]:
    """What the drums ask of the bench."""
    for content in here:
        described, drum = DrumDescription(content), content.drum
        look_over = reverse("waste:look_over", args=[drum.pk])
        if content.rags_since:
            when = said(content.rags_since, "j F, H:i")
            words = _("%(drum)s: oiled rags since %(when)s may catch fire by themselves. Wet, lid on, outdoors.") % {
                "drum": drum,
                "when": when,
            }
            yield ActionItem("act", _("rags waiting"), words, _("They are out"), look_over)
        if described.word.level != "fine":
            words = f"{drum}, {translated(drum.stream)}: {described.full}."
            hand_over = f"{reverse('waste:hand_over')}?drum={drum.pk}"
            yield ActionItem(*described.word, words, _("Hand over %(name)s") % {"name": drum.name}, hand_over)
        if content.is_wrong:
            look = content.inspections[-1]
            when = day_of_year(look.entry.happened_at)
            words = _("%(drum)s, seen by %(done_by)s on %(when)s: %(WRONG)s.") % {
                "drum": drum,
                "done_by": look.entry.done_by,
                "when": when,
                "WRONG": WRONG,
            }
            yield ActionItem("act", _("a drum is not in order"), words, _("It is put right"), look_over)
    due = [each for each in here if each.deposits and at - each.looked_at > LOOK_EVERY]
    if due:
        # all of them in one sentence: whoever goes there looks at every one
        names = ", ".join(each.drum.name for each in due)
        words = _("Nobody has looked at %(names)s for a month.") % {"names": names}
        label = (
            _("Look over %(due)s") % {"due": len(due)} if len(due) > 1 else _("Look over %(names)s") % {"names": names}
        )
        yield ActionItem("look", _("look-over due"), words, label, reverse("waste:drums"))
