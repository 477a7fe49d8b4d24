def workshop(request):
    """The studio's row for every page: its name, units, region, and whether this is the demo."""
    return {"workshop": getattr(request, "workshop", None)}
