from functools import partial

import django_tables2
from django.contrib import messages
from django.shortcuts import get_object_or_404, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import lazy

from inventory.models import Container, Material, Place
from studio.book import paging
from studio.book.revision import book_revision
from studio.drawing import qr
from studio.hazards.classification import classify_material
from studio.pages import fragment_cache, spreadsheet
from studio.pages.writing import write
from studio.shelf import facts, history, operations
from studio.shelf.filters import ShelfFilter
from studio.shelf.forms.materials import CountForm, MaterialForm, MoveForm, PlaceForm, ReceiveForm
from studio.shelf.rows import shelf_rows
from studio.shelf.tables import EXPORTED, ContainerTable, ShelfTable, exported, level
from studio.shelf.usual import usual

AT_ONCE = 25
MOST_EXPORTED = 20_000
OFTEN = "Low, or came lately"


def shelf(request):
    asked = request.GET.urlencode()
    whole = fragment_cache.cached_fragment(
        "shelf", asked, book_revision(), timezone.localdate(), make=lambda: _shelf(request)
    )
    return render(request, "shelf/shelf.html", {"whole": whole})


def _shelf(request):
    """Filter and list, the same for everybody."""
    asked = ShelfFilter(request.GET, queryset=shelf_rows())
    table = ShelfTable(asked.qs if asked.is_valid() else shelf_rows().none())
    django_tables2.RequestConfig(request, paginate={"per_page": AT_ONCE}).configure(table)
    is_bare = not request.GET and not Material.objects.exists()
    return render_to_string("shelf/_shelf.html", {"table": table, "form": asked.form, "is_bare": is_bare}, request)


def export(request, kind):
    """What the filter leaves of the shelf, as a spreadsheet."""
    asked = ShelfFilter(request.GET, queryset=shelf_rows())
    rows = (asked.qs if asked.is_valid() else shelf_rows().none()).order_by("category", "name", "standing__pk")
    lines = exported(rows[:MOST_EXPORTED], timezone.localdate())
    return {"csv": spreadsheet.answer, "xlsx": spreadsheet.workbook}[kind]("shelf", EXPORTED, lines)


def material(request, pk):
    shown = get_object_or_404(Material.objects.standing_here(), pk=pk)
    key = (
        pk,
        request.GET.urlencode(),
        book_revision(),
        timezone.localdate(),
        request.workshop.cups,
        request.workshop.region,
    )
    whole = fragment_cache.cached_fragment("material", *key, make=lambda: _material(request, shown))
    return render(request, "shelf/material.html", {"material": shown, "whole": whole})


def _material(request, shown):
    """What is known of a material and where it stands, the same for everybody."""
    table = ContainerTable(shown.containers.select_related("material", "place").order_by("-on_hand", "pk"))
    django_tables2.RequestConfig(request, paginate={"per_page": AT_ONCE}).configure(table)
    known = classify_material(shown, request.workshop.region)
    context = {
        "material": shown,
        "on_hand": shown.show(shown.on_hand),
        "sheet": shown.safety_sheets.standing().first(),
        "facts": facts.of_material(shown, known, cups=request.workshop.cups),
        "table": table,
    }
    return render_to_string("shelf/_material.html", context, request)


def container(request, code):
    today = timezone.localdate()
    key = (
        code,
        request.GET.urlencode(),
        book_revision(),
        today,
        request.workshop.cups,
        request.workshop.region,
        qr.caution(request),
    )
    whole = fragment_cache.cached_fragment("container", *key, make=lambda: _whole(request, code, today))
    return render(request, "shelf/container.html", {"code": code, "whole": whole})


