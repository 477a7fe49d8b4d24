"""Passwords that others would try first are refused, whatever letters they mix."""

from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

# 0 to 4; below it ten to the eighth tries are enough. Source: D. Wheeler, "zxcvbn", USENIX Security 2016 (from memory)
LEAST_SCORE = 3
LONGEST_JUDGED = 72  # what is longer is judged by its beginning: the estimate takes longer with every letter
OF_THE_TRADE = ("mordant", "copper", "etching", "intaglio", "printmaker")


class Guessable:
    """Estimates how many tries it takes, from lists of leaked passwords, names, dates, keyboard runs and patterns."""

    def validate(self, password: str, user: Any = None) -> None:
        from zxcvbn import zxcvbn  # its lists take memory, and a password is rarely chosen

        about = [user.get_username(), user.first_name] if user else []
        if zxcvbn(password[:LONGEST_JUDGED], user_inputs=[*OF_THE_TRADE, *filter(None, about)])["score"] < LEAST_SCORE:
            raise ValidationError(_("Others would guess that too soon. Take four words that do not belong together."))

    def get_help_text(self) -> str:
        return _("Four words that do not belong together are good, and easily kept in mind.")
