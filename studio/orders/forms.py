from collections.abc import Iterable, Mapping

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, ngettext_lazy

from chemistry import locale, money, units, vessels
from chemistry.locale import in_prose
from chemistry.measured import plain
from inventory.amounts import in_plain_figures
from inventory.dates import long_month
from inventory.models import Material
from inventory.wording import translated
from studio.orders import descriptions, operations
from studio.orders.models import Invoice, OrderLine, Pack, Supplier
from studio.orders.stock import USUAL_MONTHS, MaterialStock
from studio.pages.documents import DocumentField
from studio.pages.fields import AmountField, DayField, NumberField, PlainForm, TypedField, WholeNumberField, understood
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
    """A price such as "12.50", "$12.50" or "1.234,50 €", as whole cents; another currency's sign is refused."""

    widget = NumberField.widget

    def read(self, typed: str) -> int:
        figures = understood(money.figures, typed, locale.current().currency)
        cents = understood(units.parse_number, in_plain_figures(figures, "")) * 100
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

    first = forms.ChoiceField(label=gettext_lazy("From"), widget=forms.Select(attrs={"data-in-order": True}))
    last = forms.ChoiceField(label=gettext_lazy("To"), widget=forms.Select(attrs={"data-in-order": True}))

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
    email = forms.EmailField(label=gettext_lazy("Mail"), required=False)
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

    KNOWN = ("name", "contact", "phone", "email", "address", "link", "usual_days", "worst_days")

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
            words = ngettext(
                "At the worst it takes %(usual)s day or more.", "At the worst it takes %(usual)s days or more.", usual
            )
            self.add_error("worst_days", words % {"usual": usual})
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
    price_cents = PriceField(label=gettext_lazy("Price of a pack"), required=False)
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
        self.fields["price_cents"].help_text = in_prose(_("In %(currency)s, such as 12.50.")) % {
            "currency": self.request.workshop.currency
        }
        examples = ", ".join(translated(units.examples(d)) for d in ("mass", "volume"))
        self.fields["amount"].help_text = _("With its unit: %(examples)s") % {"examples": examples}
        if pack.pk:
            # lines that were ordered before would turn into orders of something else
            del self.fields["material"]
            self.fields["amount"].help_text = _("Such as %(EXAMPLES)s.") % {
                "EXAMPLES": translated(units.examples(pack.material.dimension))
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
                    vessels.parse_typed, typed["amount"], material.dimension, cups=self.request.workshop.cups
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
        # what was taken off the lists is bought no more, whoever sells it
        self.packs, self.stocks = [pack for pack in packs if pack.material_id in stocks], stocks
        wanted = [stock for stock in stocks.values() if stock.is_wanted]
        self.unsold = [stock.material for stock in wanted if not stock.packs]
        suggested = {stock.material.pk: stock.buys(months)[0] for stock in wanted if stock.packs}
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
        currency = self.request.workshop.currency
        price = ", ".join(filter(None, (pack.price(currency), pack.unit_price(currency))))
        return ". ".join((price[:1].upper() + price[1:], descriptions.left(stock).removesuffix("."))) + "."


class ReceiveLineForm(ReceiveForm):
    """Packs of a line that came; the rest is asked as for anything that is received."""

    packs = PacksField(label=gettext_lazy("Packs that came whole"))
    damaged = PacksField(
        label=gettext_lazy("Packs that came damaged"),
        required=False,
        help_text=gettext_lazy("They are not put on the shelf, and stay to come."),
    )
    pack_amount = AmountField(
        dimension="mass",
        required=False,
        label=gettext_lazy("Each holds, where it is another pack than ordered"),
    )
    is_last = forms.BooleanField(label=gettext_lazy("No more of it will come"), required=False)

    OF_A_PACK = ("packs", "looks", "place", "batch")
    FOLDED = ("pack_amount", "damaged", "purity_percent", "use_by_on", "is_last")

    def __init__(self, *args, line, **kwargs):
        super().__init__(*args, material=line.pack.material, **kwargs)
        self.line = line
        # several packs come in one line: no code could be meant for all of them
        del self.fields["amount"], self.fields["code"]
        self.fields["packs"].initial = line.rest
        self.fields["packs"].help_text = _("Of %(size)s each; every one becomes a container with its own number.") % {
            "size": line.size
        }
        material = line.pack.material
        self.fields["pack_amount"].ask_for(material.dimension, material.shown_unit, self.request.workshop.cups)
        self.order_fields([*self.OF_A_PACK, *self.FOLDED, *self.SIGNATURE])

    def clean(self):
        packs = self.cleaned_data.get("packs")
        if packs == 0:
            # there is nothing to look at, and nothing to put anywhere
            for name in ("looks", "place"):
                self.errors.pop(name, None)
        # the form below judges an amount, and here the packs make it
        self.cleaned_data["amount"] = packs and packs * (self.cleaned_data.get("pack_amount") or self.line.amount)
        typed = super().clean()
        del typed["amount"]
        typed["damaged"] = typed.get("damaged") or 0
        return typed


class DeliveredLineForm(ReceiveLineForm):
    """One line of a delivery note; the note is signed once, below all of them."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in self.SIGNATURE:
            del self.fields[name]

    @property
    def first_fields(self):
        return [self[name] for name in self.OF_A_PACK if name in self.fields]

    @property
    def folded_fields(self):
        return [self[name] for name in self.FOLDED if name in self.fields]

    @property
    def is_unusual(self) -> bool:
        return any(field.errors or field.value() not in (None, "", False, [None, None]) for field in self.folded_fields)


class DeliveryForm(SignedForm):
    """A delivery note, checked off line by line: what came, what did not, what is not as it was ordered."""

    def __init__(self, *args, lines: Iterable[OrderLine], places: Mapping[int, int], **kwargs):
        super().__init__(*args, **kwargs)
        self.parts = [
            DeliveredLineForm(
                *args,
                request=self.request,
                line=line,
                prefix=f"line{line.pk}",
                initial={"place": places.get(line.pack.material_id)},
            )
            for line in lines
        ]

    def full_clean(self):
        for part in self.parts:
            part.is_taken_up, part.may_be_left = self.is_taken_up, self.may_be_left
        super().full_clean()

    def clean(self):
        typed = super().clean()
        for part in self.parts:
            if part.errors:
                self.look_at(part.line)
        return typed

    def look_at(self, line: OrderLine) -> None:
        self.add_error(None, _("Look at %(line)s.") % {"line": line})

    def facts(self):
        return {"came": [operations.Came(line=part.line, **part.facts()) for part in self.parts]}

    def refuse(self, refusal):
        if not isinstance(refusal, operations.LineRefused):
            return super().refuse(refusal)
        part = next(part for part in self.parts if part.line == refusal.line)
        self.ways = [*self.ways, *refusal.ways]
        if refusal.field in part.fields:
            part.add_error(refusal.field, refusal)
            self.look_at(part.line)
        else:
            self.add_error(refusal.field if refusal.field in self.fields else None, refusal)


class CancelLineForm(SignedForm):
    reason = forms.CharField(label=gettext_lazy("Why is it wanted no more?"), max_length=200)


class InvoiceForm(SignedForm):
    file = DocumentField(required=True, label=gettext_lazy("The invoice"))
    dated_on = DayField(label=gettext_lazy("Its date"))
    number = forms.CharField(max_length=60, required=False, label=gettext_lazy("Its number"))

    def facts(self):
        typed = self.cleaned_data
        named = {name: typed[name] for name in ("dated_on", "number")}
        return {"invoice": Invoice(**named, **typed["file"]._asdict())}
