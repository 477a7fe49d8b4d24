from django.test import RequestFactory

from inventory.models import Person
from studio.pages.writing import SignedForm
from tests.factories import PersonFactory


def form_of(person) -> SignedForm:
    request = RequestFactory().get("/")
    request.person, request.user = person, person.account
    return SignedForm(request=request)


def test_who_writes_is_offered_once_among_those_who_may_have_done_it(db):
    ada, ben, guest = PersonFactory(name="Ada"), PersonFactory(name="Ben"), Person.objects.create(name="Cleo")

    offered = list(form_of(ada).fields["done_by"].choices)

    assert [label for _, label in offered] == ["Ada (me)", "Ben", "Cleo"]
    assert [str(value) for value, _ in offered] == ["", str(ben.pk), str(guest.pk)]
