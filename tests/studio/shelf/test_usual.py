from django.urls import reverse

from studio.shelf.rows import usual
from tests.factories import MaterialFactory, stocked


def groups(client, **asked) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for group, name, _, _ in client.get(reverse("shelf:receive"), asked).context["choices"]:
        found.setdefault(group, []).append(name)
    return found


def test_what_is_low_stands_before_what_came_last(db):
    stocked("500 g", name="Soft ground")
    stocked("500 g", name="Hard ground")
    stocked("5 g", name="Crystals", reorder_level=100_000)
    MaterialFactory(name="Never came")

    assert [material.name for material in usual()] == ["Crystals", "Hard ground", "Soft ground"]


def test_the_usual_stands_first_and_everything_below_it(member):
    stocked("500 g", name="Soft ground")
    MaterialFactory(name="Never came", category="Tapes and edge protection")

    shown = groups(member)

    assert list(shown) == ["Low, or came lately", "Bath salts and water", "Tapes and edge protection"]
    assert shown["Low, or came lately"] == ["Soft ground"]


def test_a_material_is_found_by_part_of_its_name(member):
    stocked("500 g", name="Soft ground"), stocked("500 g", name="Crystals")

    assert groups(member, words="SOFT") == {"Bath salts and water": ["Soft ground"]}


def test_a_name_that_is_not_on_the_list_can_be_written_down(member):
    stocked("500 g", name="Soft ground")

    page = member.get(reverse("shelf:receive"), {"words": "dragon"}).content.decode()

    assert "Write it down as new" in page
    assert "Show everything" in page


def test_a_materials_page_names_each_containers_batch(member):
    jar = stocked("500 g")
    type(jar).objects.filter(pk=jar.pk).update(batch="LOT 7")

    assert "LOT 7" in member.get(jar.material.get_absolute_url()).content.decode()
