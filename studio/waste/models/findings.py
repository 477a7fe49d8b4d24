from django.db import models
from django.utils.translation import gettext as _

from chemistry.measured import digits
from chemistry.waste.vocabulary import VOCABULARY, Property
from inventory.wording import translated
from studio.waste.models.drums import Drum, DrumLine


class Finding(DrumLine):
    """
    What somebody found out about a drum because the rules ask for it; a later one goes before it.

    key: of chemistry's vocabulary. answer: True or False, a word, words, or the two ends of a number.
    """

    drum = models.ForeignKey(Drum, on_delete=models.PROTECT, related_name="findings")
    key = models.CharField(max_length=40)
    answer = models.JSONField()

    @property
    def about(self) -> Property:
        return VOCABULARY[self.key]

    @property
    def value(self) -> object:
        """As chemistry takes it."""
        is_range = isinstance(self.answer, list) and self.about.kind == "number"
        return tuple(self.answer) if is_range else self.answer

    def __str__(self):
        return _("%(property)s: %(answer)s") % {"property": translated(self.about.name), "answer": self._said()}

    def _said(self) -> str:
        if isinstance(self.answer, bool):
            return _("yes") if self.answer else _("no")
        if isinstance(self.answer, list) and self.about.kind == "any of":
            return ", ".join(self.answer) or _("none")
        if isinstance(self.answer, list):
            low, high = (digits(end) for end in self.answer)
            span = low if low == high else _("%(low)s to %(high)s") % {"low": low, "high": high}
            return f"{span} {translated(self.about.unit)}".strip()
        return str(self.answer)
