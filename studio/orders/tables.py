import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from studio.orders.models import Pack, Supplier


class SupplierTable(tables.Table):
    caption = gettext_lazy("Who sells to the studio")

    name = tables.Column(verbose_name=gettext_lazy("Name"), linkify=True)
    contact = tables.Column(verbose_name=gettext_lazy("Contact"), default="")
    phone = tables.Column(verbose_name=gettext_lazy("Phone"), default="")
    sold = tables.Column(verbose_name=gettext_lazy("Packs"), attrs={"cell": {"class": "num"}})

    class Meta:
        model = Supplier
        fields = ["name", "contact", "phone", "sold"]
        orderable = False
        empty_text = gettext_lazy("No supplier is written down yet. Begin with the one who sells the copper sulfate.")


class PackTable(tables.Table):
    """What one supplier sells; a keyholder finds the way to change it."""

    caption = gettext_lazy("What they sell")

    material = tables.Column(verbose_name=gettext_lazy("Material"))
    size = tables.Column(verbose_name=gettext_lazy("Pack"), attrs={"cell": {"class": "num"}})
    price_cents = tables.Column(verbose_name=gettext_lazy("Price"), attrs={"cell": {"class": "num"}})
    unit_price = tables.Column(verbose_name=gettext_lazy("Compared"), empty_values=(), attrs={"cell": {"class": "num"}})
    code = tables.Column(verbose_name=gettext_lazy("Their code"), empty_values=())
    change = tables.Column(verbose_name=gettext_lazy("Put right"), empty_values=())

    class Meta:
        model = Pack
        attrs = {"class": "cards short"}
        fields = ["material", "size", "price_cents", "unit_price", "code", "change"]
        orderable = False
        empty_text = gettext_lazy("Nothing is written down yet that they sell.")

    def __init__(self, *args, currency, may_change, **kwargs):
        super().__init__(*args, exclude=() if may_change else ("change",), **kwargs)
        self.currency = currency

    def render_material(self, record):
        page = reverse("orders:material", args=[record.material_id])
        gone = "" if record.is_sold else format_html(' <span class="quiet">{}</span>', _("no longer sold"))
        return format_html('<a href="{}">{}</a>{}', page, record.material, gone)

    def render_price_cents(self, record):
        return record.price(self.currency)

    def render_unit_price(self, record):
        return record.unit_price(self.currency)

    def render_code(self, record):
        # nothing at all where nothing is known, or a narrow screen would set it off by a sign
        known = record.code or record.link
        return format_html('{} <span class="quiet">{}</span>', record.code, record.link) if known else ""

    def render_change(self, record):
        page = reverse("orders:change_pack", args=[record.pk])
        return format_html(_('<a href="{}">Change<span class="unseen"> the pack of {}</span></a>'), page, record)
