"""Whether the campaigns know how to fill in every form; each of them is no better than that."""

import pytest

from tests.campaigns import forms
from tests.test_access import thrown_away


@pytest.mark.campaign
@pytest.mark.filterwarnings("ignore")  # a document that is handed out stays open until it was sent
def test_every_form_of_every_page_is_taken(db, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    addresses, client, refused = forms.addresses(), forms.keyholder(), {}
    found = [each for each in forms.writing_pages(client, addresses) if forms.is_by_hand(each[0])]

    for name, address, number in found:
        with thrown_away():
            sent = forms.fill_and_send(forms.again(client), address, number, forms.plain_words)
            if not sent.is_taken:
                refused[name, number] = forms.said_of(sent)

    assert len(found) > 100 and refused == {}
