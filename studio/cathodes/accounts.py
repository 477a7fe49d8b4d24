"""The balance as a page tells it: its lines in words, and what to look for when it does not close."""

from dataclasses import dataclass

from django.db.models import Q

from chemistry.copper.balance import Amount
from inventory.models import Material
from studio.cathodes.balance import CopperAccount
from studio.cathodes.flows import Flows, grams, kilograms
from studio.cathodes.forms import CopperForm
from studio.cathodes.sheets import InOne
from studio.pages.action_items import StatusWord
from studio.pages.quantities import DisplayedFigure, Shown

LABELS = {
    "baths before": ("In the baths at first", "by the log and the readings of each"),
    "cathodes before": ("On the cathodes at first", "by the current, since each was last weighed or stripped"),
    "off plates": ("Bitten off plates", "the charge of every bite, times the efficiency of plates"),
    "crystals": ("Dissolved from crystals", "as weighed out"),
    "solution": ("In solution that was added", "as it was measured"),
    "adopted": ("In baths that were adopted", "as well as each was known then"),
    "baths now": ("In the baths at the end", "by the log and the readings of each"),
    "cathodes now": ("On the cathodes at the end", "by the current, since each was last weighed or stripped"),
    "unknown sheets": ("On sheets not in the book", "bites in a bath where no cathode of the book hung"),
    "metal in drums": ("Stripped, solid metal in drums", "as weighed"),
    "stripped": ("Stripped, solid metal", "as weighed, in no drum"),
    "powder": ("Stripped, loose powder", "six tenths of its wet weight, give or take three"),
    "rinse in drums": ("Rinse, in drums", "what dripped off plates until the tray was last emptied"),
    "other drums": ("Bath, in drums", "strained, taken out, or spilled and taken up"),
    "drips": ("Dripped off plates", "into a rinse tray that nobody has emptied into a drum"),
    "strained": ("Strained out, in no drum", "in towels and filters"),
    "spilled": ("Spilled and lost", "as it was guessed, less what was taken up into a drum"),
    "taken out": ("Taken out, in no drum", "by the jug"),
    "poured in": ("Out of one bath into another", "by jug, scale or level; it stands on both sides"),
    "poured over": ("From one bath into another", "by jug, scale or level; it stands on both sides"),
    "given up": ("In baths given up", "what was in a tank before it was mixed anew"),
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
            return StatusWord("act", "It does not close")
        return StatusWord("look", "It cannot be told yet") if self.account.held_out else StatusWord("fine", "It closes")

    @property
    def is_empty(self) -> bool:
        return not self.account.balance.came and not self.account.balance.went

    @property
    def unexplained(self) -> DisplayedFigure:
        figure = self.account.balance.unexplained
        return DisplayedFigure("Unexplained", grams(figure), figure)

    @property
    def verdict(self) -> str:
        figure = self.account.balance.unexplained
        apart = grams(figure if figure.value > 0 else figure * -1)
        if self.account.balance.closes and self.account.held_out:
            readings = "A reading is" if self.account.held_out == 1 else f"{self.account.held_out} readings are"
            return f"{readings} held out and not answered, so the baths do not go by it yet, nor does this balance."
        if self.account.balance.closes:
            return f"{apart} is left over, which is no more than the figures together can be off."
        if figure.value > 0:
            return (
                f"{apart} more came in than can be found. Look for bath that was spilled, poured or "
                "given away and not written down, for a cathode stripped without a word, and for bites that were not."
            )
        return (
            f"{apart} more is there than came in. Look for crystals or bites that nobody wrote "
            "down, and for a scale or a hydrometer that reads off."
        )

    @property
    def unread(self) -> str:
        """What the sum cannot know."""
        unread = self.account.unread
        bites = "1 bite" if unread == 1 else f"{unread} bites"
        return f"Nobody read the current of {bites}; that copper is not among the figures." if unread else ""

    @property
    def sheets(self) -> list[BalanceLine]:
        """Sheet and plates, as far as the book knows how much copper is in them."""
        known = self.account.sheets
        on_shelf = [
            ("Sheet on the shelf at first", "", known.before),
            ("Bought", "", known.bought),
            ("Found or missed when counted", "", known.counted),
            ("Taken off the shelf", "", known.used),
            ("Sheet on the shelf at the end", "", known.now),
            ("Cut to plates of the book", "of what was taken off the shelf", known.became_plates),
        ]
        lines = on_shelf if known.contents else []
        if known.plates:
            lines = [*lines, ("On all plates at the end", self.plates_note, known.on_plates)]
        return [BalanceLine(label, note, kilograms(copper)) for label, note, copper in lines if copper.value]

    @property
    def stocks(self) -> list[Stock]:
        """Sheet, strip and offcuts of the shelf."""
        contents = self.account.sheets.contents
        copper = Material.objects.filter(Q(category=Material.Category.COPPER) | Q(pk__in=contents))
        return [Stock(each, contents.get(each.pk)) for each in copper if CopperForm.can_ask_about(each)]

    @property
    def plates_note(self) -> str:
        known = self.account.sheets
        note = f"{known.plates} in the book, brought along or cut here, less what was bitten off them"
        return f"{note}; {known.unsized} of unknown thickness left out" if known.unsized else note


def balance_line(amount: Amount) -> BalanceLine:
    label, note = LABELS[amount.name]
    return BalanceLine(label, note, grams(amount.copper))
