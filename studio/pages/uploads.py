"""What people bring along as files is refused by its announced size before anything reads it."""

from django.shortcuts import render

LARGEST_BYTES = 10_000_000
AROUND_IT = 100_000  # the other fields of a form and the lines between them


class TooLarge:
    """Middleware that answers what is larger than any file here by its announced length, before reading it."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not length.isdigit() or int(length) <= LARGEST_BYTES + AROUND_IT:
            return None
        return render(
            request, "413.html", {"sent": shown_size(int(length)), "most": shown_size(LARGEST_BYTES)}, status=413
        )


def shown_size(size: int) -> str:
    """
    >>> shown_size(2_147_483_648), shown_size(10_000_000)
    ('2.1 GB', '10 MB')
    """
    return f"{size / 1e9:.1f} GB" if size >= 1e9 else f"{size / 1e6:.0f} MB"
