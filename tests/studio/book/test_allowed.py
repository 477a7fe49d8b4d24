"""Whatever lets something pass that the book asked about leaves what was asked, and the reason, in the log."""

import inspect
import re
from importlib import import_module
from uuid import uuid4

import pytest
from django.apps import apps
from django.db import transaction
from django.urls import reverse

from chemistry.bath import Removed
from chemistry.measured import Measured, by_scale
from inventory.models import Entry
from inventory.refusals import Questioned
from studio.baths import operations as baths
from studio.baths.salt import Portion
from studio.bites import operations as bites
from studio.bites import plates
from studio.bites.models import Plate
from studio.bites.operations import CurrentReading, Ending, Setting
from studio.cathodes import operations as cathodes
from studio.cathodes.models import Cathode
from studio.waste import operations as drums
from studio.waste import sources
from studio.waste.models import Drum
from studio.waste.operations import DepositRequest
from tests.factories import PersonFactory, PlaceFactory, adopted, bitten, plate, signed, started, stocked
from tests.studio.baths.test_planner import errors, topping_up, url, weighed
from tests.studio.cathodes.shop import hung, sheet
from tests.studio.waste.shop import KEYHOLDER, NOTHING, drum, poured, put

pytestmark = pytest.mark.django_db

NUMBER = re.compile(r"[0-9]+")
WHY = "nobody else takes it"


def of_zinc():
    return Plate(name="Zinc plate", width_mm=100, height_mm=100, owner=PersonFactory())


def zinc():
    return plates.take(of_zinc(), metal_anyway=True, by=signed(0)).plates.get()


def measured_bath():
    """A bath whose usual current is known, with a bite that runs in it."""
    bath = adopted()
    for number in range(6):
        bitten(bath, at=1 + number, plate=plate(name=f"Plate {number}"), exposed=Measured(100, 5, "cm²"))
    return bath


def crystals(bath, **anyway):
    jar = stocked("500 g", crystals=True)
    return baths.top_up(bath, salt=[Portion(jar, 20_000)], by=signed(1), **anyway)


def noted(bath, setting=None, readings=(), at=9, **anyway):
    ending = Ending(minutes=1, counted_ah=1, ml_each=0)
    return bites.note(bath, setting=setting or Setting(), ending=ending, readings=readings, by=signed(at), **anyway)


def beside(**anyway):
    bath = adopted()
    started(bath, at=1)
    return bites.start(bath, setting=Setting(), by=signed(1.001), **anyway)


def wide():
    return Setting(plate=plate(name="Wide"), exposed=Measured(100, 5, "cm²"))


def running(bath):
    return started(bath, at=8, **vars(wide()))


def right(**anyway):
    bath = measured_bath()
    wrong = noted(bath, at=8.5).bites.get()
    setting = Setting(plate=zinc())
    ending = Ending(minutes=1, counted_ah=1, ml_each=0)
    return bites.put_right(wrong, reason="wrong", by=signed(9), bath=bath, setting=setting, ending=ending, **anyway)


def gone_back(**anyway):
    named = {"sheet": sheet(), "bath": adopted(), "metal_anyway": True}
    cathode = cathodes.hang_new(Cathode(name="Zinc sheet"), by=signed(0), **named).cathodes.get()
    cathodes.take_out(cathode, by=signed(1))
    return cathodes.hang(cathode, bath=adopted(name="Small"), by=signed(2), **anyway)


def into(kind, vessel, allowance=NOTHING):
    return DepositRequest(drum=vessel, kind=kind, litres=poured(1), allowance=allowance)


def tight(allowance=NOTHING):
    made = Drum(name="W4", kind="rags_solvent", place=PlaceFactory(), vessel="steel", capacity_l=20, is_vented=False)
    return drums.start_drum(made, by=signed(1), allowance=allowance)


