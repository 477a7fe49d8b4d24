import pytest
from django.urls import reverse

from tests.factories import WorkshopFactory, adopted

pytestmark = pytest.mark.django_db


def test_a_live_plan_whose_session_has_ended_sends_the_whole_page_to_sign_in(client):
    WorkshopFactory()
    page = reverse("baths:top_up", args=[adopted().pk])

    answer = client.get(page, headers={"hx-request": "true", "hx-current-url": f"http://testserver{page}"})

    assert answer.headers["HX-Redirect"] == page
    assert not answer.content


def test_a_page_asked_for_by_itself_leads_to_sign_in_as_ever(client):
    WorkshopFactory()

    answer = client.get(reverse("baths:list"))

    assert answer.status_code == 302
