"""The floor of every page: a Django view without middleware that answers "ok", on the server the book ships with."""

import os

from django.core.wsgi import get_wsgi_application
from django.http import HttpResponse
from django.urls import path

from studio.server.gateway import THREADS, Gateway

SECRET_KEY, ALLOWED_HOSTS, ROOT_URLCONF, MIDDLEWARE = "of nobody", ["*"], __name__, ()
BELOW = ""  # which the gateway asks
urlpatterns = [path("", lambda request: HttpResponse("ok"))]


def gateway() -> Gateway:
    os.environ["DJANGO_SETTINGS_MODULE"] = __name__
    return Gateway(get_wsgi_application(), threads=THREADS)