AMPS = [CurrentReading(minutes=0.5, amps=90)]
# every argument of an operation by which something passes, with an act that needs it
TICKED = {
    ("studio.bites.operations", "start", "beside_anyway"): beside,
    ("studio.bites.operations", "start", "metal_anyway"): lambda **a: bites.start(
        adopted(), setting=Setting(plate=zinc()), by=signed(1), **a
    ),
    ("studio.bites.operations", "read", "unusual_anyway"): lambda **a: bites.read(
        running(measured_bath()), amps=90, by=signed(8.001), **a
    ),
    ("studio.bites.operations", "stop", "unusual_anyway"): lambda **a: bites.stop(
        running(measured_bath()), amps=90, by=signed(8.001), **a
    ),
    ("studio.bites.operations", "note", "unusual_anyway"): lambda **a: noted(measured_bath(), wide(), AMPS, **a),
    ("studio.bites.operations", "note", "metal_anyway"): lambda **a: noted(adopted(), Setting(plate=zinc()), **a),
    ("studio.bites.operations", "put_right", "metal_anyway"): right,
    ("studio.bites.plates", "take", "metal_anyway"): lambda **a: plates.take(of_zinc(), by=signed(1), **a),
    ("studio.cathodes.operations", "hang_new", "metal_anyway"): lambda **a: cathodes.hang_new(
        Cathode(name="Zinc sheet"), sheet=sheet(), bath=adopted(), by=signed(1), **a
    ),
    ("studio.cathodes.operations", "hang", "metal_anyway"): gone_back,
    ("studio.cathodes.operations", "replace", "metal_anyway"): lambda **a: cathodes.replace(
        hung(), new=Cathode(name="Zinc sheet"), sheet=sheet(), by=signed(1), **a
    ),
    ("studio.cathodes.operations", "weigh", "unlikely_anyway"): lambda **a: cathodes.weigh(
        hung(), weight=by_scale(1500, 1), by=signed(1), **a
    ),
    ("studio.cathodes.operations", "strip", "unlikely_anyway"): lambda **a: cathodes.strip(
        hung(), weight=by_scale(500, 1), by=signed(1), **a
    ),
    ("studio.waste.sources", "strip", "unlikely_anyway"): lambda **a: sources.strip(
        hung(), weight=by_scale(500, 1), by=signed(1), **a
    ),
    ("studio.baths.operations", "top_up", "weak_anyway"): lambda **a: baths.top_up(
        adopted(volume_l=6, strength_g_per_l=210), water_l=3, by=signed(1), **a
    ),
    ("studio.baths.operations", "strain", "crystals_anyway"): lambda **a: baths.strain(
        adopted(strength_g_per_l=200, coldest_c=17), litres_lost=0.1, crystals_g=50, by=signed(1), **a
    ),
    ("studio.waste.sources", "strain", "crystals_anyway"): lambda **a: sources.strain(
        adopted(strength_g_per_l=200, coldest_c=17), litres_lost=0.1, crystals_g=50, by=signed(1), **a
    ),
    ("studio.waste.sources", "take_out", "drained_anyway"): lambda **a: sources.take_out(
        adopted(), Removed(day=0, litres=1), where_to="into the sink", by=signed(1), **a
    ),
}
REASONED = {
    ("studio.baths.operations", "top_up", "salt_anyway"): (lambda **a: crystals(adopted(), **a), WHY),
    ("studio.waste.operations", "start_drum", "allowance"): (tight, KEYHOLDER),
}
# through these another operation is told what was said
PASSED_ON = {
    ("studio.bites.operations", "put_right", "unusual_anyway"),
    ("studio.cathodes.operations", "hang_in", "metal_anyway"),
    ("studio.waste.operations", "ask_for_a_reason", "allowance"),
    ("studio.waste.operations", "refuse_unfit", "allowance"),
}


