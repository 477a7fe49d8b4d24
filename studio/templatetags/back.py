"""The way back."""

from django import template
from django.utils.http import url_has_allowed_host_and_scheme

register = template.Library()


@register.simple_tag(takes_context=True)
def came_from(context) -> str:
    """The page of this book from which a link was followed; empty where the browser does not say, or it is this one."""
    request = context["request"]
    page = request.META.get("HTTP_REFERER", "")
    is_ours = url_has_allowed_host_and_scheme(page, {request.get_host()})
    return page if is_ours and page != request.build_absolute_uri() else ""
