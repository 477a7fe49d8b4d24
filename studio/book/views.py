import zoneinfo
from string import hexdigits

from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import DatabaseError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory import book as written
from inventory import seals
from inventory.book import Signed
from inventory.dates import iso_minute
from inventory.models import Entry, Seal
from inventory.refusals import Refused
from studio.book import paging
from studio.book.filters import BookFilter
from studio.pages import errands, spreadsheet
from studio.pages.fields import PlainForm
from studio.pages.views import ReadView
from studio.pages.writing import why_not_written
from studio.people.roles import may_strike, writers_only

AT_ONCE = 25
LEAST_OF_A_CODE = 8
CSV_HEAD = ["Number", "Happened", "Written", "Kind", "What", "Done by", "Written by", "Note"]
CSV_HEAD += ["Struck", "Struck by", "Why struck"]
ENTRIES = Entry.objects.select_related("done_by", "struck_by", "recorded_by__person")


class StrikeForm(PlainForm):
    reason = forms.CharField(
        label=gettext_lazy("Why it is struck"),
        max_length=200,
        error_messages={
            "required": gettext_lazy("Say why, in a few words; the line stays readable with your reason beside it.")
        },
        help_text=gettext_lazy("The line stays readable, with your name and this reason beside it."),
    )


class BookView(ReadView):
    def get_context_data(self):
        return {"asked": self.request.GET.urlencode()}

    def get_part_data(self):
        asked = self.request.GET
        by = BookFilter(asked, queryset=Entry.objects.select_related("done_by", "struck_by"))
        entries = by.qs if by.is_valid() else Entry.objects.none()
        among = Entry.objects.all() if asked.get("text") else None
        return {"page": paging.page(entries, asked, size=AT_ONCE, among=among), "form": by.form, "asked": asked}


def book_csv(request):
    """The lines that the page's filter shows, as a file, oldest first."""
    asked = BookFilter(request.GET, queryset=ENTRIES.all())
    entries = asked.qs if asked.is_valid() else Entry.objects.none()
    here = zoneinfo.ZoneInfo(request.workshop.time_zone)
    return spreadsheet.answer("book", CSV_HEAD, (csv_row(entry, here) for entry in paging.every(entries)))


class SealForm(PlainForm):
    code = forms.CharField(
        label=_("Code on the paper"),
        max_length=80,
        help_text=_("Its first two groups of letters and digits are enough."),
    )

    def clean_code(self):
        code = "".join(self.cleaned_data["code"].split()).lower()
        if len(code) < LEAST_OF_A_CODE or not set(code) <= set(hexdigits):
            raise ValidationError(_("Eight letters or more, of 0 to 9 and a to f."))
        return code


def seals_of_the_book(request):
    """What was sealed, and, for a code on paper, whether what that seal covers still stands as it was."""
    form = SealForm(request.GET or None)
    context = {"form": form, "latest": Seal.objects.defer("marks").order_by("-pk")[:AT_ONCE]}
    if form.is_valid():
        context["sought"] = sought = Seal.objects.filter(digest__startswith=form.cleaned_data["code"]).first()
        context["error"] = sought and seals.error_of(sought, Seal.objects.filter(pk__lt=sought.pk).last())
    return render(request, "book/seals.html", context)


def entry(request, pk):
    shown = get_object_or_404(ENTRIES, pk=pk)
    context = {"entry": shown, "changes": shown.changes(), "may_strike": may_strike(request, shown)}
    return render(request, "book/entry.html", context)


@writers_only
@errands.may_be_left
def strike(request, pk):
    struck = get_object_or_404(ENTRIES, pk=pk)
    if not may_strike(request, struck):
        raise PermissionDenied(_("%(done_by)s or a keyholder strikes this line.") % {"done_by": struck.done_by})
    # somebody else may have been quicker; their reason stands on the page of the line
    if struck.is_struck:
        return redirect(struck)
    form = errands.form_of(request, StrikeForm)
    if form.is_valid():
        by = Signed(done_by=request.person, recorded_by=request.user)
        try:
            written.strike(struck, by=by, **form.cleaned_data)
        except Refused as refusal:
            form.add_error("reason", refusal)
        except DatabaseError as error:
            form.add_error("reason", why_not_written(error))
        else:
            messages.success(request, _("Struck: %(struck)s.") % {"struck": struck})
            return redirect(struck)
    stands = None if form.is_bound and not form.is_taken_up else written.refusal_of_strike(struck)
    context = {"entry": struck, "changes": struck.changes(), "form": form, "stands": stands}
    return render(request, "book/strike.html", context)


def csv_row(entry, here):
    by = entry.recorded_by
    return [
        entry.pk,
        iso_minute(entry.happened_at, here),
        iso_minute(entry.recorded_at, here),
        entry.kind,
        entry.subject,
        str(entry.done_by),
        str(getattr(by, "person", by)) if by else "",
        entry.note,
        iso_minute(entry.struck_at, here),
        str(entry.struck_by or ""),
        entry.strike_reason,
    ]
