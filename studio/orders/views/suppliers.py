"""Who sells what to the studio, and at what price."""

import django_tables2
from django.db.models import Count, Prefetch, Q
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from inventory.facts import history as fact_history
from studio.orders import operations
from studio.orders.forms import InvoiceForm, PackForm, SupplierForm
from studio.orders.models import Invoice, OrderLine, Pack, Supplier
from studio.orders.tables import PackTable, SupplierTable
from studio.pages import errands
from studio.pages.documents import hand_over
from studio.pages.views import EntryView

AT_ONCE = 25
LATEST = 25


def suppliers(request):
    table = SupplierTable(Supplier.objects.listed().annotate(sold=Count("packs", filter=Q(packs__is_sold=True))))
    django_tables2.RequestConfig(request, paginate={"per_page": AT_ONCE}).configure(table)
    return render(request, "orders/suppliers.html", {"table": table})


def supplier(request, pk):
    packs = Prefetch("packs", Pack.objects.select_related("material"))
    shown = get_object_or_404(Supplier.objects.prefetch_related(packs), pk=pk)
    table = PackTable(list(shown.packs.all()), currency=request.workshop.currency, may_change=request.is_keyholder)
    django_tables2.RequestConfig(request, paginate={"per_page": AT_ONCE}).configure(table)
    lines = OrderLine.objects.filter(order__supplier=shown).with_received().with_names()
    context = {
        "supplier": shown,
        "fact_history": fact_history(shown),
        "facts": [
            (_("Ask for"), shown.contact or _("nobody in particular")),
            (_("Telephone"), shown.phone),
            (_("Mail"), shown.email or _("nothing written down")),
            (_("Address"), shown.address or _("nothing written down")),
            (_("On the web"), shown.link or _("nothing written down")),
            (
                _("A delivery takes"),
                shown.said_days
                and ngettext(
                    "%(usual_days)s day, %(worst_days)s at the worst",
                    "%(usual_days)s days, %(worst_days)s at the worst",
                    shown.usual_days or 0,
                )
                % {"usual_days": shown.usual_days, "worst_days": shown.worst_days},
            ),
            (_("Good to know"), shown.note or _("nothing written down")),
        ],
        "table": table,
        "invoices": shown.invoices.standing().select_related("entry")[:LATEST],
        "lines": lines.select_related("order__entry__struck_by").order_by("-order__entry__happened_at", "-pk")[:LATEST],
    }
    return render(request, "orders/supplier.html", context)


class SupplierEntryView(EntryView):
    """A supplier as they are to be written down."""

    form_class, template_name, keyholder_only = SupplierForm, "orders/supplier_form.html", True
    form_wants = "supplier"

    def get_context_data(self):
        back = self.object.get_absolute_url() if self.object else reverse("orders:suppliers")
        return super().get_context_data() | {"back": back}

    def write(self, **facts):
        return (operations.change_supplier if self.object else operations.add_supplier)(**facts)

    def go_on(self, entry):
        # by its name: after a double tap the form's own supplier was never saved
        return redirect(Supplier.objects.get(name__iexact=self.form.cleaned_data["name"]))

    def back_to(self, form):
        # ?material=: what they sell is what the errand is for
        material = self.request.GET.get("material", "")
        if not material.isdecimal():
            return redirect(form)
        seller = Supplier.objects.get(name__iexact=self.form.cleaned_data["name"])
        return redirect(errands.with_back(f"{reverse('orders:new_pack', args=[seller.pk])}?material={material}", form))


class PackEntryView(EntryView):
    """What somebody sells, as it is to be written down; ?material= says what it is a pack of."""

    form_class, template_name, keyholder_only = PackForm, "orders/pack_form.html", True

    def get_pack(self) -> Pack:
        return Pack(supplier=self.object)

    def get_form_kwargs(self):
        return super().get_form_kwargs() | {"pack": self.get_pack()}

    def get_context_data(self):
        return super().get_context_data() | {"supplier": self.form.pack.supplier}

    def write(self, **facts):
        return self.operation(**facts)

    def go_on(self, entry):
        return redirect(self.form.pack.supplier)


class ChangePackView(PackEntryView):
    queryset = Pack.objects.select_related("material", "supplier")
    operation = staticmethod(operations.change_pack)

    def get_pack(self):
        return self.object

    def get_context_data(self):
        return super().get_context_data() | {"heading": _("Change the pack of %(object)s") % {"object": self.object}}


new_supplier = SupplierEntryView.as_view()
change_supplier = SupplierEntryView.as_view(queryset=Supplier.objects.all())
new_pack = PackEntryView.as_view(
    operation=operations.add_pack,
    queryset=Supplier.objects.all(),
    prefilled=["material"],
    words={"heading": gettext_lazy("A pack they sell")},
)
file_invoice = EntryView.as_view(
    form_class=InvoiceForm, operation=operations.file_invoice, queryset=Supplier.objects.all()
)


def invoice(request, pk):
    shown = get_object_or_404(Invoice.objects.select_related("supplier"), pk=pk)
    return hand_over(shown.file, f"invoice-{slugify(shown.supplier.name)}-{shown.dated_on:%Y-%m-%d}")
