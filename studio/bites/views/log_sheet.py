"""The log sheet of a bath for people without a telephone: printed, and typed in when it is full."""

from django.contrib import messages
from django.db import DatabaseError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry.ranges import OutOfRange
from inventory.book import AlreadyWritten
from inventory.models import Container, Material, Person
from studio.baths.models import Bath
from studio.bites import log_sheet
from studio.bites.forms.log_sheet import SheetRowForm
from studio.pages import errands
from studio.pages.writing import why_not_written
from studio.people.roles import writers_only
from studio.printing import papers

# as many as the page has on which a filled sheet is typed in
ROWS, AT_FIRST = 12, 2


def paper(request, pk):
    bath = get_object_or_404(Bath.objects.select_related("place"), pk=pk)
    context = {"bath": bath, "numbers": range(1, ROWS + 1), "units": request.workshop.units, "today": timezone.now()}
    title = _("Log sheet: %(bath)s") % {"bath": bath}
    return papers.answer(request, "bites/papers/log_sheet.html", context, title=title)


@writers_only
@errands.may_be_left
def type_in(request, pk):
    """All rows in one write; where one is refused nothing is written, and all that was typed stays."""
    bath = get_object_or_404(Bath, pk=pk)
    rows = rows_of(request, bath)
    filled = [row for row in rows if row.is_bound and not row.is_taken_up]
    # each of them says what is wrong with it, not the first alone
    if filled and all([is_in_order(row) for row in filled]) and written(request, filled, bath):
        return redirect(bath)
    is_empty = request.method == "POST" and not filled
    context = {"bath": bath, "rows": rows, "is_empty": is_empty, "is_refused": any(row.errors for row in filled)}
    context |= folded(rows)
    return render(request, "bites/type_log_sheet.html", context)


def folded(rows) -> dict:
    """Which rows stay folded away until one of them is filled in, and what all of them share."""
    more = rows[AT_FIRST:]
    return {
        "at_first": AT_FIRST,
        "more": len(more),
        "more_are_filled": any(row.is_bound for row in more),
        "ways": errands.ways_of(rows[0]),
        "form": next((row for row in rows if row.is_taken_up), None),
    }


def is_in_order(row) -> bool:
    """A line that was written before is passed over; changed since, it is asked about."""
    is_valid = row.is_valid()
    first = row.entry()
    row.stands = first is not None and row.meet_again(first) is not None
    return row.stands or (is_valid and not row.errors)


def written(request, filled, bath) -> bool:
    new = [row for row in filled if not row.stands]
    try:
        entries = log_sheet.write(bath, [row.sheet_row() for row in new])
    except AlreadyWritten:  # by the first of two taps, a moment ago
        return True
    except log_sheet.RowRefused as refused:
        new[refused.place].refuse(refused.refusal)
        return False
    except OutOfRange as error:
        new[0].refuse_figure(error, request.workshop.units)
        return False
    except DatabaseError as error:
        new[0].add_error(None, why_not_written(error))
        return False
    said = ngettext("Written: one line of the log.", "Written: %(count)s lines of the log.", len(entries))
    messages.success(request, said % {"count": len(entries)})
    return True


def rows_of(request, bath):
    """Asked once for the sheet: twelve forms would each ask for the same people and jars."""
    jars = list(Container.objects.for_bath(*Material.BATH_SALTS))
    people = list(Person.objects.at_work().exclude(account=request.user))
    return [row_form(request, number, bath, jars, people) for number in range(ROWS)]


def row_form(request, number, bath, jars, people):
    known = {"request": request, "bath": bath, "jars": jars, "prefix": f"row{number}"}
    form = errands.form_of(request, SheetRowForm, **known)
    if form.is_bound and form.is_blank:
        # nobody filled it in, so nothing in it is wrong
        form = SheetRowForm(**known)
        form.may_be_left = True
    form.number = number + 1
    done_by = form.fields["done_by"]
    done_by.choices = [("", done_by.empty_label), *((person.pk, str(person)) for person in people)]
    return form
