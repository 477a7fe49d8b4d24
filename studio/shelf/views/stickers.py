"""Stickers with a code that opens the container's safety summary, and from there its page."""

from django import forms
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from inventory.models import Container
from studio.drawing import qr
from studio.pages.fields import OfJars, PlainForm, WholeNumberField
from studio.printing import papers
from studio.shelf import stickers

AT_ONCE = 120


class JarsField(OfJars, forms.MultipleChoiceField):
    pass


class StickersForm(PlainForm):
    stock = forms.ChoiceField(
        label=gettext_lazy("Sheets of"), choices=[(stock.id, stock.name) for stock in stickers.STOCKS.values()]
    )
    start = WholeNumberField(
        label=gettext_lazy("First free sticker"),
        min_value=1,
        initial=1,
        help_text=gettext_lazy("Counted along the rows, so that a sheet begun before is used up."),
    )
    codes = JarsField(label=gettext_lazy("For"), widget=forms.CheckboxSelectMultiple)

    def __init__(self, *args, containers, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["codes"].choices = [(jar.code, str(jar)) for jar in containers]

    def clean(self):
        typed = super().clean()
        stock = stickers.STOCKS.get(typed.get("stock", ""))
        if stock and typed.get("start", 0) > stock.on_a_sheet:
            words = ngettext(
                "There is %(number)s sticker on such a sheet.",
                "There are %(number)s stickers on such a sheet.",
                stock.on_a_sheet,
            )
            self.add_error("start", words % {"number": stock.on_a_sheet})
        return typed


def sheet(request):
    """Choose what gets a sticker, the latest first; then the sheets to print."""
    containers = list(Container.objects.at_hand().select_related("material").order_by("-pk")[:AT_ONCE])
    form = StickersForm(request.GET if "stock" in request.GET else None, containers=containers)
    if not (form.is_bound and form.is_valid()):
        form.initial |= {"codes": request.GET.getlist("codes")}
        form.initial |= {"stock": "letter-30" if request.workshop.paper == "Letter" else "a4-24"}
        context = {"form": form, "containers": containers, "caution": qr.caution(request)}
        return render(request, "shelf/stickers.html", context)
    wanted = set(form.cleaned_data["codes"])
    chosen = sorted((jar for jar in containers if jar.code in wanted), key=lambda jar: jar.pk)
    stock = stickers.STOCKS[form.cleaned_data["stock"]]
    return stickers_paper(request, chosen, stock, title="Stickers", start=form.cleaned_data["start"])


def single(request, code):
    container = get_object_or_404(Container.objects.select_related("material").with_code(code))
    return stickers_paper(request, [container], stickers.SINGLE, title=_("Sticker %(code)s") % {"code": container.code})


def stickers_paper(request, containers, stock, *, title, start=1):
    # to the summary and not to the jar's own page: whoever scans it in a fright has not signed in
    pages = ((jar, reverse("safety:open_container", args=[jar.code])) for jar in containers)
    drawn = [
        (jar, qr.svg(qr.address(request, page), title=_("Opens the safety summary of %(code)s") % {"code": jar.code}))
        for jar, page in pages
    ]
    context = {"stock": stock, "sheets": stickers.sheets(drawn, stock, start=start)}
    return papers.answer(request, "shelf/papers/stickers.html", context, title=title, page=stock.page)
