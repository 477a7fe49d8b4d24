"""What is low, what to order and what is on its way: read as page, paper and file, and written."""

from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.models import Container, Material
from inventory.wording import translated
from studio.drawing import charts
from studio.orders import descriptions, operations, order_list, stock, to_supplier
from studio.orders.forms import CancelLineForm, DeliveryForm, HorizonForm, OrderForm, ReceiveLineForm
from studio.orders.models import Order, OrderLine, Pack, Supplier
from studio.pages import spreadsheet
from studio.pages.views import EntryView, ReadView
from studio.pages.writing import NextDeed
from studio.printing import papers

CSV_HEAD = [
    gettext_lazy("Supplier"),
    gettext_lazy("Material"),
    gettext_lazy("Left"),
    gettext_lazy("State"),
    gettext_lazy("Packs"),
    "Of",
    "Supplier’s code",
    gettext_lazy("Price of one"),
    gettext_lazy("Together"),
]
CSV_HEAD += [gettext_lazy("Ordered by"), gettext_lazy("Ordered on"), gettext_lazy("Came so far")]


class OrdersView(ReadView):
    def get_part_data(self):
        months = HorizonForm(self.request.GET).chosen()
        parts = order_list.parts(timezone.now(), months=months)
        return {
            "parts": parts,
            "horizon": HorizonForm({"months": months}),
            "may_order": self.request.is_keyholder,
            "currency": self.request.workshop.currency,
            "has_packs": any(part.supplier for part in parts) or Pack.objects.exists(),
        }


def paper(request):
    months = HorizonForm(request.GET).chosen()
    parts = order_list.parts(timezone.now(), months=months)
    context = {
        "parts": parts,
        "prices": [cents for part in parts for cents in part.prices],
        "months": months,
        "currency": request.workshop.currency,
    }
    return papers.answer(request, "orders/papers/order_list.html", context, title=_("Order list"))


def orders_csv(request):
    parts = order_list.parts(timezone.now(), months=HorizonForm(request.GET).chosen())
    return spreadsheet.answer(_("order list"), CSV_HEAD, [row for part in parts for row in order_list.csv_rows(part)])


def material(request, pk):
    shown = get_object_or_404(Material, pk=pk)
    now, months = timezone.now(), HorizonForm(request.GET).chosen()
    of_it = stock.stock_of_material(shown, now)
    context = {
        "stock": of_it,
        "material": shown,
        "on_hand": shown.show(of_it.on_hand),
        "horizon": HorizonForm({"months": months}),
        "buys": descriptions.ways_to_buy(of_it, months, timezone.localdate(), request.workshop.currency),
        "told": descriptions.figures_of_stock(of_it),
        "next_order": descriptions.next_order(of_it, timezone.localdate()),
        "risk": descriptions.risk(of_it),
        "up_to": descriptions.up_to(of_it),
        "chart": chart_of_use(of_it, now),
        "lines": of_it.awaited,
        "suppliers": Supplier.objects.listed() if request.is_keyholder and not of_it.packs else (),
    }
    return render(request, "orders/material.html", context)


class HowItGoesView(ReadView):
    """The short of it, for the material's page on the shelf; where no script fetches it, the whole of it."""

    queryset = Material.objects.all()

    def get(self, request, *args, **kwargs):
        return HttpResponse(self.part()) if request.htmx else redirect("orders:material", self.object.pk)

    def get_part_data(self):
        now = timezone.now()
        of_it = stock.stock_of_material(self.object, now)
        return {
            "stock": of_it,
            "told": descriptions.figures_of_stock(of_it)[:1],
            "next_order": descriptions.next_order(of_it, timezone.localdate()),
            "chart": chart_of_use(of_it, now),
        }


def chart_of_use(of_it, now):
    """Use by month, where there is any to draw."""
    months = of_it.use_by_month(now)
    if not any(used > 0 for _, used in months):
        return None
    return charts.columns(
        [charts.Column(name, max(used, 0.0), max(used, 0.0)) for name, used in months],
        title=_("Used of %(material)s in each whole month") % {"material": of_it.material},
        unit=translated(of_it.unit),
        # half a litre in whole numbers would read as nothing or as one
        decimals=0 if of_it.material.dimension == "count" or max(used for _, used in months) >= 10 else 2,
    )


def choose_low(request):
    """What is running out? One tap, and its own page asks the rest."""
    words = request.GET.get("words", "").strip()
    choices = [
        (_(material.category), material.name, reverse("orders:mark_low", args=[material.pk]))
        for material in Material.objects.listed().filter(name__icontains=words)
    ]
    return render(request, "orders/choose.html", {"choices": choices, "words": words})


