"""What a supplier's sheet says, copied by a keyholder."""

from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Entry
from studio.hazards import classification
from studio.hazards.models import SupplierClasses
from tests.factories import MaterialFactory
from tests.studio.safety.shop import made_of

pytestmark = pytest.mark.django_db

SHEET = {
    "sheet_on": "2025-03-03",
    "signal_word": "Warning",
    "pictograms": ["GHS07"],
    "hazards": "H319\nEUH208 Contains a preservative. May produce an allergic reaction.",
    "precautions": "P305+P351+P338",
}


def copy(browser, material, **typed):
    return browser.post(reverse("safety:copy_classes", args=[material.pk]), {"key": uuid4()} | typed)


def errors(response, field):
    return " ".join(response.context["form"].errors.get(field, []))


def test_a_copied_sheet_goes_before_the_sum_and_says_who_and_when(keyholder):
    polish = made_of(("acetone", 100, 100), name="Metal polish")

    response = copy(keyholder, polish, **SHEET)

    assert response.headers["Location"] == reverse("safety:list")
    found = classification.classify_material(polish, "eu")
    assert found.codes == ("H319", "EUH208")
    assert found.supplier.entry.done_by == keyholder.person
    assert Entry.objects.latest("pk").subject == "Copied what the sheet of Metal polish says: Warning: H319, EUH208"


def test_a_double_tap_copies_once(keyholder):
    polish, key = MaterialFactory(), uuid4()

    for _ in range(2):
        copy(keyholder, polish, **SHEET | {"key": key})

    assert SupplierClasses.objects.count() == 1


def test_a_sheet_without_classes_is_said_in_so_many_words(keyholder):
    soap = MaterialFactory()

    refused = copy(keyholder, soap, sheet_on="2025-03-03")
    copy(keyholder, soap, sheet_on="2025-03-03", is_not_classified="on")

    assert "tick that the sheet gives no class" in errors(refused, "hazards")
    assert classification.classify_material(soap, "eu").word == "not classified"


def test_a_tick_beside_statements_is_a_slip(keyholder):
    response = copy(keyholder, MaterialFactory(), **SHEET | {"is_not_classified": "on"})

    assert "take the tick away" in errors(response, "hazards")


def test_a_milder_signal_word_than_any_standard_has_is_questioned(keyholder):
    response = copy(keyholder, MaterialFactory(), **SHEET | {"hazards": "H318"})

    assert errors(response, "signal_word") == "H318 comes with Danger in every standard: look at the sheet again."
    assert not SupplierClasses.objects.exists()


def test_a_sheet_of_tomorrow_is_refused_and_what_was_typed_is_kept(keyholder):
    response = copy(keyholder, MaterialFactory(), **SHEET | {"sheet_on": "2199-01-01"})

    assert "has not come yet" in errors(response, "sheet_on")
    assert "EUH208 Contains a preservative" in response.content.decode()


def test_the_form_shows_what_was_copied_last(keyholder):
    polish = MaterialFactory()
    copy(keyholder, polish, **SHEET)

    page = keyholder.get(reverse("safety:copy_classes", args=[polish.pk])).content.decode()

    assert "H319 Causes serious eye irritation." in page
    assert f"Copied last by {keyholder.person}" in page


def test_a_member_leaves_this_to_a_keyholder(member):
    assert copy(member, MaterialFactory(), **SHEET).status_code == 403
    assert not SupplierClasses.objects.exists()
