"""What faces a plate: the cathode that hung in its bath at that moment, unless somebody typed another figure."""

from uuid import uuid4

import pytest
from django.urls import reverse

from chemistry.measured import Measured
from studio.bites.account import BiteAccount, Facing, cathode_facing
from studio.bites.models import Bite
from studio.cathodes import operations as cathodes
from studio.pages.quantities import Units
from tests.factories import adopted, bitten, signed
from tests.studio.cathodes.shop import hung, sheet

pytestmark = pytest.mark.django_db


def test_a_bite_is_faced_by_the_cathode_that_hangs_in_its_bath():
    bath = adopted()
    hung(1, bath=bath, facing_cm2=1050, gap_mm=45, most_loss_percent=20)

    bite = bitten(bath, at=2)

    assert cathode_facing(bite) == Facing(cm2=1050, gap_cm=4.5, hung="Copper sheet")


def test_it_is_the_one_that_hung_then_that_counts():
    bath = adopted()
    first = hung(1, bath=bath, name="Small sheet", facing_cm2=200)
    hung(5, bath=bath, name="Large sheet", facing_cm2=1050)
    cathodes.take_out(first.__class__.objects.get(name="Large sheet"), by=signed(8))

    by_day = [cathode_facing(bitten(bath, at=at)).cm2 for at in (0.5, 2, 6, 8.5)]

    assert by_day == [None, 200, 1050, None]


def test_a_sheet_that_was_measured_anew_was_always_so_large():
    bath = adopted()
    cathode = hung(1, bath=bath, facing_cm2=1000)
    bite = bitten(bath, at=2)

    cathodes.measure(cathode, sheet=sheet(facing_cm2=900), by=signed(3))

    assert cathode_facing(bite).cm2 == 900


def test_what_was_typed_wins():
    bath = adopted()
    hung(1, bath=bath, facing_cm2=1050, gap_mm=45, most_loss_percent=20)

    assert cathode_facing(bitten(bath, at=2, cathode_cm2=300.0)) == Facing(cm2=300, gap_cm=4.5, hung="Copper sheet")
    assert cathode_facing(bitten(bath, at=3, cathode_cm2=300.0, gap_cm=6.0)) == Facing(cm2=300, gap_cm=6)


def test_a_small_cathode_is_warned_of_though_nobody_typed_its_face():
    bath = adopted()
    hung(1, bath=bath, facing_cm2=100)

    account = BiteAccount(bitten(bath, at=2, amps=4), Units())

    assert any("powdery" in note for _, note in account.notes)


def test_the_start_of_a_bite_leaves_the_face_to_the_cathode_that_hangs(keyholder, today):
    today(9)
    bath = adopted()
    bitten(bath, at=1, exposed=Measured(50, 5, "cm²"), cathode_cm2=300.0, gap_cm=6.0)
    page = reverse("bites:start")
    assert keyholder.get(page).context["form"].initial["cathode"] == 300

    hung(2, bath=bath, facing_cm2=1050)
    opened = keyholder.get(page)
    keyholder.post(page, {"key": uuid4(), "bath": bath.pk, "state": 1, "checked": "on"})

    started = Bite.objects.latest("pk")
    assert (opened.context["form"].initial["cathode"], started.cathode_cm2) == (None, None)
    assert "1050 cm²; as Copper sheet hung" in keyholder.get(started.get_absolute_url()).content.decode()