def asked_of_operations():
    """The arguments of all operations that let something pass."""
    for config in apps.get_app_configs():
        for module in ("operations", "plates", "sources", "disposals", "incidents"):
            try:
                found = import_module(f"{config.name}.{module}")
            except ModuleNotFoundError:
                continue
            for name, function in inspect.getmembers(found, inspect.isfunction):
                if function.__module__ == found.__name__:
                    for argument in inspect.signature(function).parameters:
                        if argument.endswith("_anyway") or argument == "allowance":
                            yield found.__name__, name, argument


def test_every_argument_that_lets_something_pass_is_tried():
    assert set(asked_of_operations()) == TICKED.keys() | REASONED.keys() | PASSED_ON


@pytest.mark.parametrize("case", [*TICKED, *REASONED], ids=lambda case: f"{case[1]} {case[2]}")
def test_what_passes_leaves_what_was_asked_in_its_entry(case, member):
    act, said = REASONED.get(case) or (TICKED[case], True)
    with transaction.atomic():
        with pytest.raises(Questioned) as question:
            act()
        transaction.set_rollback(True)

    entry = act(**{case[-1]: said})

    why = question.value.why
    reason = getattr(said, "reason", said if isinstance(said, str) else "")
    # but for numbers in names, of which the second try has others
    assert [(NUMBER.sub("", each), given) for each, given in entry.allowed] == [(NUMBER.sub("", why), reason)]
    assert Entry.objects.get(pk=entry.pk).allowed == entry.allowed
    assert "Tick" not in why
    for page in (reverse("book:book"), entry.get_absolute_url()):
        shown = member.get(page).content.decode()
        assert "All the same" in shown and reason in shown, page


def test_each_way_into_a_drum_keeps_the_keyholders_reason(member):
    unknown = stocked("1 L", dimension="volume", shown_unit="mL", name="Secret ground", category="Grounds")
    bath = adopted(name="Tank")
    ways = {
        "deposit": lambda request: drums.deposit(request, by=signed(2)),
        "a bath": lambda request: sources.take_out(bath, Removed(day=0, litres=1), into=request, by=signed(2)),
        "a jar": lambda request: sources.discard(unknown, amount=100_000, into=request, by=signed(2)),
        "another drum": lambda request: drums.pour_over(full, into=request, by=signed(2)),
    }
    # what goes in, and the drum for something else
    kinds = {
        "deposit": ("rinse", "bath_spent"),
        "a bath": ("bath_spent", "rinse"),
        "a jar": ("cleaner_used", "cleaner_used"),
        "another drum": ("rinse", "bath_spent"),
    }
    full = drum("rinse", name="Full")
    put(full, 5)
    for number, (name, way) in enumerate(ways.items()):
        kind, other = kinds[name]
        for_another = drum(other, name=f"D{number}")
        with pytest.raises(Questioned):
            way(into(kind, for_another))

        entry = way(into(kind, for_another, KEYHOLDER))

        assert entry.allowed and {reason for _, reason in entry.allowed} == {KEYHOLDER.reason}, name
        assert KEYHOLDER.reason in member.get(reverse("book:book")).content.decode(), name


def test_what_nobody_asked_about_keeps_nothing():
    assert baths.top_up(adopted(), water_l=0.1, weak_anyway=True, salt_anyway=WHY, by=signed(1)).allowed == []


def test_the_reason_for_crystals_is_typed_and_kept(member):
    bath, jar = adopted(volume_l=11.5, strength_g_per_l=240), stocked("500 g", crystals=True)
    typed = topping_up(**weighed(jar, "120"))

    asked = member.post(url("top_up", bath), typed)
    empty = member.post(url("top_up", bath), typed | {"salt_anyway": " ", "key": uuid4()})
    written = member.post(url("top_up", bath), typed | {"salt_anyway": "the titration said so", "key": uuid4()})

    assert "Say why the crystals go in" in errors(asked, "salt_anyway") and errors(empty, "salt_anyway")
    assert "because the titration said so" in member.get(written.headers["Location"]).content.decode()
