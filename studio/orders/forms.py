from collections.abc import Iterable

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from chemistry import locale, units
from chemistry.measured import plain
from inventory.dates import long_month
from inventory.models import Material
from studio.orders import descriptions, prices
from studio.orders.models import Invoice, Pack, Supplier
from studio.orders.stock import USUAL_MONTHS, MaterialStock
from studio.pages.documents import DocumentField
from studio.pages.fields import DayField, NumberField, PlainForm, TypedField, WholeNumberField, understood
from studio.pages.writing import SignedForm
from studio.shelf.forms.materials import ReceiveForm
from studio.workshop.forms import PhoneField

MOST_CENTS = 10_000_000  # 100,000 of any currency: a slip rather than a price
LONGEST_WAIT_DAYS = 365
MONTHS_AHEAD = [
    (months, ngettext_lazy("%(months)d month", "%(months)d months", months) % {"months": months})
    for months in (1, 2, 3, 6, 12)
]


class PriceField(TypedField):
    """A price such as "12.50", "$12.50" or "12,50 €", as whole cents; another currency's sign is refused."""

    widget = NumberField.widget

    def read(self, typed: str) -> int:
        currency = locale.current().currency
        amount = prices.without_sign(typed, currency)
        if set(amount) & set(prices.SIGNS.values()):
            raise ValidationError(
                _("“%(typed)s” is in another currency; the prices of this book are in %(currency)s.")
                % {"typed": typed, "currency": currency}
            )
        cents = understood(units.parse_number, amount) * 100
        # rounded, the price in the book would not be the one on the bill
        if cents != int(cents):
            raise ValidationError(
                _("“%(typed)s” goes finer than cents; write two decimals at most.") % {"typed": typed}
            )
        if cents > MOST_CENTS:
            raise ValidationError(
                _("“%(typed)s” is more than a pack costs; look again at the decimal mark.") % {"typed": typed}
            )
        return int(cents)

    def prepare_value(self, value):
        return plain(value / 100, 2) if isinstance(value, int) else value


class PacksField(WholeNumberField):
    MOST = 999

    def __init__(self, **kwargs):
        words = _("A whole number of packs, such as 2.")
        super().__init__(
            min_value=0,
            max_value=self.MOST,
            error_messages={
                "invalid": words,
                "min_value": words,
                "max_value": _("At most %(MOST)s at once.") % {"MOST": self.MOST},
            },
            **kwargs,
        )


class HorizonForm(PlainForm):
    """How long what is bought should last."""

    months = forms.TypedChoiceField(
        label=gettext_lazy("Buy for"), choices=MONTHS_AHEAD, coerce=int, initial=USUAL_MONTHS, required=False
    )

    def chosen(self) -> int:
        # an address with other months shows the usual list: nothing is written by it that would have to be refused
        return (self.is_valid() and self.cleaned_data["months"]) or self.fields["months"].initial


class CostPeriodForm(PlainForm):
    """From one month to another, both included."""

    first = forms.ChoiceField(label=gettext_lazy("From"))
    last = forms.ChoiceField(label=gettext_lazy("To"))

    def __init__(self, *args, months, **kwargs):
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.choices = [(f"{month:%Y-%m}", long_month(month)) for month in months]

    def clean(self):
        typed = super().clean()
        # the year is written first, so months compare as they are typed
        if len(typed) == 2 and typed["first"] > typed["last"]:
            raise ValidationError(_("The first month lies after the last one; change one of them."))
        return typed


