"""Who is inducted for what: the list, its paper, and a line more."""

from django.shortcuts import render

from inventory.models import Person
from studio.people import inductions as operations
from studio.people.forms.people import InductionForm
from studio.people.inductions import Task
from studio.people.views.people import AboutSomebodyView
from studio.printing import papers

LINES_TO_FILL = 3


def inductions(request):
    return render(request, "people/inductions.html", {"rows": operations.rows(Person.objects.here()), "tasks": Task})


def paper(request):
    """For the wall or a folder; its last lines wait for a pen."""
    context = {"rows": operations.rows(Person.objects.here()), "tasks": Task, "blank": range(LINES_TO_FILL)}
    return papers.answer(request, "people/papers/inductions.html", context, title="Who is inducted")


induct = AboutSomebodyView.as_view(
    form_class=InductionForm,
    operation=operations.induct,
    queryset=Person.objects.here(),
    keyholder_only=True,
    words={"heading": "Induct", "submit": "Write down the induction"},
)
