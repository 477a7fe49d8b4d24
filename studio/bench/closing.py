"""Lists for closing for the summer, for the first day back and for moving, made from the book as it stands."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from itertools import islice

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from chemistry import bath as bath_model
from chemistry.bath import DryingRate
from chemistry.quantity import quantity
from chemistry.solution import sulfate
from inventory.dates import long_day
from inventory.models import Container, Place
from studio.baths import operations
from studio.baths.descriptions import BathDescription
from studio.baths.status import TRACE_G
from studio.bench import closing_lines as lines
from studio.bench.closing_lines import MOST_OF_A_KIND, ChecklistLine, fixed

DAYS_AWAY = 30


class Checklist(StrEnum):
    SUMMER = "summer"
    FIRST_DAY = "first-day"
    MOVING = "moving"


TITLES = {
    Checklist.SUMMER: gettext_lazy("Closing for the summer"),
    Checklist.FIRST_DAY: gettext_lazy("First day back"),
    Checklist.MOVING: gettext_lazy("Moving the studio"),
}


@dataclass(frozen=True)
class ChecklistSection:
    title: str
    lines: list[ChecklistLine]


def parts(which: Checklist, baths: Sequence[BathDescription], today: date) -> list[ChecklistSection]:
    made = PARTS[which](baths, today)
    return [ChecklistSection(title, found) for title, found in ((title, list(each)) for title, each in made) if found]


def summer(baths: Sequence[BathDescription], today: date):
    standing = jars_standing()
    yield _("Baths"), (line for described in baths for line in before_leaving(described))
    yield _("Plates and cathodes"), [*lines.plates_in_baths(), *lines.cathodes_out(), *lines.plates_away()]
    yield _("Shelf"), [*jars_past_use_by(standing, today), *open_solvents(standing), *jars_away(standing)]
    yield _("Waste"), lines.drums(_("lid on, label to the front; look it over."), "waste:look_over")
    yield (
        _("The room"),
        fixed(
            ("supply-off", _("Supply off at the wall, leads off the tanks.")),
            ("brushes", _("Rags and towels into their lidded bins, bins emptied as your local rules ask.")),
            ("keys", _("Whoever looks in meanwhile knows where the spill box and the wall sheet are.")),
        ),
    )


def first_day(baths: Sequence[BathDescription], today: date):
    standing = jars_standing()
    # first of all what is in the tanks: every other figure rests on it
    yield _("Read each bath first"), (line for described in baths for line in on_return(described))
    yield _("Plates and cathodes"), [*lines.cathodes_back(), *lines.plates_away()]
    yield _("Shelf"), [*jars_past_use_by(standing, today), *jars_away(standing)]
    yield _("Waste"), lines.drums(_("look it over before anything goes in."), "waste:look_over")
    yield (
        _("The room"),
        fixed(
            ("eyes", _("Eyewash and first-aid box there, in date, not blocked.")),
            ("air", _("Windows open before the first solvent is.")),
            ("leads", _("Leads and clips looked over before the supply goes on.")),
        ),
    )


def moving(baths: Sequence[BathDescription], today: date):
    standing = jars_standing()
    yield _("Vessels and strengths"), (line for described in baths for line in to_carry(described))
    yield _("Plates and cathodes"), [*lines.plates_to_wrap(), *lines.cathodes_to_carry(), *lines.plates_away()]
    on_the_shelf = [
        *jars_past_use_by(standing, today),
        *open_solvents(standing),
        *boxes_by_place(standing),
        *jars_away(standing),
    ]
    yield _("Shelf"), on_the_shelf
    # by what they are, not by where they stood: a cabinet keeps apart what one box would not
    yield _("Not in one box"), lines.boxes(standing)
    yield _("Waste"), lines.drums(_("hand it over before the move, or ask the carrier what may travel."), "waste:drum")
    yield (
        _("On the way"),
        fixed(
            (
                "lids",
                _("Nothing liquid travels in an open vessel: screw lids, upright, in a tub that would hold it all."),
            ),
            ("labels", _("A label with words on every vessel, none of them a drink bottle.")),
            ("rules", _("Ask the carrier and your local rules what may travel, and how much of it.")),
            ("spill", _("Spill box, gloves and water in the vehicle, within reach.")),
        ),
    )


PARTS: dict[Checklist, Callable] = {Checklist.SUMMER: summer, Checklist.FIRST_DAY: first_day, Checklist.MOVING: moving}


def before_leaving(described: BathDescription) -> Iterator[ChecklistLine]:
    bath, status = described.bath, described.status
    if described.strength is None or described.volume is None:
        yield ChecklistLine(
            f"unread-{bath.pk}",
            _("%(bath)s: needs info, nobody has said what is in it.") % {"bath": bath},
            bath.get_absolute_url(),
        )
        return
    words = _("Read %(bath)s: the book has %(strength)s, %(volume)s. Mark its level on the tank.") % {
        "bath": bath,
        "strength": described.strength.shown,
        "volume": described.volume.shown,
    }
    yield ChecklistLine(f"read-{bath.pk}", words, reverse("baths:read_level", args=[bath.pk]))
    lid_on = _("Lid of %(bath)s is on by the book; look that it fits. %(lid_off)s")
    lid_off = _("Lid of %(bath)s is off: put it on and write it down. %(lid_off)s")
    words = (lid_on if status.lid_is_on else lid_off) % {"bath": bath, "lid_off": told_lid_off(described)}
    yield ChecklistLine(f"lid-{bath.pk}", words, reverse("baths:cover", args=[bath.pk]))


def told_lid_off(described: BathDescription) -> str:
    """What the bath would become with its lid off while nobody is there."""
    dried = lid_off(described)
    # beyond these solubility is not known, and a room may well be colder
    usual_c = min(max(described.bath.air_c, sulfate.COLDEST_C), sulfate.WARMEST_C)
    settled = bath_model.settle(dried, temperature_c=usual_c)
    if settled.crystals_g > TRACE_G:
        return ngettext(
            "Off for %(DAYS_AWAY)s day about %(liquid_volume_l)s would be left, and about "
            "%(crystals_g)s of crystals on the floor.",
            "Off for %(DAYS_AWAY)s days about %(liquid_volume_l)s would be left, and about "
            "%(crystals_g)s of crystals on the floor.",
            DAYS_AWAY,
        ) % {
            "DAYS_AWAY": DAYS_AWAY,
            "liquid_volume_l": quantity(settled.liquid_volume_l, "L", decimals=1),
            "crystals_g": quantity(settled.crystals_g, "g", decimals=0),
        }
    shown = described.units.strength(dried.strength_g_per_l, dried.strength_sd_g_per_l)
    return ngettext(
        "Off for %(DAYS_AWAY)s day it would come to %(shown)s in %(volume_l)s.",
        "Off for %(DAYS_AWAY)s days it would come to %(shown)s in %(volume_l)s.",
        DAYS_AWAY,
    ) % {
        "DAYS_AWAY": DAYS_AWAY,
        "shown": shown,
        "volume_l": quantity(dried.volume_l, "L", decimals=1),
    }


def lid_off(described: BathDescription, days: float = DAYS_AWAY) -> bath_model.BathState:
    """The bath some days on if its lid came off today and nothing else were done to it."""
    state = described.status.state
    assert state is not None
    rate = operations.drying_g_per_day(described.bath, lid_on=False)
    [open_now] = bath_model.replay([DryingRate(day=state.day, g_per_day=rate)], start=state)
    return bath_model.forecast(open_now, days=days)


def on_return(described: BathDescription) -> Iterator[ChecklistLine]:
    bath = described.bath
    expected = ""
    if described.strength and described.volume:
        expected = " " + _("The book expects %(strength)s, %(volume)s.") % {
            "strength": described.strength.shown,
            "volume": described.volume.shown,
        }
    words = _("%(bath)s: level first, then hydrometer, at the bath's own temperature.%(expected)s") % {
        "bath": bath,
        "expected": expected,
    }
    yield ChecklistLine(f"level-{bath.pk}", words, reverse("baths:read_level", args=[bath.pk]))
    words = _("%(bath)s: before it is read, crystals on floor and rim go back into the water.") % {"bath": bath}
    yield ChecklistLine(f"crystals-{bath.pk}", words, bath.get_absolute_url())


def to_carry(described: BathDescription) -> Iterator[ChecklistLine]:
    bath, state = described.bath, described.status.state
    if state is None or described.strength is None or described.volume is None:
        yield ChecklistLine(
            f"carry-{bath.pk}",
            _("%(bath)s: needs info, nobody has said what is in it.") % {"bath": bath},
            bath.get_absolute_url(),
        )
        return
    words = _("Drain %(bath)s into plastic with screw lids: %(volume)s at %(strength)s.") % {
        "bath": bath,
        "volume": described.volume.shown,
        "strength": described.strength.shown,
    }
    yield ChecklistLine(f"drain-{bath.pk}", words, reverse("safety:label_bath", args=[bath.pk]))
    grams = _("%(salt_g)s of blue crystals in %(water_g)s of water") % {
        "salt_g": quantity(state.salt_g, "g", decimals=0),
        "water_g": quantity(state.water_g / 1000, "L", decimals=2),
    }
    yield ChecklistLine(
        f"remake-{bath.pk}",
        _("To remake %(bath)s there at the same strength: %(grams)s.") % {"bath": bath, "grams": grams},
        bath.get_absolute_url(),
    )


def jars_standing() -> list[Container]:
    """All that stands, read once for a list."""
    return list(Container.objects.on_the_shelf().select_related("material", "place").order_by("place__name", "pk"))


def jars_past_use_by(standing: Sequence[Container], today: date) -> Iterator[ChecklistLine]:
    past = [(jar.use_by_on, jar.pk, jar) for jar in standing if not jar.is_away and jar.use_by_on]
    for use_by_on, pk, jar in sorted(each for each in past if each[0] < today)[:MOST_OF_A_KIND]:
        words = _("%(jar)s, %(place)s: past its use-by of %(use_by_on)s.") % {
            "jar": jar,
            "place": jar.place,
            "use_by_on": long_day(use_by_on),
        }
        yield ChecklistLine(f"past-{pk}", words, jar.get_absolute_url())


def open_solvents(standing: Sequence[Container]) -> Iterator[ChecklistLine]:
    """Open jars in a flammables cabinet, and of what burns wherever it stands."""
    known = lines.known_materials(standing)
    here = (jar for jar in standing if jar.opened_on and not jar.is_away)
    burning = (jar for jar in here if jar.place.kind == Place.Kind.FLAMMABLES or known[jar.material_id].is_flammable)
    for jar in islice(burning, MOST_OF_A_KIND):
        yield ChecklistLine(
            f"cap-{jar.pk}",
            _("Cap %(jar)s, open, %(shown_on_hand)s; %(place)s.")
            % {"jar": jar, "shown_on_hand": jar.shown_on_hand(), "place": jar.place},
            jar.get_absolute_url(),
        )


def jars_away(standing: Sequence[Container]) -> Iterator[ChecklistLine]:
    for jar in islice((jar for jar in standing if jar.is_away), MOST_OF_A_KIND):
        words = _("%(jar)s is away at %(place)s: fetch it or agree that it stays.") % {"jar": jar, "place": jar.place}
        yield ChecklistLine(f"away-{jar.pk}", words, jar.get_absolute_url())


def boxes_by_place(standing: Sequence[Container]) -> Iterator[ChecklistLine]:
    """A box a place, so that what stood together can be unpacked together."""
    for name, number in sorted(Counter(jar.place.name for jar in standing if not jar.is_away).items()):
        words = ngettext(
            "Pack %(name)s: %(number)s container, each with its label.",
            "Pack %(name)s: %(number)s containers, each with its label.",
            number,
        ) % {"name": name, "number": number}
        # a tick keeps sixty letters: a longer key would never be found ticked
        yield ChecklistLine(f"pack-{name}"[:60], words, reverse("shelf:shelf"))
