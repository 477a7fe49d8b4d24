import django_tables2 as tables
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.models import Person


class PeopleTable(tables.Table):
    caption = gettext_lazy("Everybody the book names")

    name = tables.Column(verbose_name=gettext_lazy("Name"), linkify=("people:person", {"pk": tables.A("pk")}))
    # nothing counts as empty, or the cell of who has no role would be filled with a dash
    role = tables.Column(verbose_name=gettext_lazy("Role"), empty_values=())
    account = tables.Column(
        accessor="account__username", verbose_name=gettext_lazy("Signs in as"), default=gettext_lazy("does not sign in")
    )
    left_on = tables.DateColumn(verbose_name=gettext_lazy("Left on"), format="j F Y", default="")

    class Meta:
        model = Person
        fields = ["name", "role", "account", "left_on"]
        orderable = False
        empty_text = gettext_lazy("The book names nobody yet.")

    def render_role(self, record):
        return _(record.role) if record.signs_in else ""
