import ast
from datetime import timedelta
from io import StringIO
from pathlib import Path

import pytest
from django.contrib.auth import authenticate
from django.core.management import CommandError, call_command
from django.test import RequestFactory
from django.utils import timezone

from chemistry import bath as bath_model
from inventory.models import Container, Entry, Material, Movement, Person
from studio.baths import estimate
from studio.baths.models import Bath, BathEvent, Estimate
from studio.bites import calibration
from studio.bites.models import Bite, Parcel, Plate, Weighing
from studio.cathodes import balance, period
from studio.cathodes import status as cathodes
from studio.demo import load
from studio.waste import in_drums
from studio.workshop.models import Workshop

pytestmark = pytest.mark.django_db

WRITES = {
    *("save", "create", "bulk_create", "get_or_create", "update_or_create", "update", "bulk_update", "delete"),
    *("execute", "raw"),
}


def bath_now(name):
    return estimate.at_moment(Bath.objects.get(name=name))


def test_the_upright_tank_is_in_range(tallow_street):
    now = bath_now("Upright tank")

    assert now.strength_g_per_l == pytest.approx(251, abs=1)
    assert now.volume_l == pytest.approx(11.9, abs=0.05)
    assert 220 < now.strength_g_per_l < 270


def test_the_small_tank_dried_to_over_strong_while_its_lid_was_off(tallow_street):
    now = bath_now("Small tank")

    assert now.strength_g_per_l == pytest.approx(286, abs=1)
    assert now.volume_l == pytest.approx(2.6, abs=0.05)


def test_crystals_are_below_their_reorder_level(tallow_street):
    crystals = Material.objects.to_reorder().get(bath_use=Material.BathUse.BLUE_CRYSTALS)

    assert (crystals.show(crystals.on_hand), crystals.show(crystals.reorder_level)) == ("555 g", "1000 g")


def test_the_lacquer_thinner_is_past_its_use_by(tallow_street):
    tin = Container.objects.get(material__name="Lacquer thinner")

    assert tin.state_on(timezone.localdate()) == "past use-by"
    assert tin.shown_on_hand() == "801 mL"


def test_in_the_cold_week_a_hydrometer_over_crystals_is_believed(tallow_street):
    cold = BathEvent.objects.get(kind=BathEvent.Kind.DENSITY_READ, values__temperature_c=3)

    settled = bath_model.settle(cold.estimate.bath_state, temperature_c=3)

    assert settled.crystals_g == pytest.approx(220, abs=15)
    assert settled.liquid_strength_g_per_l == pytest.approx(232, abs=1)
    assert not cold.is_held_out


def test_no_reading_is_left_held_out(tallow_street):
    assert not Estimate.objects.exclude(far_off_sd=None).exists()


def test_the_year_ends_today(tallow_street):
    first, last = Entry.objects.earliest("happened_at", "pk"), Entry.objects.latest("happened_at", "pk")

    assert timezone.localdate(last.happened_at) == timezone.localdate()
    assert timezone.localdate() - timezone.localdate(first.happened_at) == timedelta(days=357)


def test_all_of_the_outline_is_in_the_book(tallow_street):
    assert Material.objects.count() == 60
    assert Movement.objects.count() >= 506
    assert Entry.objects.filter(kind="bite").count() == 81
    assert Person.objects.count() == 10


def test_every_bite_has_its_plate_and_its_depth(tallow_street):
    bites = Bite.objects.ended().exclude(plate=None).exclude(exposed_cm2=None).exclude(stopped_charge_ah=None)

    assert bites.count() == 81
    assert Plate.objects.exclude(cut_from=None).count() == 53  # as many as left the rack in the outline
    assert all(2.1 < calibration.usual_density(bath, 240).value < 2.9 for bath in Bath.objects.all())  # A/dm²


def test_the_plates_that_were_mailed_are_back(tallow_street):
    assert Parcel.objects.count() == 6
    assert not Plate.objects.with_last_parcel().filter(is_away=True).exists()


def test_the_scale_agrees_with_the_current(tallow_street):
    pairs = calibration.between_weighings(Weighing.objects.all())
    verdicts = {pair.weighed.verdict(calibration.anode_efficiency()) for pair in pairs}

    assert len(pairs) == 9
    assert verdicts <= {"as predicted", "too small to judge"}


def test_every_strip_weighs_what_the_current_laid_down_within_the_scale(tallow_street):
    """The outline's own figures, worked out with an efficiency of 0.98 throughout."""
    outline = {"Upright sheet": [22.1, 23.0, 14.9], "Small sheet": [2.8, 4.3, 3.3]}

    for each in cathodes.statuses_of_cathodes():
        assert [checked.verdict.words for checked in each.checked] == ["within the scale"] * 3
        predicted = [checked.predicted.value for checked in each.checked]
        assert predicted == pytest.approx(outline[each.cathode.name], rel=0.04)


def test_the_years_copper_balance_closes(tallow_street):
    now = timezone.now()
    account = balance.account_of(period.last_year(now), in_drums.copper_in_drums(now))

    assert account.balance.closes
    assert abs(account.balance.unexplained.value) < 0.01 * account.amount("crystals").value
    assert account.amount("metal in drums").value == pytest.approx(69.1)
    assert account.amount("stripped", "strained", "taken out").value == 0
    assert account.amount("rinse in drums").value > 10 * account.amount("drips").value
    assert account.amount("unknown sheets").value == 0
    assert account.sheets.became_plates.value <= account.sheets.used.value * 1.01


def test_the_keyholder_of_the_demo_signs_in(tallow_street):
    request = RequestFactory().post("/")

    maren = authenticate(request, username="maren", password="tallow-street")

    assert maren.person.name == "Maren Oakes"
    assert maren.person.role == "keyholder"
    assert Workshop.objects.get().is_demo


def test_one_line_was_struck(tallow_street):
    struck = Entry.objects.exclude(struck_at=None).get()

    assert struck.strike_reason == "written down twice"


def test_the_demo_is_sound(tallow_street):
    out = StringIO()

    call_command("verify", stdout=out)

    assert "The book is sound" in out.getvalue()


def test_a_book_that_was_begun_takes_no_demo(tallow_street):
    with pytest.raises(CommandError, match="was begun"):
        call_command("demo")


def test_in_the_first_minutes_of_a_day_nothing_comes_from_the_future():
    year = load.Year(Workshop())
    year.now = timezone.now().replace(hour=0, minute=5)
    last = load.lines()[-1]

    assert year.moment(last) == year.now


def test_the_demo_is_written_by_operations_alone():
    for path in Path(load.__file__).parent.glob("*.py"):
        tree = ast.parse(path.read_text())
        called = {
            node.func.attr for node in ast.walk(tree) if isinstance(node, ast.Call) and hasattr(node.func, "attr")
        }
        modules = {
            f"{node.module}.{name.name}"
            for node in ast.walk(tree)
            if isinstance(node, ast.ImportFrom)
            for name in node.names
        }

        assert not called & WRITES
        assert "inventory.ledger" not in modules
        assert "inventory.book.entry" not in modules
