"""What to order and what is on its way: the page, the paper, the file, and one material's own."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils import timezone

from inventory.models import Material
from studio.book.revision import book_revision
from studio.drawing import charts
from studio.orders import descriptions, order_list, stock, working
from studio.orders.forms import HorizonForm
from studio.orders.models import Pack, Supplier
from studio.pages import fragment_cache, spreadsheet
from studio.printing import papers

CSV_HEAD = ["Supplier", "Material", "Left", "State", "Packs", "Of", "Supplier’s code", "Price of one", "Together"]
CSV_HEAD += ["Ordered by", "Ordered on", "Came so far"]


def orders(request):
    months = HorizonForm(request.GET).chosen()
    workshop = request.workshop
    seen = (months, book_revision(), timezone.localdate(), workshop.currency, request.is_keyholder)
    whole = fragment_cache.cached_fragment("orders", *seen, make=lambda: _whole(request, months))
    return render(request, "orders/orders.html", {"whole": whole})


def _whole(request, months: int) -> str:
    """The list, the same for all members and for all keyholders."""
    parts = order_list.parts(timezone.now(), months=months)
    context = {
        "parts": parts,
        "horizon": HorizonForm({"months": months}),
        "may_order": request.is_keyholder,
        "currency": request.workshop.currency,
        "has_packs": any(part.supplier for part in parts) or Pack.objects.exists(),
    }
    return render_to_string("orders/_orders.html", context)


def paper(request):
    months = HorizonForm(request.GET).chosen()
    context = {
        "parts": order_list.parts(timezone.now(), months=months),
        "months": months,
        "currency": request.workshop.currency,
    }
    return papers.answer(request, "orders/papers/order_list.html", context, title="Order list")


def orders_csv(request):
    parts = order_list.parts(timezone.now(), months=HorizonForm(request.GET).chosen())
    return spreadsheet.answer("order list", CSV_HEAD, [row for part in parts for row in order_list.csv_rows(part)])


def material(request, pk):
    shown = get_object_or_404(Material, pk=pk)
    now, months = timezone.now(), HorizonForm(request.GET).chosen()
    of_it = stock.of(shown, now)
    context = {
        "stock": of_it,
        "material": shown,
        "on_hand": shown.show(of_it.on_hand),
        "horizon": HorizonForm({"months": months}),
        "buys": working.buys(of_it, months, timezone.localdate(), request.workshop.currency),
        "told": working.of(of_it),
        "next_order": descriptions.next_order(of_it, timezone.localdate()),
        "up_to": descriptions.up_to(of_it),
        "chart": _chart(of_it, now),
        "lines": of_it.awaited,
        "suppliers": Supplier.objects.all() if request.is_keyholder and not of_it.packs else (),
    }
    return render(request, "orders/material.html", context)


def how_it_goes(request, pk):
    """The short of it, for the material's page on the shelf; where no script fetches it, the whole of it."""
    if not request.htmx:
        return redirect("orders:material", pk)
    fragment = fragment_cache.cached_fragment(
        "how-it-goes", pk, book_revision(), timezone.localdate(), make=lambda: _how_it_goes(pk)
    )
    return HttpResponse(fragment)


def _how_it_goes(pk):
    of_it, now = stock.of(get_object_or_404(Material, pk=pk), timezone.now()), timezone.now()
    context = {
        "stock": of_it,
        "told": working.of(of_it)[:1],
        "next_order": descriptions.next_order(of_it, timezone.localdate()),
        "chart": _chart(of_it, now),
    }
    return render_to_string("orders/_how_it_goes.html", context)


def _chart(of_it, now):
    """Use by month, where there is any to draw."""
    months = working.named_months(of_it, now)
    if not any(used > 0 for _, used in months):
        return None
    return charts.columns(
        [(name, max(used, 0.0)) for name, used in months],
        title=f"Used of {of_it.material} in each whole month",
        unit=of_it.material.shown_unit,
    )
