"""Who sells what to the studio, and at what price."""

import django_tables2
from django.db.models import Count, Q
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import lazy

from studio.orders import operations
from studio.orders.forms import PackForm, SupplierForm
from studio.orders.models import OrderLine, Pack, Supplier
from studio.orders.tables import PackTable, SupplierTable
from studio.pages.writing import write
from studio.people.roles import keyholder_required

AT_ONCE = 25
LATEST = 25


def suppliers(request):
    table = SupplierTable(Supplier.objects.annotate(sold=Count("packs", filter=Q(packs__is_sold=True))))
    django_tables2.RequestConfig(request, paginate={"per_page": AT_ONCE}).configure(table)
    return render(request, "orders/suppliers.html", {"table": table})


def supplier(request, pk):
    shown = get_object_or_404(Supplier, pk=pk)
    table = PackTable(
        shown.packs.select_related("material"), currency=request.workshop.currency, may_change=request.is_keyholder
    )
    django_tables2.RequestConfig(request, paginate={"per_page": AT_ONCE}).configure(table)
    lines = OrderLine.objects.filter(order__supplier=shown).with_received().with_names()
    context = {
        "supplier": shown,
        "facts": _facts(shown),
        "table": table,
        "lines": lines.select_related("order__entry__struck_by").order_by("-order__entry__happened_at", "-pk")[:LATEST],
    }
    return render(request, "orders/supplier.html", context)


@keyholder_required
def new_supplier(request):
    form = SupplierForm(request.POST or None, request=request)
    to = lazy(lambda: Supplier.objects.get(name__iexact=form.cleaned_data["name"]).get_absolute_url(), str)
    return _write(request, form, operations.add_supplier, to=to(), back=reverse("orders:suppliers"))


@keyholder_required
def change_supplier(request, pk):
    changed = get_object_or_404(Supplier, pk=pk)
    form = SupplierForm(request.POST or None, request=request, supplier=changed)
    to = changed.get_absolute_url()
    return _write(request, form, operations.change_supplier, to=to, back=to)


@keyholder_required
def new_pack(request, pk):
    seller = get_object_or_404(Supplier, pk=pk)
    initial = {"material": request.GET.get("material")}
    form = PackForm(request.POST or None, request=request, pack=Pack(supplier=seller), initial=initial)
    return _write_pack(request, form, operations.add_pack, heading="A pack they sell")


@keyholder_required
def change_pack(request, pk):
    changed = get_object_or_404(Pack.objects.select_related("material", "supplier"), pk=pk)
    form = PackForm(request.POST or None, request=request, pack=changed)
    return _write_pack(request, form, operations.change_pack, heading=f"Change the pack of {changed}")


def _facts(shown):
    return [
        ("Ask for", shown.contact or "nobody in particular"),
        ("Telephone", shown.phone),
        ("On the web", shown.link or "nothing written down"),
        ("A delivery takes", _takes(shown)),
        ("Good to know", shown.note or "nothing written down"),
    ]


def _takes(shown):
    return f"{shown.usual_days} days, {shown.worst_days} at the worst" if shown.said_days else None


def _write(request, form, operation, *, to, back):
    context = {"supplier": form.supplier, "back": back}
    return write(request, form, operation, to=to, template="orders/supplier_form.html", context=context)


def _write_pack(request, form, operation, *, heading):
    seller = form.pack.supplier
    context = {"supplier": seller, "heading": heading}
    to = seller.get_absolute_url()
    return write(request, form, operation, to=to, template="orders/pack_form.html", context=context)
