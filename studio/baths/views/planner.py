"""Mixing and topping up: worked out before anything is written."""

from django.shortcuts import get_object_or_404, render

from studio.baths.models import Bath


def mix(request, pk):
    return render(request, "baths/mix.html", {"bath": get_object_or_404(Bath, pk=pk)})


def top_up(request, pk):
    return render(request, "baths/top_up.html", {"bath": get_object_or_404(Bath, pk=pk)})
