"""What the invented year knows of hazards."""

import pytest

from inventory.models import SafetySheet
from studio.baths.models import Bath
from studio.baths.status import status_of_baths
from studio.hazards import classification
from studio.printing import uploaded_pdf
from studio.safety import labels, overview, summaries
from studio.workshop.models import Workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def workshop(tallow_street):
    return Workshop.objects.get()


def words(workshop):
    return {row.material.name: row.hazards.word for row in overview.rows(workshop)}


def test_the_upright_tank_damages_eyes_and_harms_fish(workshop):
    [upright] = status_of_baths([Bath.objects.get(name="Upright tank")])

    assert classification.classify_bath(upright, workshop.region).now.codes == ("H318", "H400", "H411")


def test_the_small_tank_dried_past_what_its_label_says(workshop):
    outgrown = labels.outdated_labels(status_of_baths(list(Bath.objects.all())), workshop)

    assert "Small tank" in [str(each.label.thing) for each in outgrown]


def test_every_sort_of_knowledge_is_on_the_shelf(workshop):
    known = words(workshop)

    assert known["Lacquer thinner"] == known["Low-odour mineral spirit"] == "Danger"
    assert known["Dish soap"] == "Warning"
    assert known["Whiting (calcium carbonate)"] == "not classified"
    assert known["Metal polish"] == known["Soft ground, tin"] == "needs info"


def test_a_suppliers_sheet_goes_before_the_generic_spirit(workshop):
    spirit = next(row for row in overview.rows(workshop) if row.material.name == "Low-odour mineral spirit")

    assert spirit.hazards.codes == ("H226", "H304", "EUH066")
    assert spirit.hazards.supplier


def test_the_sheets_on_file_say_that_they_are_invented(workshop):
    sheets = SafetySheet.objects.standing()

    assert sheets.count() == 8
    with sheets[0].file.open() as file:
        assert uploaded_pdf.check(file) == sheets[0].sha256
        file.seek(0)
        assert b"Invented for the demo" in file.read()


def test_every_material_has_a_summary(workshop):
    materials = list(overview.asked_about())

    assert [summary.title for summary in summaries.summaries_of_materials(materials, workshop)] == [
        str(one) for one in materials
    ]
