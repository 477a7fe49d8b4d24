"""Codes printed on labels and shown beside figures."""

from functools import lru_cache
from urllib.parse import urlsplit

import segno
from django.conf import settings
from django.http import HttpRequest
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from studio.server import network


@lru_cache(maxsize=512)
def svg(url: str, *, title: str) -> SafeString:
    """A QR code as inline SVG with its quiet zone; print it 20 mm wide or more, or a phone will not read it."""
    # never the small kind of code: many phones cannot read it
    drawing = segno.make_qr(url, error="m").svg_inline(
        border=4, light="#fff", svgclass=None, lineclass=None, omitsize=True, title=title, desc=url
    )
    return mark_safe(drawing.replace("<svg ", '<svg role="img" ', 1))


def caution(request: HttpRequest) -> str:
    """What to say beside a code that no other machine could follow; empty where others can."""
    host = urlsplit(address(request, "/")).hostname or ""
    return _("opens on this machine only") if network.is_loopback(host) else ""


def address(request: HttpRequest, path: str) -> str:
    """Where a printed code leads: below MORDANT_URL, or below the address of whoever prints."""
    return network.public(path) if settings.PUBLIC_URL else request.build_absolute_uri(path)
