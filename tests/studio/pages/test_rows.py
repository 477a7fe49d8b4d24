from django.template.loader import render_to_string
from django.test import RequestFactory

from studio.templatetags.rows import rows
from tests.studio import sheet


def test_a_jar_is_a_row_whose_code_is_its_header():
    assert '<th scope="row"><a href="/shelf/A-17/">A-17</a></th>' in rows(sheet.JarTable(sheet.JARS))


def test_each_cell_carries_the_name_of_its_column_for_narrow_screens():
    assert '<td data-label="On hand" class="num">555 g</td>' in rows(sheet.JarTable(sheet.JARS))


def test_a_name_typed_by_somebody_cannot_become_markup():
    table = sheet.JarTable([sheet.jar("A-1", "<b>ground</b>", "Shelf", "1", "open")])

    assert "&lt;b&gt;ground&lt;/b&gt;" in rows(table)


def test_a_row_keeps_the_class_its_table_gives_it():
    table = sheet.JarTable(sheet.JARS, row_attrs={"class": "struck"})

    assert '<tr class="struck' in rows(table)


def listed(table, path="/"):
    return render_to_string("components/table.html", {"table": table}, RequestFactory().get(path))


def test_a_list_says_how_it_is_sorted_and_offers_the_other_way():
    page = " ".join(listed(sheet.JarTable(sheet.JARS, order_by="code")).split())

    assert 'aria-sort="ascending"> <a href="?sort=-code">Code</a>' in page
    assert "<caption>What stands on the shelf</caption>" in page


def test_an_empty_list_says_so_instead_of_showing_an_empty_frame():
    page = listed(sheet.JarTable([]))

    assert "Nothing stands here yet." in page and "<table" not in page
