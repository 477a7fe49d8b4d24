"""Where each feature's pages begin."""

from django.contrib.auth.decorators import login_not_required
from django.templatetags.static import static
from django.urls import include, path
from django.utils.functional import lazy
from django.views.generic import RedirectView

from studio.people.beginning import begin
from studio.safety.views.room import FirstAidView
from studio.workshop import urls as workshop

# a book begins with its studio and its first keyholder at once, so that page is made where both are known
studio_pages = [*workshop.urlpatterns, path("begin/", begin, name="begin")]

urlpatterns = [
    path("", include("studio.bench.urls")),
    path("baths/", include("studio.baths.urls")),
    path("", include("studio.bites.urls")),
    path("cathodes/", include("studio.cathodes.urls")),
    path("waste/", include("studio.waste.urls")),
    path("safety/", include("studio.safety.urls")),
    path("shelf/", include("studio.shelf.urls")),
    path("orders/", include("studio.orders.urls")),
    path("book/", include("studio.book.urls")),
    path("people/", include("studio.people.urls")),
    path("studio/", include((studio_pages, workshop.app_name))),
    # browsers ask for it by this name, whatever a page says
    path("favicon.ico", login_not_required(RedirectView.as_view(url=lazy(static, str)("favicon.svg"))), name="favicon"),
    path("first-aid/", FirstAidView.as_view(), name="first_aid"),
]

handler500 = "studio.server.front.stumbled"
