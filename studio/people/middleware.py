from django.conf import settings
from django.shortcuts import resolve_url
from django_htmx.http import HttpResponseClientRedirect


def person(get_response):
    """Put the person and the role on the request; both came with the account."""

    def middleware(request):
        account = request.user
        request.person = getattr(account, "person", None) if account.is_authenticated else None
        request.is_keyholder = bool(getattr(account, "is_keyholder", False))
        return get_response(request)

    return middleware


def sign_in_on_the_whole_page(get_response):
    """When a session has ended, a piece of a page must not be replaced by the sign-in page."""

    def middleware(request):
        response = get_response(request)
        if request.htmx and response.headers.get("Location", "").startswith(resolve_url(settings.LOGIN_URL)):
            return HttpResponseClientRedirect(request.htmx.current_url_abs_path or resolve_url("bench:bench"))
        return response

    return middleware
