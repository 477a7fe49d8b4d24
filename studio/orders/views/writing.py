"""Saying that something is low, ordering it, and receiving it: each writes one entry."""

from functools import partial

from django.contrib import messages
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.models import Material
from studio.orders import descriptions, operations, stock
from studio.orders.forms import HorizonForm, OrderForm, ReceiveLineForm
from studio.orders.models import OrderLine, Supplier
from studio.pages.writing import SignedForm, write
from studio.people.roles import keyholder_required


def choose_low(request):
    """What is running out? One tap, and its own page asks the rest."""
    choices = [
        (material.category, material.name, reverse("orders:mark_low", args=[material.pk]))
        for material in Material.objects.all()
    ]
    return render(request, "orders/choose.html", {"choices": choices})


def mark_low(request, pk):
    low = get_object_or_404(Material, pk=pk)
    form = SignedForm(request.POST or None, request=request)
    of_it = stock.of(low, timezone.now())
    context = {"material": low, "stock": of_it, "left": descriptions.left(of_it), "marked": descriptions.marked(of_it)}
    act = partial(operations.mark_low, low)
    return write(request, form, act, to="orders:orders", template="orders/mark_low.html", context=context)


@keyholder_required
def order(request, pk):
    supplier = get_object_or_404(Supplier, pk=pk)
    stocks = {each.material.pk: each for each in stock.of_all(timezone.now())}
    packs = supplier.packs.sold().select_related("material")
    months = HorizonForm(request.GET).chosen()
    form = OrderForm(request.POST or None, request=request, packs=packs, stocks=stocks, months=months)
    act = partial(operations.order, supplier)
    context = {"supplier": supplier}
    return write(request, form, act, to="orders:orders", template="orders/order.html", context=context)


def receive(request, pk):
    line = get_object_or_404(OrderLine.objects.with_received().with_names(), pk=pk)
    last = line.pack.material.containers.order_by("-pk").first()
    initial = {"place": last.place_id} if last else {}
    form = ReceiveLineForm(request.POST or None, request=request, line=line, initial=initial)

    def act(**typed):
        entry = operations.receive(line, **typed)
        codes = [movement.container.code for movement in entry.movements.select_related("container")]
        if codes:
            messages.info(request, f"Write on them, so that they can be found again: {', '.join(codes)}.")
        return entry

    context = {"line": line, "said": descriptions.awaited(line)}
    return write(request, form, act, to="orders:orders", template="orders/receive.html", context=context)
