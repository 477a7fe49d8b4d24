"""Reading a bath: its page, its log, its papers."""

from django.shortcuts import get_object_or_404, render

from studio.baths.models import Bath


def baths(request):
    return render(request, "baths/list.html", {"baths": Bath.objects.select_related("place")})


def bath(request, pk):
    return render(request, "baths/bath.html", {"bath": get_object_or_404(Bath, pk=pk)})


def log_csv(request, pk):
    return render(request, "baths/log.csv", {"bath": get_object_or_404(Bath, pk=pk)}, content_type="text/csv")


def card(request, pk):
    return render(request, "baths/card.html", {"bath": get_object_or_404(Bath, pk=pk)})


def vessel_label(request, pk):
    return render(request, "baths/vessel_label.html", {"bath": get_object_or_404(Bath, pk=pk)})
