"""Sulfuric acid in a bath: what goes in, and what is known of it."""

from django import forms

from chemistry.bath import AcidAdded, AcidTitrated, PhRead
from chemistry.bath.events import LEAST_SD
from chemistry.measured import HALF_WIDTH_SDS, digits
from chemistry.solution import sulfuric
from studio.baths.event_log import UNDATED
from studio.baths.fields import QuantityField
from studio.baths.forms.base import BathForm
from studio.pages.fields import NumberField
from studio.pages.quantities import grams, litres

MEMORY_SHARE = 0.3  # ± of acid from a recipe or a memory: common practice, no source
A_TRACE_G_PER_L = 0.2  # ± of an acid titration at the least: own estimate


class AcidForm(BathForm):
    """So much of an acid as it stands in its bottle."""

    TYPED_IN = {"grams": "amount"}

    amount = QuantityField(label="How much went in", units={"g": "mass", "mL": "volume"})
    percent = NumberField(
        low=1, high=100, unit="%", label="Its strength, %", help_text="As printed: 96, or 37 of battery acid."
    )
    trained = forms.BooleanField(
        label="Somebody trained did it: acid into the bath, slowly, stirring, never the other way round",
        error_messages={"required": "Acid is for somebody trained. Who did it says so here."},
    )

    def facts(self) -> dict:
        typed = self.cleaned_data
        amount, percent = typed["amount"], typed["percent"]
        if amount.dimension == "mass":
            weighs_g, shown = grams(amount.amount), f"{digits(grams(amount.amount), 4)} g"
        else:
            ml = 1000 * litres(amount.amount)
            weighs_g, shown = ml * sulfuric.stock_density_g_per_ml(percent), f"{digits(ml, 4)} mL"
        words = f"{shown} of sulfuric acid, {digits(percent)} %"
        return {"added": AcidAdded(day=UNDATED, grams=weighs_g, percent=percent), "words": words}


class AcidReadForm(BathForm):
    """What somebody found out or knows of the acid that is in a bath."""

    class KnownBy:
        NONE, ABOUT, TITRATION, PH = "none", "about", "titration", "ph"

    NEEDED = {KnownBy.ABOUT: ("g_per_l",), KnownBy.TITRATION: ("g_per_l",), KnownBy.PH: ("ph",)}
    TYPED_IN = {"sd": "g_per_l"}

    known_by = forms.ChoiceField(
        label="Is there acid in it, and who says so?",
        widget=forms.RadioSelect,
        choices=[
            (KnownBy.NONE, "None: nobody ever added any"),
            (KnownBy.ABOUT, "About so much: a recipe, a memory"),
            (KnownBy.TITRATION, "So much, by titration"),
            (KnownBy.PH, "Its pH, by a strip or a meter"),
        ],
    )
    g_per_l = NumberField(required=False, low=0, high=300, unit="g/L", label="Sulfuric acid in a litre, g")
    ph = NumberField(
        required=False, low=0, high=7, unit="pH", label="pH", help_text="A bath without acid reads about 4."
    )

    def clean(self):
        super().clean()
        typed = self.cleaned_data
        for name in self.NEEDED.get(typed.get("known_by", ""), ()):
            if typed.get(name) is None and name not in self.errors:
                self.add_error(name, "Give it, or say that it is known otherwise.")

    def facts(self) -> dict:
        typed = self.cleaned_data
        known_by = typed["known_by"]
        if known_by == self.KnownBy.PH:
            return {"reading": PhRead(day=UNDATED, ph=typed["ph"]), "words": f"pH {digits(typed['ph'], 3)}"}
        if known_by == self.KnownBy.NONE:
            return {"reading": AcidTitrated(day=UNDATED, g_per_l=0, sd=LEAST_SD), "words": "no acid in it"}
        g_per_l = typed["g_per_l"]
        share = MEMORY_SHARE if known_by == self.KnownBy.ABOUT else 2 * sulfuric.ACID_SD_SHARE
        sd = max(share * g_per_l, A_TRACE_G_PER_L) / HALF_WIDTH_SDS
        how = "about" if known_by == self.KnownBy.ABOUT else "titrated,"
        words = f"{how} {digits(g_per_l, 3)} g/L of acid"
        return {"reading": AcidTitrated(day=UNDATED, g_per_l=g_per_l, sd=sd), "words": words}
