"""A cathode in a bath, and what is done to it, in the days of the tests' book."""

from chemistry.measured import by_scale
from inventory.models import Entry
from studio.baths.models import Bath
from studio.bites import operations as bites
from studio.bites.operations import Ending, Setting
from studio.cathodes import hangings, operations
from studio.cathodes.models import Cathode, Sheet
from tests.factories import adopted, day, signed


def sheet(**figures) -> Sheet:
    usual = {"facing_cm2": 1000, "bare_g": 1000, "bare_half_width_g": 0.1, "strip_at_um": 25}
    return Sheet(**usual | figures)


def hung(at: float = 0, *, name: str = "Copper sheet", bath: Bath | None = None, **figures) -> Cathode:
    """A cathode of 1 kg in a bath of its own, hung so many days into the book."""
    bath = bath or adopted(name="Upright tank")
    entry = operations.hang_new(Cathode(name=name), sheet=sheet(**figures), bath=bath, by=signed(at))
    return entry.cathodes.get()


def bite(cathode: Cathode, charge_ah: float, *, at: float, in_bath: str = "") -> Entry:
    """A bite where the cathode hangs, or hung until somebody took it out; the supply counted its charge."""
    bath = Bath.objects.get(name=in_bath) if in_bath else hangings.bath_of(cathode, day(99))
    return bite_in(bath, charge_ah, at=at)


def bite_in(bath: Bath, charge_ah: float, *, at: float) -> Entry:
    ending = Ending(minutes=1, counted_ah=charge_ah, ml_each=0)
    return bites.note(bath, setting=Setting(), ending=ending, by=signed(at))


def weighed(cathode: Cathode, mass_g: float, *, at: float, scale: float = 0.1, is_dry: bool = True, **kwargs):
    weight = by_scale(mass_g, scale)
    return operations.weigh(cathode, weight=weight, is_dry=is_dry, by=signed(at), **kwargs)


def stripped(cathode: Cathode, mass_g: float, *, at: float, scale: float = 0.1, is_dry: bool = True, **kwargs):
    weight = by_scale(mass_g, scale)
    return operations.strip(cathode, weight=weight, is_dry=is_dry, by=signed(at), **kwargs)
