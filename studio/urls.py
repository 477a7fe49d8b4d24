"""Where each feature's pages begin."""

from django.contrib.auth.decorators import login_not_required
from django.urls import include, path
from django.views.generic import TemplateView

first_aid = login_not_required(TemplateView.as_view(template_name="safety/first_aid.html"))

urlpatterns = [
    path("", include("studio.bench.urls")),
    path("baths/", include("studio.baths.urls")),
    path("shelf/", include("studio.shelf.urls")),
    path("book/", include("studio.book.urls")),
    path("people/", include("studio.people.urls")),
    path("studio/", include("studio.workshop.urls")),
    path("first-aid/", first_aid, name="first_aid"),
]
