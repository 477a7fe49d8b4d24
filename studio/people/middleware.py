def person(get_response):
    """Put the person and the role on the request; both came with the account."""

    def middleware(request):
        account = request.user
        request.person = getattr(account, "person", None) if account.is_authenticated else None
        request.is_keyholder = bool(getattr(account, "is_keyholder", False))
        return get_response(request)

    return middleware