class MarkLowView(EntryView):
    success_url = "orders:orders"
    operation = staticmethod(operations.mark_low)
    queryset = Material.objects.all()

    def get_context_data(self):
        of_it = stock.stock_of_material(self.object, timezone.now())
        shown = {"stock": of_it, "left": descriptions.left(of_it), "marked": descriptions.marked(of_it)}
        return super().get_context_data() | shown


class OrderView(EntryView):
    form_class = OrderForm
    # where it is sent from
    success_url = staticmethod(lambda entry: entry.order)
    operation = staticmethod(operations.order)
    queryset = Supplier.objects.all()
    keyholder_only = True

    def get_form_kwargs(self):
        return super().get_form_kwargs() | {
            "packs": self.object.packs.sold().select_related("material"),
            "stocks": {each.material.pk: each for each in stock.stocks_of_all(timezone.now())},
            "months": HorizonForm(self.request.GET).chosen(),
        }


def placed(request, pk):
    """An order as it stands: what came of it, what is still to come, and how it leaves."""
    order = order_or_404(pk)
    lines, letter = to_supplier.lines_of(order), to_supplier.letter_of(order, request.workshop)
    context = {
        "order": order,
        "lines": [(line, descriptions.what_became_of(line)) for line in lines],
        "state": descriptions.state_of_order(order, lines),
        "is_open": not order.entry.is_struck and any(line.rest for line in lines),
        "total": to_supplier.total(lines, request.workshop.currency),
        "letter": letter,
        "mailto": to_supplier.mailto(order, letter),
        "currency": request.workshop.currency,
    }
    return render(request, "orders/placed.html", context)


def order_paper(request, pk):
    order = order_or_404(pk)
    context = to_supplier.on_paper(order, request.workshop)
    return papers.answer(request, "orders/papers/order.html", context, title=capfirst(str(order)))


def order_csv(request, pk):
    order = order_or_404(pk)
    return spreadsheet.answer(str(order), to_supplier.CSV_HEAD, list(to_supplier.csv_rows(to_supplier.lines_of(order))))


def order_text(request, pk):
    told = to_supplier.letter_of(order_or_404(pk), request.workshop)
    return HttpResponse(f"{told.subject}\n\n{told.text}", content_type="text/plain; charset=utf-8")


def order_or_404(pk):
    return get_object_or_404(Order.objects.select_related("supplier", "entry__done_by", "entry__struck_by"), pk=pk)


class CameView(EntryView):
    """Packs came: each is written on, and its sticker is printed."""

    def write(self, **facts):
        entry = super().write(**facts)
        if codes := codes_of(entry):
            messages.info(
                self.request,
                _("Write on them, so that they can be found again: %(codes)s.") % {"codes": ", ".join(codes)},
            )
        return entry

    def next_deeds(self, entry):
        codes = codes_of(entry)
        if len(codes) == 1:
            return [NextDeed(_("Print its sticker"), reverse("shelf:sticker", args=codes))]
        sheets = f"{reverse('shelf:stickers')}?{urlencode([('codes', code) for code in codes])}"
        return [NextDeed(_("Print their stickers"), sheets)] if codes else []


def codes_of(entry):
    return [movement.container.code for movement in entry.movements.select_related("container")]


def last_places(materials):
    """Where the last of each stands: what is bought again mostly goes there."""
    stood = Container.objects.filter(material__in=materials).order_by("pk").values_list("material", "place")
    return dict(stood)


class ReceiveLineView(CameView):
    form_class, success_url = ReceiveLineForm, "orders:orders"
    queryset = OrderLine.objects.with_received().with_names()
    operation = staticmethod(operations.receive)
    form_wants = "line"

    def get_initial(self):
        return {"place": last_places([self.object.pack.material_id]).get(self.object.pack.material_id)}

    def get_context_data(self):
        return super().get_context_data() | {"line": self.object, "said": self.object.awaited_words}


class DeliveryView(CameView):
    form_class = DeliveryForm
    queryset = Order.objects.select_related("supplier", "entry")
    operation = staticmethod(operations.deliver)

    def get_form_kwargs(self):
        lines = [line for line in to_supplier.lines_of(self.object) if line.rest]
        return {"lines": lines, "places": last_places([line.pack.material_id for line in lines])}


class CancelLineView(EntryView):
    form_class = CancelLineForm
    queryset = OrderLine.objects.with_received().with_names()
    operation = staticmethod(operations.cancel_line)
    keyholder_only = True
    success_url = staticmethod(lambda entry: entry.receipts.get().line.order)

    def get_context_data(self):
        return super().get_context_data() | {"line": self.object}
