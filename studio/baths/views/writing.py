"""Writing about a bath: each page ends as one entry."""

from django.shortcuts import get_object_or_404, render

from studio.baths.models import Bath, BathEvent


def set_up(request):
    return render(request, "baths/set_up.html")


def adopt_new(request):
    return render(request, "baths/adopt.html")


def change(request, pk):
    return render(request, "baths/change.html", {"bath": get_object_or_404(Bath, pk=pk)})


def adopt(request, pk):
    return render(request, "baths/adopt.html", {"bath": get_object_or_404(Bath, pk=pk)})


def add_solution(request, pk):
    return render(request, "baths/add_solution.html", {"bath": get_object_or_404(Bath, pk=pk)})


def read_level(request, pk):
    return render(request, "baths/read_level.html", {"bath": get_object_or_404(Bath, pk=pk)})


def read_hydrometer(request, pk):
    return render(request, "baths/read_hydrometer.html", {"bath": get_object_or_404(Bath, pk=pk)})


def titrate(request, pk):
    return render(request, "baths/titrate.html", {"bath": get_object_or_404(Bath, pk=pk)})


def strain(request, pk):
    return render(request, "baths/strain.html", {"bath": get_object_or_404(Bath, pk=pk)})


def drips(request, pk):
    return render(request, "baths/drips.html", {"bath": get_object_or_404(Bath, pk=pk)})


def take_out(request, pk):
    return render(request, "baths/take_out.html", {"bath": get_object_or_404(Bath, pk=pk)})


def spill(request, pk):
    return render(request, "baths/spill.html", {"bath": get_object_or_404(Bath, pk=pk)})


def cover(request, pk):
    return render(request, "baths/cover.html", {"bath": get_object_or_404(Bath, pk=pk)})


def bitten(request, pk):
    return render(request, "baths/bitten.html", {"bath": get_object_or_404(Bath, pk=pk)})


def answer(request, pk):
    return render(request, "baths/answer.html", {"reading": get_object_or_404(BathEvent, pk=pk)})
