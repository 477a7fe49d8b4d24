"""F1: what a signed-in page costs before it says anything. Left alone, so that ratios of other days compare with it."""

from django.http import HttpResponse


def ok(request):
    return HttpResponse("ok")
