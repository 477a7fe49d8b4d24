"""Saying that something is low, ordering it, and receiving it: each writes one entry."""

from django.contrib import messages
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from inventory.models import Material
from studio.orders import descriptions, operations, stock
from studio.orders.forms import HorizonForm, OrderForm, ReceiveLineForm
from studio.orders.models import OrderLine, Supplier
from studio.pages.views import EntryView


def choose_low(request):
    """What is running out? One tap, and its own page asks the rest."""
    choices = [
        (material.category, material.name, reverse("orders:mark_low", args=[material.pk]))
        for material in Material.objects.all()
    ]
    return render(request, "orders/choose.html", {"choices": choices})


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
            messages.info(self.request, f"Write on them, so that they can be found again: {', '.join(codes)}.")
        return entry
