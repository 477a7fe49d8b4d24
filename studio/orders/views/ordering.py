"""What is low, what to order and what is on its way: read as page, paper and file, and written."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.models import Material
from studio.drawing import charts
from studio.orders import descriptions, operations, order_list, stock
from studio.orders.forms import HorizonForm, OrderForm, ReceiveLineForm
from studio.orders.models import OrderLine, Pack, Supplier
from studio.pages import spreadsheet
from studio.pages.views import EntryView, ReadView
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
        "price_cents": sum(part.price_cents for part in parts),
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
        unit=of_it.material.shown_unit,
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
    form_class, success_url = OrderForm, "orders:orders"
    operation = staticmethod(operations.order)
    queryset = Supplier.objects.all()
    keyholder_only = True

    def get_form_kwargs(self):
        return super().get_form_kwargs() | {
            "packs": self.object.packs.sold().select_related("material"),
            "stocks": {each.material.pk: each for each in stock.stocks_of_all(timezone.now())},
            "months": HorizonForm(self.request.GET).chosen(),
        }


class ReceiveLineView(EntryView):
    form_class, success_url = ReceiveLineForm, "orders:orders"
    queryset = OrderLine.objects.with_received().with_names()
    form_wants = "line"

    def get_initial(self):
        # what is bought again mostly goes to where the last of it stands
        last = self.object.pack.material.containers.order_by("-pk").first()
        return {"place": last.place_id} if last else {}

    def get_context_data(self):
        return super().get_context_data() | {"line": self.object, "said": self.object.awaited_words}

    def write(self, **facts):
        entry = operations.receive(self.object, **facts)
        codes = [movement.container.code for movement in entry.movements.select_related("container")]
        if codes:
            messages.info(
                self.request,
                _("Write on them, so that they can be found again: %(codes)s.") % {"codes": ", ".join(codes)},
            )
        return entry
