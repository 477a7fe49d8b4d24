"""Sulfuric acid in a bath: what goes in, and what is known of it."""

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.bath import AcidTitrated, PhRead
from chemistry.bath.events import LEAST_SD
from chemistry.measured import HALF_WIDTH_SDS, digits
from chemistry.quantity import quantity
from chemistry.solution import sulfuric
from inventory.models import Container
from studio.baths import acid as stock
from studio.baths.acid import AcidPortion, AcidStrength
from studio.baths.event_log import UNDATED
from studio.baths.fields import AcidField
from studio.baths.forms.base import BathForm
from studio.pages.fields import NumberField

MEMORY_SHARE = 0.3  # ± of acid from a recipe or a memory: common practice, no source
A_TRACE_G_PER_L = 0.2  # ± of an acid titration at the least: own estimate


UNKNOWN_STRENGTH = gettext_lazy(
    "How strong it is stands nowhere in the book: give what is printed on its bottle. Nobody knows? Do not use it."
)


class TakingAcidForm(BathForm):
    """So much of an acid as it stands in its bottle, or up to so much in a litre; empty where none goes in."""

    TYPED_IN = {"grams": "acid", "percent": "acid_percent"}
    INTO_WATER = stock.INTO_WATER

    acid = AcidField(
        required=False,
        label=gettext_lazy("How much acid"),
        help_text=gettext_lazy("As measured out of its bottle, or what the bath is to hold."),
    )
    acid_percent = NumberField(
        required=False,
        low=1,
        high=100,
        unit="%",
        label=gettext_lazy("Its strength, %"),
        help_text=gettext_lazy("As printed: 96, or 37 of battery acid. Left empty, as the book has it of the bottle."),
    )
    trained = forms.BooleanField(
        required=False,
        label=gettext_lazy("Somebody trained does it: acid into the bath, slowly, stirring, never the other way round"),
    )
    portion: AcidPortion | None = None

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        known = {str(jar.pk): jar for jar in stock.acid_jars()}
        choices = [(pk, said_bottle(jar)) for pk, jar in known.items()]
        bottle = forms.TypedChoiceField(
            label=_("Out of"),
            required=False,
            choices=[*choices, ("", _("a bottle that is not in the book"))],
            coerce=known.get,
            empty_value=None,
            initial=next(iter(known), ""),
        )
        bottle.chooses = Container
        self.add("acid_from", bottle)

    @property
    def acid_fields(self):
        return [self[name] for name in ("acid", "acid_from", "acid_percent", "trained")]

    @property
    def is_soured(self) -> bool:
        """Whether somebody typed of acid, or is asked again about it."""
        amount, _unit = self["acid"].value() or ("", "")
        return bool(amount) or any(field.errors for field in self.acid_fields)

    def clean(self):
        super().clean()
        typed = self.cleaned_data
        acid, jar = typed.get("acid"), typed.get("acid_from")
        if acid is None or not acid.amount or "acid_percent" in self.errors:
            return
        strength = AcidStrength(typed["acid_percent"]) if typed["acid_percent"] else jar and stock.strength_of(jar)
        if strength is None:
            self.add_error("acid_percent", UNKNOWN_STRENGTH)
        if not typed["trained"]:
            self.add_error("trained", _("Acid is for somebody trained. Who did it says so here."))
        if strength and typed.get("trained"):
            self.portion = AcidPortion(dimension=acid.dimension, amount=acid.amount / 1000, strength=strength, jar=jar)

    def facts(self) -> dict:
        return {"acid": self.portion}


class AcidForm(TakingAcidForm):
    acid = AcidField(
        label=gettext_lazy("How much went in"),
        help_text=gettext_lazy("As measured out of its bottle, or what the bath is to hold."),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.order_fields([field.name for field in self.acid_fields])


class AcidReadForm(BathForm):
    """What somebody found out or knows of the acid that is in a bath."""

    class KnownBy:
        NONE, ABOUT, TITRATION, PH = "none", "about", "titration", "ph"

    NEEDED = {KnownBy.ABOUT: ("g_per_l",), KnownBy.TITRATION: ("g_per_l",), KnownBy.PH: ("ph",)}
    TYPED_IN = {"sd": "g_per_l"}

    known_by = forms.ChoiceField(
        label=gettext_lazy("Is there acid in it, and who says so?"),
        widget=forms.RadioSelect,
        choices=[
            (KnownBy.NONE, gettext_lazy("None: nobody ever added any")),
            (KnownBy.ABOUT, gettext_lazy("About so much: a recipe, a memory")),
            (KnownBy.TITRATION, gettext_lazy("So much, by titration")),
            (KnownBy.PH, gettext_lazy("Its pH, by a strip or a meter")),
        ],
    )
    g_per_l = NumberField(required=False, low=0, high=300, unit="g/L", label=gettext_lazy("Sulfuric acid in it"))
    ph = NumberField(
        required=False,
        low=0,
        high=7,
        unit="pH",
        label=gettext_lazy("pH"),
        help_text=gettext_lazy("A bath without acid reads about 4."),
    )

    def clean(self):
        super().clean()
        typed = self.cleaned_data
        for name in self.NEEDED.get(typed.get("known_by", ""), ()):
            if typed.get(name) is None and name not in self.errors:
                self.add_error(name, _("Give it, or say that it is known otherwise."))

    def facts(self) -> dict:
        typed = self.cleaned_data
        known_by = typed["known_by"]
        if known_by == self.KnownBy.PH:
            return {
                "reading": PhRead(day=UNDATED, ph=typed["ph"]),
                "words": _("pH %(typed)s") % {"typed": digits(typed["ph"], 3)},
            }
        if known_by == self.KnownBy.NONE:
            return {"reading": AcidTitrated(day=UNDATED, g_per_l=0, sd=LEAST_SD), "words": _("no acid in it")}
        g_per_l = typed["g_per_l"]
        share = MEMORY_SHARE if known_by == self.KnownBy.ABOUT else 2 * sulfuric.ACID_SD_SHARE
        sd = max(share * g_per_l, A_TRACE_G_PER_L) / HALF_WIDTH_SDS
        how = "about" if known_by == self.KnownBy.ABOUT else "titrated,"
        words = _("%(how)s %(g_per_l)s of acid") % {"how": how, "g_per_l": quantity(g_per_l, "g/L", 3)}
        return {"reading": AcidTitrated(day=UNDATED, g_per_l=g_per_l, sd=sd), "words": words}


def said_bottle(jar: Container) -> str:
    shown = {"jar": jar, "left": jar.shown_on_hand(), "strength": stock.strength_of(jar)}
    if shown["strength"] is None:
        return _("%(jar)s, strength not known, %(left)s left") % shown
    return _("%(jar)s, %(strength)s, %(left)s left") % shown
