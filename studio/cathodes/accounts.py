"""The balance as a page tells it: its lines in words, and what to look for when it does not close."""

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from chemistry.copper.balance import Amount
from inventory.models import Material
from studio.cathodes.balance import CopperAccount
from studio.cathodes.flows import Flows, grams, kilograms
from studio.cathodes.forms import CopperForm
from studio.cathodes.sheets import InOne
from studio.pages.action_items import StatusWord
from studio.pages.quantities import DisplayedFigure, Shown

LABELS = {
    "baths before": (gettext_lazy("In the baths at first"), gettext_lazy("by the log and the readings of each")),
    "cathodes before": (
        gettext_lazy("On the cathodes at first"),
        gettext_lazy("by the current, since each was last weighed or stripped"),
    ),
    "off plates": (
        gettext_lazy("Bitten off plates"),
        gettext_lazy("the charge of every bite, times the efficiency of plates"),
    ),
    "crystals": (gettext_lazy("Dissolved from crystals"), gettext_lazy("as weighed out")),
    "solution": (gettext_lazy("In solution that was added"), gettext_lazy("as it was measured")),
    "adopted": (gettext_lazy("In baths that were adopted"), gettext_lazy("as well as each was known then")),
    "baths now": (gettext_lazy("In the baths at the end"), gettext_lazy("by the log and the readings of each")),
    "cathodes now": (
        gettext_lazy("On the cathodes at the end"),
        gettext_lazy("by the current, since each was last weighed or stripped"),
    ),
    "unknown sheets": (
        gettext_lazy("On sheets not in the book"),
        gettext_lazy("bites in a bath where no cathode of the book hung"),
    ),
    "metal in drums": (gettext_lazy("Stripped, solid metal in drums"), gettext_lazy("as weighed")),
    "stripped": (gettext_lazy("Stripped, solid metal"), gettext_lazy("as weighed, in no drum")),
    "powder": (
        gettext_lazy("Stripped, loose powder"),
        gettext_lazy("six tenths of its wet weight, give or take three"),
    ),
    "rinse in drums": (
        gettext_lazy("Rinse, in drums"),
        gettext_lazy("what dripped off plates until the tray was last emptied"),
    ),
    "other drums": (gettext_lazy("Bath, in drums"), gettext_lazy("strained, taken out, or spilled and taken up")),
    "drips": (
        gettext_lazy("Dripped off plates"),
        gettext_lazy("into a rinse tray that nobody has emptied into a drum"),
    ),
    "strained": (gettext_lazy("Strained out, in no drum"), gettext_lazy("in towels and filters")),
    "spilled": (
        gettext_lazy("Spilled and lost"),
        gettext_lazy("as it was guessed, less what was taken up into a drum"),
    ),
    "taken out": (gettext_lazy("Taken out, in no drum"), gettext_lazy("by the jug")),
    "poured in": (
        gettext_lazy("Out of one bath into another"),
        gettext_lazy("by jug, scale or level; it stands on both sides"),
    ),
    "poured over": (
        gettext_lazy("From one bath into another"),
        gettext_lazy("by jug, scale or level; it stands on both sides"),
    ),
    "given up": (gettext_lazy("In baths given up"), gettext_lazy("what was in a tank before it was mixed anew")),
    "no longer known": (
        gettext_lazy("In baths no longer known"),
        gettext_lazy("what was in a tank before a bath that nobody had read was poured into it"),
    ),
}


@dataclass(frozen=True)
class BalanceLine:
    label: str
    note: str
    shown: Shown


@dataclass(frozen=True)
class Stock:
    """A material of copper, and what is known of the copper in it."""

    material: Material
    content: InOne | None


@dataclass(frozen=True)
class CopperStatement:
    account: CopperAccount

    @property
    def flows(self) -> Flows:
        return Flows(self.account)

    @property
    def came(self) -> list[BalanceLine]:
        return [balance_line(amount) for amount in self.account.balance.came]

    @property
    def went(self) -> list[BalanceLine]:
        return [balance_line(amount) for amount in self.account.balance.went]

    @property
    def status(self) -> StatusWord:
        """Readings that wait for an answer leave it open: the baths do not go by them yet."""
        if not self.account.balance.closes:
            return StatusWord("act", _("It does not add up"))
        return (
            StatusWord("look", _("It cannot be told yet"))
            if self.account.held_out
            else StatusWord("fine", _("It adds up"))
        )

    @property
    def is_empty(self) -> bool:
        return not self.account.balance.came and not self.account.balance.went

    @property
    def unexplained(self) -> DisplayedFigure:
        figure = self.account.balance.unexplained
        return DisplayedFigure(_("Unexplained"), grams(figure), figure)

    @property
    def verdict(self) -> str:
        figure = self.account.balance.unexplained
        apart = grams(figure if figure.value > 0 else figure * -1)
        if self.account.balance.closes and self.account.held_out:
            return ngettext(
                "A reading is held out and not answered, so the baths do not go by it yet, nor does this balance.",
                "%(number)s readings are held out and not answered, so the baths do not go by it yet, nor does this "
                "balance.",
                self.account.held_out,
            ) % {"number": self.account.held_out}
        if self.account.balance.closes:
            return _("%(apart)s is left over, which is no more than the figures together can be off.") % {
                "apart": apart
            }
        if figure.value > 0:
            return _(
                "%(apart)s more came in than can be found. Look for bath that was spilled, poured or given "
                "away and not written down, for a cathode stripped without a word, and for bites that were "
                "not."
            ) % {"apart": apart}
        return _(
            "%(apart)s more is there than came in. Look for crystals or bites that nobody wrote down, "
            "and for a scale or a hydrometer that reads off."
        ) % {"apart": apart}

    @property
    def unread(self) -> str:
        """What the sum cannot know."""
        unread = self.account.unread
        words = ngettext(
            "Nobody read the current of %(number)s bite; that copper is not among the figures.",
            "Nobody read the current of %(number)s bites; that copper is not among the figures.",
            unread,
        )
        return words % {"number": unread} if unread else ""

    @property
    def sheets(self) -> list[BalanceLine]:
        """Sheet and plates, as far as the book knows how much copper is in them."""
        known = self.account.sheets
        on_shelf = [
            (_("Sheet on the shelf at first"), "", known.before),
            (_("Bought"), "", known.bought),
            (_("Found or missed when counted"), "", known.counted),
            (_("Taken off the shelf"), "", known.used),
            (_("Sheet on the shelf at the end"), "", known.now),
            (_("Cut to plates of the book"), _("of what was taken off the shelf"), known.became_plates),
        ]
        lines = on_shelf if known.contents else []
        if known.plates:
            lines = [*lines, (_("On all plates at the end"), self.plates_note, known.on_plates)]
        return [BalanceLine(label, note, kilograms(copper)) for label, note, copper in lines if copper.value]

    @property
    def stocks(self) -> list[Stock]:
        """Sheet, strip and offcuts of the shelf."""
        sheets = self.account.sheets
        return [
            Stock(each, sheets.contents.get(each.pk)) for each in sheets.materials if CopperForm.can_ask_about(each)
        ]

    @property
    def plates_note(self) -> str:
        known = self.account.sheets
        note = _("%(plates)s in the book, brought along or cut here, less what was bitten off them") % {
            "plates": known.plates
        }
        return (
            _("%(note)s; %(unsized)s of unknown thickness left out") % {"note": note, "unsized": known.unsized}
            if known.unsized
            else note
        )


def balance_line(amount: Amount) -> BalanceLine:
    label, note = LABELS[amount.name]
    return BalanceLine(str(label), str(note), grams(amount.copper))
