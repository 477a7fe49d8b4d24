"""What is recalled: a page, a paper to work through, and all lines as CSV."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.evidence import FILES, LOOKED_UP, entries
from studio.pages import spreadsheet
from studio.pages.views import ReadView
from studio.printing import papers
from studio.safety import evidence

TITLE = gettext_lazy("What is recalled")


class EvidenceView(ReadView):
    def get_part_data(self):
        return known()


def evidence_paper(request):
    return papers.answer(request, "safety/papers/evidence.html", known(), title=str(TITLE))


def evidence_csv(request):
    return spreadsheet.answer(_("How everything is known"), evidence.CSV_HEAD, evidence.rows())


def known() -> dict:
    groups = evidence.recalled()
    return {
        "groups": groups,
        "recalled": sum(len(group.lines) for group in groups),
        "all": len(entries()),
        "files": evidence.grades_of_files(),
        "words": evidence.WORDS.values(),
        "names": FILES,
        "looked_up": LOOKED_UP,
    }