def _whole(request, code, today):
    """What is in a container and what happened to it, the same for everybody."""
    shown = _container(code)
    known = classify_material(shown.material, request.workshop.region)
    movements = shown.movements.select_related(*history.JOINED)
    page = paging.page(movements, request.GET, size=AT_ONCE)
    state = shown.state_on(today)
    context = {
        "container": shown,
        "state": state,
        "level": level(state),
        "facts": facts.of_container(shown, known, cups=request.workshop.cups),
        "first": facts.to_use_first(shown, today),
        "lines": history.of_movements(shown, page.rows),
        "page": page,
        "seen": history.counts_and_moves(shown),
        "chart": None if page.newer else history.chart(shown, page.rows),
        "caution": qr.caution(request),
        "past_by": shown.on_hand and shown.use_by_on and shown.use_by_on < today and shown.use_by_on,
    }
    return render_to_string("shelf/_container.html", context)


def choose_material(request):
    """What came? One tap, and its own page asks the rest. What is usual stands first."""
    words = request.GET.get("words", "").strip()
    offered = [] if words else [(OFTEN, material) for material in usual()]
    offered += [(material.category, material) for material in Material.objects.filter(name__icontains=words)]
    pages = [(group, each.name, "", reverse("shelf:receive", args=[each.pk])) for group, each in offered]
    context = {"question": "What came?", "choices": pages, "may_be_new": True, "may_be_sought": True, "words": words}
    return render(request, "shelf/choose.html", context)


def choose_container(request):
    """What is used? One tap, and its own page asks how much."""
    standing = Container.objects.at_hand().select_related("material")
    pages = [
        (jar.material.category, str(jar), jar.shown_on_hand(), reverse("shelf:use", args=[jar.code]))
        for jar in standing.order_by("material__category", "material__name", "pk")
    ]
    return render(request, "shelf/choose.html", {"question": "What is used?", "choices": pages, "may_be_several": True})


def receive(request, pk):
    received = get_object_or_404(Material, pk=pk)
    standing = received.containers.on_the_shelf().select_related("place").oldest_open_first()
    last = received.containers.order_by("-pk").first()
    initial = {"place": last.place_id} if last else {}
    form = ReceiveForm(request.POST or None, request=request, material=received, initial=initial)

    def act(**typed):
        entry = operations.receive(received, **typed)
        code = entry.movements.get().container.code
        messages.info(request, f"Write {code} on it: that is how it is found again.")
        return entry

    context = {"material": received, "standing": standing}
    return write(request, form, act, to=received, template="shelf/receive.html", context=context)


def count(request, code):
    return _write_amount(request, code, CountForm, operations.count, heading="Count it", submit="Write down the count")


def move(request, code):
    moved = _container(code)
    form = MoveForm(request.POST or None, request=request, initial={"place": moved.place_id})
    words = {"heading": "Move it", "submit": "Write down the move"}
    return _write_about(request, moved, form, operations.move, words)


def new_material(request):
    form = MaterialForm(request.POST or None, request=request)
    # what is new on the list is as a rule in somebody's hands
    to = lazy(
        lambda: reverse("shelf:receive", args=[Material.objects.get(name__iexact=form.cleaned_data["name"]).pk]), str
    )
    return _write_material(request, form, operations.add_material, to=to(), back=reverse("shelf:shelf"))


def change_material(request, pk):
    changed = get_object_or_404(Material, pk=pk)
    form = MaterialForm(request.POST or None, request=request, material=changed)
    to = changed.get_absolute_url()
    return _write_material(request, form, operations.change_material, to=to, back=to)


def new_place(request):
    form = PlaceForm(request.POST or None, request=request)
    context = {"places": Place.objects.all()}
    return write(
        request, form, operations.add_place, to="shelf:shelf", template="shelf/new_place.html", context=context
    )


def _container(code):
    return get_object_or_404(Container.objects.select_related("material", "place"), code=code)


def _write_amount(request, code, form_class, operation, **words):
    container = _container(code)
    form = form_class(request.POST or None, request=request, material=container.material)
    return _write_about(request, container, form, operation, words)


def _write_about(request, container, form, operation, words):
    context = {"container": container} | words
    act = partial(operation, container)
    return write(request, form, act, to=container, template="shelf/about.html", context=context)


def _write_material(request, form, operation, *, to, back):
    context = {"material": form.material, "back": back}
    return write(request, form, operation, to=to, template="shelf/material_form.html", context=context)