class SupplierForm(SignedForm):
    name = forms.CharField(label=gettext_lazy("Name"), max_length=80)
    contact = forms.CharField(label=gettext_lazy("Whom to ask for"), max_length=120, required=False)
    phone = PhoneField(label=gettext_lazy("Telephone"))
    address = forms.CharField(
        label=gettext_lazy("Address"),
        max_length=160,
        required=False,
        help_text=gettext_lazy("In one line, as it stands on the label of what you hand over."),
    )
    link = forms.CharField(
        label=gettext_lazy("Where they are on the web"),
        max_length=200,
        required=False,
        help_text=gettext_lazy("Kept and shown as text."),
    )
    usual_days = WholeNumberField(
        label=gettext_lazy("A delivery takes, days"),
        min_value=1,
        max_value=LONGEST_WAIT_DAYS,
        required=False,
        help_text=gettext_lazy("As a rule. After three deliveries the book goes by those."),
    )
    worst_days = WholeNumberField(
        label=gettext_lazy("And at the worst, days"),
        min_value=1,
        max_value=LONGEST_WAIT_DAYS,
        required=False,
    )
    about = forms.CharField(
        label=gettext_lazy("Good to know"), max_length=500, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    KNOWN = ("name", "contact", "phone", "address", "link", "usual_days", "worst_days")

    def __init__(self, *args, supplier: Supplier | None = None, **kwargs):
        super().__init__(*args, **kwargs)
        self.supplier = supplier or Supplier()
        if supplier:
            # under another name, because the line in the book has a note of its own
            self.initial.update({name: getattr(supplier, name) for name in self.KNOWN}, about=supplier.note)

    def clean(self):
        typed = super().clean()
        usual, worst = typed.get("usual_days"), typed.get("worst_days")
        if usual and worst and worst < usual:
            self.add_error("worst_days", _("At the worst it takes %(usual)s days or more.") % {"usual": usual})
        if bool(usual) != bool(worst) and not {"usual_days", "worst_days"} & self.errors.keys():
            self.add_error("worst_days" if usual else "usual_days", _("Give both numbers of days, or neither."))
        return typed

    def facts(self):
        typed = self.cleaned_data
        for name in self.KNOWN:
            setattr(self.supplier, name, typed[name])
        self.supplier.note = typed["about"]
        return {"supplier": self.supplier}


class PackForm(SignedForm):
    material = forms.ModelChoiceField(
        Material.objects.listed(), label=gettext_lazy("What is in it"), empty_label=gettext_lazy("choose")
    )
    amount = forms.CharField(
        label=gettext_lazy("How much of it"),
        max_length=units.LONGEST_TEXT,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    price_cents = PriceField(label=gettext_lazy("Price of a pack"))
    code = forms.CharField(label=gettext_lazy("The supplier’s own code"), max_length=40, required=False)
    link = forms.CharField(
        label=gettext_lazy("Where it is on the web"),
        max_length=200,
        required=False,
        help_text=gettext_lazy("Kept and shown as text."),
    )
    is_sold = forms.BooleanField(label=gettext_lazy("They still sell it"), required=False)

    KNOWN = ("price_cents", "code", "link", "is_sold")

    def __init__(self, *args, pack: Pack, **kwargs):
        super().__init__(*args, **kwargs)
        self.pack = pack
        self.fields["price_cents"].help_text = _("In %(currency)s, such as 12.50.") % {
            "currency": self.request.workshop.currency
        }
        examples = ", ".join(units.EXAMPLES[d] for d in ("mass", "volume"))
        self.fields["amount"].help_text = _("With its unit: %(examples)s") % {"examples": examples}
        if pack.pk:
            # lines that were ordered before would turn into orders of something else
            del self.fields["material"]
            self.fields["amount"].help_text = _("Such as %(EXAMPLES)s.") % {
                "EXAMPLES": units.EXAMPLES[pack.material.dimension]
            }
            self.initial.update({name: getattr(pack, name) for name in self.KNOWN}, amount=pack.size)
        else:
            del self.fields["is_sold"]

    def clean(self):
        typed = super().clean()
        material = self.pack.material if self.pack.pk else typed.get("material")
        # only the material tells whether 500 are grams, millilitres or pieces
        if material and typed.get("amount"):
            try:
                typed["amount"] = understood(
                    units.parse, typed["amount"], material.dimension, cups=self.request.workshop.cups
                )
            except ValidationError as error:
                self.add_error("amount", error)
        if typed.get("amount") == 0:
            self.add_error("amount", _("A pack holds more than nothing."))
        return typed

    def facts(self):
        typed = self.cleaned_data
        # sizes are shown rounded: sent back untouched, they must not replace what is in the book
        for name in self.touched.difference(self.SIGNATURE) if self.pack.pk else typed.keys() - set(self.SIGNATURE):
            setattr(self.pack, name, typed[name])
        return {"pack": self.pack}


class OrderForm(SignedForm):
    """How many of each pack; a tick where somebody has ordered already."""

    def __init__(self, *args, packs: Iterable[Pack], stocks: dict[int, MaterialStock], months: int, **kwargs):
        super().__init__(*args, **kwargs)
        self.packs, self.stocks = list(packs), stocks
        suggested = {stock.material.pk: stock.buys(months)[0] for stock in stocks.values() if stock.is_wanted}
        for pack in self.packs:
            # only the pack that comes nearest is filled in; two suggestions would buy it twice
            stock, buy = stocks[pack.material_id], suggested.get(pack.material_id)
            self.fields[f"packs_{pack.pk}"] = PacksField(
                label=str(pack),
                required=False,
                initial=buy.choice.packs if buy and buy.pack == pack and not stock.awaited else None,
                help_text=self.price_and_rest(pack, stock),
            )
            if stock.awaited:
                self.fields[f"more_{pack.pk}"] = forms.BooleanField(
                    label=_("Order more all the same: %(awaited_words)s")
                    % {"awaited_words": stock.awaited[-1].awaited_words},
                    required=False,
                )
        self.order_fields([name for name in self.fields if name not in self.SIGNATURE] + list(self.SIGNATURE))

    def clean(self):
        typed = super().clean()
        asked = any(typed.get(f"packs_{pack.pk}") for pack in self.packs)
        if not asked and not self.errors:
            raise ValidationError(_("Say how many packs of something."))
        return typed

    def facts(self):
        typed = self.cleaned_data
        return {
            "packs": {pack: number for pack in self.packs if (number := typed[f"packs_{pack.pk}"])},
            "more": {pack.material for pack in self.packs if typed.get(f"more_{pack.pk}")},
        }

    def groups(self):
        """The fields of what is wanted or was typed, and those of all the rest, which may stay folded away."""
        wanted, rest = [], []
        for pack in self.packs:
            fields = [self[name] for name in (f"packs_{pack.pk}", f"more_{pack.pk}") if name in self.fields]
            # folded away, a number that somebody typed would be ordered unseen
            unfold = self.stocks[pack.material_id].is_wanted or any(field.value() for field in fields)
            (wanted if unfold else rest).extend(fields)
        return {"wanted": wanted, "rest": rest}

    def price_and_rest(self, pack: Pack, stock: MaterialStock) -> str:
        price = f"{pack.price(self.request.workshop.currency)}, {pack.unit_price(self.request.workshop.currency)}"
        return ". ".join(filter(None, (price, descriptions.left(stock).removesuffix(".")))) + "."


class ReceiveLineForm(ReceiveForm):
    """Packs of a line that came; the rest is asked as for anything that is received."""

    packs = PacksField(label=gettext_lazy("Packs that came"))
    is_last = forms.BooleanField(label=gettext_lazy("No more of it will come"), required=False)

    def __init__(self, *args, line, **kwargs):
        super().__init__(*args, material=line.pack.material, **kwargs)
        self.line = line
        # several packs come in one line: no code could be meant for all of them
        del self.fields["amount"], self.fields["code"]
        self.fields["packs"].initial = line.rest
        self.fields["packs"].help_text = _("Of %(size)s each; every one becomes a container with its own number.") % {
            "size": line.size
        }
        self.order_fields(
            ["packs", "looks", "purity_percent", "place", "use_by_on", "batch", "is_last", *self.SIGNATURE]
        )

    def clean(self):
        packs = self.cleaned_data.get("packs")
        if packs == 0:
            # there is nothing to look at
            self.errors.pop("looks", None)
        # the form below judges an amount, and here the packs make it
        self.cleaned_data["amount"] = packs and packs * self.line.amount
        typed = super().clean()
        del typed["amount"]
        return typed


class InvoiceForm(SignedForm):
    file = DocumentField(required=True, label=gettext_lazy("The invoice"))
    dated_on = DayField(label=gettext_lazy("Its date"))
    number = forms.CharField(max_length=60, required=False, label=gettext_lazy("Its number"))

    def facts(self):
        typed = self.cleaned_data
        named = {name: typed[name] for name in ("dated_on", "number")}
        return {"invoice": Invoice(**named, **typed["file"]._asdict())}
