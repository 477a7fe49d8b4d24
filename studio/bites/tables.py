import django_tables2 as tables
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.dates import short_day
from studio.bites.models import roman


class PlateTable(tables.Table):
    """Plates of `with_last_parcel` and `with_last_bite`."""

    caption = gettext_lazy("The plates")

    name = tables.Column(verbose_name=gettext_lazy("Plate"), linkify=True)
    size = tables.Column(verbose_name=gettext_lazy("Size"), orderable=False)
    state = tables.Column(verbose_name=gettext_lazy("State"), empty_values=(), orderable=False)
    owner = tables.Column(verbose_name=gettext_lazy("Whose"), order_by=("owner__name", "name"))
    last_bitten_at = tables.Column(verbose_name=gettext_lazy("Last bitten"), default=gettext_lazy("not yet"))

    class Meta:
        attrs = {"class": "cards short"}
        order_by = "-last_bitten_at"
        empty_text = gettext_lazy("No plate is like that.")

    def order_last_bitten_at(self, plates, is_descending):
        # plates that were never bitten are alike: without their keys they would change pages between two looks
        latest_first = plates.order_by("-last_bitten_at", "-pk")
        return (latest_first if is_descending else latest_first.reverse()), True

    def render_state(self, record):
        # a plate is often prepared for its next state before it is bitten, or bitten without a word of its ground
        state = max(record.prepared_state or 0, record.bitten_state or 0)
        words = [roman(state)] if state else []
        return ", ".join(
            [*words, _("mailed to %(away_at)s") % {"away_at": record.away_at}] if record.is_away else words
        )

    def render_last_bitten_at(self, value):
        return short_day(value)
