"""Reading the shelf: its list, a material, a container; and which of them something came into or is taken from."""

import django_tables2
from django.db.models import Q, QuerySet
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.asked_often import asked_often
from inventory.facts import history as fact_history
from inventory.models import Container, Material, Movement
from studio.book import paging
from studio.drawing import qr
from studio.hazards.classification import classify_material
from studio.pages import spreadsheet
from studio.pages.sections import sections_of
from studio.pages.views import ReadView
from studio.shelf import facts, history
from studio.shelf.filters import ShelfFilter
from studio.shelf.rows import anything_listed, shelf_rows, used_lately, usual
from studio.shelf.tables import EXPORTED, ContainerTable, ShelfTable, exported, level

AT_ONCE = 25
MOST_EXPORTED = 20_000
OFTEN = gettext_lazy("Low, or came lately")
LATELY = gettext_lazy("Used lately")


class ShelfView(ReadView):
    def get_part_data(self):
        asked = ShelfFilter(self.request.GET, queryset=shelf_rows())
        table = ShelfTable(asked.qs if asked.is_valid() else shelf_rows().none())
        django_tables2.RequestConfig(self.request, paginate={"per_page": AT_ONCE}).configure(table)
        is_bare = not self.request.GET and not anything_listed()
        return {"table": table, "form": asked.form, "is_bare": is_bare, "request": self.request}


def export(request, kind):
    """What the filter leaves of the shelf, as a spreadsheet."""
    asked = ShelfFilter(request.GET, queryset=shelf_rows())
    rows = (asked.qs if asked.is_valid() else shelf_rows().none()).order_by("category", "name", "standing__pk")
    # bounded, because a sheet of all that ever stood here would hold a worker for minutes
    lines = exported(rows[:MOST_EXPORTED], timezone.localdate())
    return {"csv": spreadsheet.answer, "xlsx": spreadsheet.workbook}[kind]("shelf", EXPORTED, lines)


class MaterialView(ReadView):
    queryset = Material.objects.standing_here()

    def get_part_data(self):
        material = self.object
        known = classify_material(material, self.request.workshop.region)
        table = ContainerTable(material.containers.select_related("material", "place").order_by("-on_hand", "pk"))
        django_tables2.RequestConfig(self.request, paginate={"per_page": AT_ONCE}).configure(table)
        return {
            "material": material,
            "on_hand": material.show(material.on_hand),
            "fact_history": fact_history(material),
            "sections": sections_of("material", material=material),
            "sheet": material.safety_sheets.standing().first(),
            "facts": facts.of_material(material, known, cups=self.request.workshop.cups),
            "table": table,
            "request": self.request,
        }


class ContainerView(ReadView):
    queryset = Container.objects.select_related("material", "place")

    def get_context_data(self):
        return {"code": self.kwargs["code"]}

    def get_part_data(self):
        container, today = self.object, timezone.localdate()
        page = paging.page(
            container.movements.select_related(*history.JOINED),
            self.request.GET,
            size=AT_ONCE,
            newest=lambda: newest_movements(container.pk),
        )
        state = container.state_on(today)
        known = classify_material(container.material, self.request.workshop.region)
        return {
            "container": container,
            "fact_history": fact_history(container),
            "state": state,
            "level": level(state),
            "facts": facts.of_container(container, known, cups=self.request.workshop.cups),
            "first": facts.to_use_first(container, today),
            "lines": history.of_movements(container, page.rows),
            "page": page,
            "seen": history.counts_and_moves(container),
            # it is walked back from what there is now, which only the latest page reaches up to
            "chart": None if page.newer else history.chart(container, page.rows),
            "caution": qr.caution(self.request),
            "past_by": container.on_hand
            and container.use_by_on
            and container.use_by_on < today
            and container.use_by_on,
        }


@asked_often
def newest_movements(container: int) -> QuerySet[Movement]:
    rows = Movement.objects.filter(container=container).select_related(*history.JOINED)
    return rows.order_by("-happened_at", "-pk")[: AT_ONCE + 1]


def choose_material(request):
    """What came? One tap, and its own page asks the rest. What is usual stands first."""
    words = request.GET.get("words", "").strip()
    offered = [] if words else [(OFTEN, material) for material in usual()]
    offered += [
        (_(material.category), material) for material in Material.objects.listed().filter(name__icontains=words)
    ]
    pages = [(group, each.name, "", reverse("shelf:receive", args=[each.pk])) for group, each in offered]
    context = {
        "question": _("What came?"),
        "choices": pages,
        "may_be_new": True,
        "sought": _("Part of its name"),
        "words": words,
    }
    return render(request, "shelf/choose.html", context)


def choose_container(request):
    """What is used? One tap, and its own page asks how much."""
    words = request.GET.get("words", "").strip()
    sought = Q(material__name__icontains=words) | Q(code__iexact=words)
    standing = Container.objects.at_hand().select_related("material").filter(sought)
    if words and standing.count() == 1:
        return redirect("shelf:use", standing[0].code)
    every = list(standing.order_by("material__category", "material__name", "pk"))
    lately = [jar for jar in used_lately() if jar in every]
    offered = [*((LATELY, jar) for jar in lately), *((_(jar.material.category), jar) for jar in every)]
    pages = [(group, str(jar), jar.shown_on_hand(), reverse("shelf:use", args=[jar.code])) for group, jar in offered]
    context = {"question": _("What is used?"), "choices": pages, "may_be_several": True, "words": words}
    context |= {"sought": _("Name or code"), "scan": reverse("shelf:use", args=["CODE"])}
    return render(request, "shelf/choose.html", context)
