from io import BytesIO
from types import SimpleNamespace

import pypdf
import pytest
from django.template.loader import render_to_string
from django.urls import reverse

from chemistry.hazards.advice import advice
from studio.safety import wall
from tests.factories import BathFactory


@pytest.fixture
def opened(settings):
    """The page as somebody sees it who has not signed in."""
    settings.ROOT_URLCONF = "tests.studio.sheet"

    def page(**lines):
        studio = {"name": "Tallow Street", "emergency_line": "", "poison_line": "", "keyholder_line": ""}
        return render_to_string(
            "safety/first_aid.html", {"workshop": SimpleNamespace(**studio | lines), "sections": wall.sections()}
        )

    return page


def test_the_eye_comes_before_everything_else(opened):
    page = opened()

    assert page.index("<h2") == page.index('<h2 id="eye">') and "In the eye: rinse now</h2>" in page
    assert "at least 15 minutes" in page


def test_the_eye_is_told_in_the_same_words_wherever_it_is_told(member, stranger, studio):
    bath = BathFactory()
    card = pypdf.PdfReader(BytesIO(member.get(reverse("baths:card", args=[bath.pk])).content))
    told = {
        "first aid": stranger.get(reverse("first_aid")).content.decode(),
        "wall": stranger.get(reverse("safety:wall")).content.decode(),
        "report": member.get(reverse("waste:report")).content.decode(),
        "card": " ".join(" ".join(page.extract_text().split()) for page in card.pages),
    }

    for said in advice("eyes", ["eye_dam_1"], []):
        assert [name for name, words in told.items() if said.text not in words] == [], said.text


def test_a_number_in_the_book_is_one_touch_away(opened):
    page = opened(emergency_line="112", keyholder_line="+31 20 555 0142")

    assert 'href="tel:112"' in page and 'href="tel:+31205550142"' in page


def test_a_number_the_studio_has_not_written_is_a_line_to_write_on(opened):
    assert opened().count('class="blank"') == 3


def test_nothing_is_asked_before_it_helps(opened):
    page = opened()

    assert not any(asked in page for asked in ("<form", "<input", "<select", "<textarea"))
