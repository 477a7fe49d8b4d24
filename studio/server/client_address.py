"""Whose request this is."""

from django.conf import settings


def address(request) -> str:
    """
    The address sign-in attempts are counted by.

    Behind MORDANT_PROXIES proxies it is the entry the outermost of them wrote, counted from the right of
    X-Forwarded-For; what stands further left was written by the client and proves nothing.
    """
    trail = [hop.strip() for hop in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")]
    if settings.PROXIES and len(trail) >= settings.PROXIES:
        return trail[-settings.PROXIES] or request.META["REMOTE_ADDR"]
    return request.META["REMOTE_ADDR"]
