import logging
from http import HTTPStatus

from django.conf import settings
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.shortcuts import resolve_url
from django.utils.cache import patch_cache_control
from django_htmx.http import HttpResponseClientRedirect

from studio.pages import errands
from studio.pages.writing import READS_ONLY
from studio.people import door, second_factor, sessions
from studio.people.roles import KEYHOLDER, MEMBER, VIEWER

log = logging.getLogger("studio.door")


# of the cookie that names the account whose stay was the last in this browser
LAST_HERE = f"{settings.SESSION_COOKIE_NAME}_last"
A_DAY_S = 86_400


class SignInFirst(LoginRequiredMiddleware):
    """What is sent after a stay has ended, as ten minutes of rest end one at the tablet, waits through signing in."""

    def handle_no_permission(self, request, view_func):
        if request.method == "POST" and getattr(view_func, "is_button", False):
            return redirect_to_login(errands.page_of_button(request), self.get_login_url(view_func))
        last = request.get_signed_cookie(LAST_HERE, default="", salt=LAST_HERE, max_age=A_DAY_S)
        if request.method == "POST" and last:
            errands.keep_for(request, last)
        return super().handle_no_permission(request, view_func)


def tell_who_was_here(request, response) -> None:
    """After a coming or a going, which leave their account on the request; see `door`."""
    account = getattr(request, "came_or_went", None)
    path, secure = settings.SESSION_COOKIE_PATH, settings.SESSION_COOKIE_SECURE
    if account:
        how = {"path": path, "secure": secure, "httponly": True, "samesite": "Lax", "max_age": A_DAY_S}
        response.set_signed_cookie(LAST_HERE, account, salt=LAST_HERE, **how)
    elif account is not None:
        response.delete_cookie(LAST_HERE, path=path, samesite="Lax")


def person(get_response):
    """
    Put the person and the role on the request.

    A keyholder who came in by PIN, or without the code that the studio asks for, does what a member may.
    """

    def middleware(request):
        account = request.user
        request.person = getattr(account, "person", None) if account.is_authenticated else None
        request.role = request.person.role if request.person else ""
        request.is_at_tablet = getattr(account, "is_at_tablet", False)
        if account.is_authenticated:
            sessions.keep_awake(request.session)
        if request.is_at_tablet:
            request.role = MEMBER if request.role == KEYHOLDER else request.role
        request.owes_code = (
            request.role == KEYHOLDER
            and request.workshop.asks_keyholders_for_code
            and not request.session.get(second_factor.BY_CODE)
        )
        request.role = MEMBER if request.owes_code else request.role
        request.is_keyholder, request.is_viewer = request.role == KEYHOLDER, request.role == VIEWER
        response = get_response(request)
        if response.status_code == HTTPStatus.FORBIDDEN:
            log.warning("refused %s %s to %s", request.method, request.path, door.who(request))
        if account.is_authenticated:
            # or the Back button would show the next person what the last one read
            patch_cache_control(response, no_store=True)
        tell_who_was_here(request, response)
        return response

    return middleware


class ViewersRead:
    """Middleware that lets a viewer send nothing but what concerns their own account."""

    OWN = ("people:sign_out", "people:own_password", "people:stays", "people:second_factor", "people:mail")

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        if not request.is_viewer or request.method in ("GET", "HEAD", "OPTIONS"):
            return
        if request.resolver_match.view_name not in self.OWN:
            raise PermissionDenied(READS_ONLY)


def sign_in_on_the_whole_page(get_response):
    """When a session has ended, a piece of a page must not be replaced by the sign-in page."""

    def middleware(request):
        response = get_response(request)
        if request.htmx and response.headers.get("Location", "").startswith(resolve_url(settings.LOGIN_URL)):
            return HttpResponseClientRedirect(request.htmx.current_url_abs_path or resolve_url("bench:bench"))
        return response

    return middleware
