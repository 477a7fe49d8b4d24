"""What asks the book nothing: wrong names, silent proxies, addresses that lead nowhere, what could not be made."""

import re
import sys
from functools import cache

from csp.utils import build_policy
from django.conf import settings
from django.contrib.staticfiles.storage import staticfiles_storage
from django.core.exceptions import DisallowedHost
from django.db import InterfaceError, OperationalError
from django.http import FileResponse, HttpResponse, HttpResponseNotAllowed, HttpResponseNotFound
from django.middleware.gzip import GZipMiddleware
from django.template import loader
from django.urls import Resolver404, resolve
from django.utils.translation import activate, get_language
from django.views.defaults import server_error

STATIC, DIGEST = "/static/", re.compile(r"\.[0-9a-f]{12}(?=\.[a-z0-9]+$)")
PLAIN = "text/plain; charset=utf-8"
METHODS = ("GET", "HEAD", "POST", "OPTIONS")
WRONG_HOST = "This book does not answer under {host}. Whoever keeps it adds that name to MORDANT_HOSTS."
SILENT_PROXY = (
    "The proxy in front of this book does not say how it was asked. Let it send X-Forwarded-Proto, "
    "or take https:// out of MORDANT_URL."
)


def said_plainly(get_response):
    """
    Answer a name that is not the book's, and a proxy that leaves out its header, by a sentence that names the setting.

    Without the header every request would look as if it had come by plain HTTP, and be sent to where it came from.
    """

    def middleware(request):
        try:
            request.get_host()
        except DisallowedHost:
            host = request.META.get("HTTP_HOST", "")
            return HttpResponse(WRONG_HOST.format(host=host[:100]), status=400, content_type=PLAIN)
        if settings.HTTPS and settings.PROXIES and "HTTP_X_FORWARDED_PROTO" not in request.META:
            return HttpResponse(SILENT_PROXY, status=400, content_type=PLAIN)
        # a view that knows no methods would answer any other as if it were GET
        return get_response(request) if request.method in METHODS else HttpResponseNotAllowed(METHODS)

    return middleware


def stumbled(request):
    """The page of what went wrong; of a node that has lost its database another one, which asks again by itself."""
    if not isinstance(sys.exc_info()[1], (OperationalError, InterfaceError)):
        return server_error(request)
    page = loader.get_template("503.html").render()
    return HttpResponse(page, status=503, headers={"Retry-After": "5"})


def packed(get_response):
    """
    Pages go over a slow line at a fifth of their length; files are as small as they get.

    Django puts random letters into each, so that its length tells nothing of a secret in it (BREACH).
    """
    packing = GZipMiddleware(get_response)

    def middleware(request):
        response = get_response(request)
        if response.streaming or not response.headers.get("Content-Type", "").startswith("text/"):
            return response
        return packing.process_response(request, response)

    return middleware


def content_policy(get_response):
    """The policy holds nothing of any one page, so it is put together once; an answer with a stricter one keeps it."""
    policy = build_policy()

    def middleware(request):
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", policy)
        return response

    return middleware


def known_addresses(get_response):
    """What leads nowhere is answered without asking who is there; most of it is asked by programs."""

    def middleware(request):
        # which language holds is asked with each address and each sentence; where none is set, that costs three times
        activate(settings.LANGUAGE_CODE)
        try:
            resolve(request.path_info)
        except Resolver404:
            return of_another_build(request.path_info) or HttpResponseNotFound(no_such_page(get_language()))
        return get_response(request)

    return middleware


def of_another_build(path: str) -> FileResponse | None:
    """Our own file for one that a page of the next or the last build asks for, while nodes are changed in turn."""
    name, renamed = DIGEST.subn("", path)
    kept = getattr(staticfiles_storage, "hashed_files", {}).get(name.removeprefix(STATIC))
    if not (renamed and name.startswith(STATIC) and kept):
        return None
    return FileResponse(staticfiles_storage.open(kept), filename=name, headers={"Cache-Control": "no-store"})


@cache
def no_such_page(language: str) -> str:
    return loader.render_to_string("404.html")
