"""The way back."""

from django import template
from django.utils.http import url_has_allowed_host_and_scheme

from studio.pages import errands

register = template.Library()
register.filter(errands.way_of)


@register.simple_tag(takes_context=True)
def errand_for(context) -> str:
    """The form that waits until what this page is for is done."""
    return errands.way_back(context["request"]) if "request" in context else ""


@register.simple_tag(takes_context=True)
def onward(context, url: str) -> str:
    """The address of the next page of the same errand."""
    return errands.with_back(url, errand_for(context))


@register.simple_tag(takes_context=True)
def with_back(context, url: str) -> str:
    """The address of a page that leads back to this one."""
    return errands.with_back(url, context["request"].get_full_path())


@register.simple_tag(takes_context=True)
def came_from(context) -> str:
    """The page of this book from which a link was followed; empty where the browser does not say, or it is this one."""
    request = context["request"]
    page = request.META.get("HTTP_REFERER", "")
    is_ours = url_has_allowed_host_and_scheme(page, {request.get_host()})
    return page if is_ours and page != request.build_absolute_uri() else ""
