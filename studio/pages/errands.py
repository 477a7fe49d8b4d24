"""
An errand on the way: a form is left for another page, which comes back to it with all that was typed.

What was typed waits in the session, under the page's address. A field leads to the page that makes what it chooses from
(`MADE_AT` of its model), a refusal to the pages that help; every form of an `EntryView` that sends no file does so.

A form that is sent after its stay has ended waits in the same way, while its typist signs in again.
"""

from typing import Any
from urllib.parse import urlencode, urlsplit

from django import forms
from django.contrib.sessions.backends.base import SessionBase
from django.http import HttpRequest, HttpResponseBase, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.http import url_has_allowed_host_and_scheme

LEAVE, BACK = "leave", "back"  # the name of the buttons that lead away, and what the address says of the way back
TYPED, TYPIST = "typed", "typist"
MOST_WAITING, LONGEST_TYPED = 8, 20_000
OF_THE_BROWSER = ("csrfmiddlewaretoken", LEAVE)


def set_out(request: HttpRequest) -> HttpResponseBase | None:
    """To the page that a button of the form names, once what was typed is kept; None for any other button."""
    to = request.POST.get(LEAVE, "")
    if not is_ours(to, request):
        return None
    keep(request)
    return redirect(with_back(to, request.get_full_path()))


def keep(request: HttpRequest) -> None:
    typed = request.POST.copy()
    for name in OF_THE_BROWSER:
        typed.pop(name, None)
    waiting = {**request.session.get(TYPED, {})}
    waiting.pop(request.path, None)
    if len(text := typed.urlencode()) <= LONGEST_TYPED:
        waiting[request.path] = text
    request.session[TYPED] = dict(list(waiting.items())[-MOST_WAITING:])


def keep_for(request: HttpRequest, account: str) -> None:
    """What somebody sent whose stay had ended; nobody else who signs in here is shown it."""
    if request.session.get(TYPIST) != account:
        request.session.pop(TYPED, None)
    keep(request)
    request.session[TYPIST] = account


def take_up(session: SessionBase, account: str) -> None:
    """Somebody has signed in."""
    typist = session.pop(TYPIST, None)
    if typist and typist != account:
        session.pop(TYPED, None)


def waiting(request: HttpRequest) -> QueryDict | None:
    """What was typed here before somebody went on an errand."""
    text = request.session.get(TYPED, {}).get(request.path)
    return QueryDict(text) if text else None


def written(request: HttpRequest) -> None:
    """What was typed here waits no longer."""
    kept = request.session.get(TYPED, {})
    if kept.pop(request.path, None):
        request.session[TYPED] = kept


def way_back(request: HttpRequest) -> str:
    """The form whose errand this page is; empty where it is none."""
    back = request.GET.get(BACK, "")
    return back if is_ours(back, request) else ""


def with_back(url: str, back: str) -> str:
    """The address of a page that is part of the errand."""
    if not back:
        return url
    return f"{url}{'&' if urlsplit(url).query else '?'}{urlencode({BACK: back})}"


def is_ours(url: str, request: HttpRequest) -> bool:
    return url.startswith("/") and url_has_allowed_host_and_scheme(url, {request.get_host()})


def way_of(field: forms.BoundField) -> tuple[str | Promise, str] | None:
    """Where what a field chooses from is made, in words and as an address, if its form may be left for it."""
    form: Any = field.form
    made_at = getattr(getattr(getattr(field.field, "queryset", None), "model", None), "MADE_AT", None)
    if not (made_at and getattr(form, "may_be_left", False)):
        return None
    words, page, by_keyholders = made_at
    return None if by_keyholders and not form.request.is_keyholder else (words, reverse(page))
