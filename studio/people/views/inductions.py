"""Who is inducted for what: the list, its paper, and a line more."""

from functools import partial

from django.shortcuts import get_object_or_404, render

from inventory.models import Person
from studio.pages.writing import write
from studio.people import inductions as operations
from studio.people import register
from studio.people.forms.people import InductionForm
from studio.people.inductions import Task
from studio.people.roles import keyholder_required
from studio.printing import papers

LINES_TO_FILL = 3


def inductions(request):
    return render(request, "people/inductions.html", {"rows": register.rows(Person.objects.here()), "tasks": Task})


def paper(request):
    """For the wall or a folder; its last lines wait for a pen."""
    context = {"rows": register.rows(Person.objects.here()), "tasks": Task, "blank": range(LINES_TO_FILL)}
    return papers.answer(request, "people/papers/inductions.html", context, title="Who is inducted")


@keyholder_required
def induct(request, pk):
    person = get_object_or_404(Person.objects.here(), pk=pk)
    form = InductionForm(request.POST or None, request=request)
    to = person.get_absolute_url()
    context = {"person": person, "to": to, "heading": "Induct", "submit": "Write down the induction"}
    return write(
        request, form, partial(operations.induct, person), to=to, template="people/about.html", context=context
    )
