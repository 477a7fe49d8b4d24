"""What no page and no paper says to a member."""

import re
from pathlib import Path

from django.conf import settings
from django.template import engines

TEMPLATES = Path(settings.TEMPLATES[0]["DIRS"][0])
# whoever runs the machine reads this one
OF_THE_MACHINE = {"workshop/studio.html"}
SETTINGS = re.compile(r"\b(MORDANT|DJANGO)_[A-Z]+|\bDATABASE_URL\b")


def test_no_page_names_a_setting_of_the_machine_but_the_one_about_it():
    naming = {
        str(path.relative_to(TEMPLATES))
        for path in TEMPLATES.rglob("*.*")
        if SETTINGS.search(re.sub(r"\{#.*?#\}", "", path.read_text()))
    }

    assert naming == OF_THE_MACHINE


def test_a_sentence_is_filled_with_what_the_page_would_show_there():
    template = engines["django"].from_string(
        "{% blocktranslate trimmed %}Summary: {{ title }}, {{ absent }}{% endblocktranslate %}"
    )

    assert template.render({"title": lambda: "Lye & water"}) == "Summary: Lye &amp; water, "
