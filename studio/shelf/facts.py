"""What is known of a material and of a container, as pairs of name and value for the page."""

from collections.abc import Iterator
from datetime import date

from django.db.models import QuerySet
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry import units
from chemistry.copper import gauges
from chemistry.measured import digits
from chemistry.quantity import quantity, span
from inventory.asked_often import asked_often
from inventory.dates import long_day
from inventory.models import Container, Material
from inventory.wording import translated
from studio.hazards.classification import NEEDS_INFO, Hazards, parts_by_name
from studio.shelf import hydrates, operations


def of_material(material: Material, known: Hazards, *, cups: units.Cups) -> list[tuple[str, object]]:
    facts: list[tuple[str, object]] = [
        (_("Category"), _(material.category)),
        (_("Measured in"), translated(units.printed_unit(material.shown_unit))),
    ]
    facts.append(
        (_("Reorder at"), material.show(material.reorder_level) if material.reorder_level else _("no level set"))
    )
    if material.bath_use:
        facts += [
            (_("In a bath"), material.get_bath_use_display()),
            (_("Purity"), f"{digits(material.purity * 100)} %"),
        ]
    if material.bulk_density_g_per_ml:
        cup_ml = units.parse("1 cup", "volume", cups=cups) / 1000
        low, high = material.bulk_density_low_g_per_ml, material.bulk_density_high_g_per_ml
        ends = (low, high) if low and high and high > low else (material.bulk_density_g_per_ml,)
        said = translated(span([end * cup_ml for end in ends], "g", decimals=0))
        facts.append((_("One level cup"), said))
    return facts + list(described(material, known))


def described(material: Material, known: Hazards) -> Iterator[tuple[str, object]]:
    """What the supplier's sheet and the studio's own habits say of it, as far as anybody wrote it down."""
    if material.order_up_to:
        yield _("Order up to"), material.show(material.order_up_to)
    if material.lead_time_days is not None:
        days = ngettext("%(days)d day", "%(days)d days", material.lead_time_days)
        yield _("Comes after"), days % {"days": material.lead_time_days}
    for name, months in ((_("Keeps sealed"), material.sealed_months), (_("Keeps once open"), material.opened_months)):
        if months:
            yield name, ngettext("%(months)d month", "%(months)d months", months) % {"months": months}
    if material.density_g_per_ml:
        low, high = material.density_low_g_per_ml, material.density_high_g_per_ml
        if low is not None and high is not None and low != high:
            yield _("Density"), translated(span((low, high), "g/mL"))
        else:
            yield _("Density"), quantity(material.density_g_per_ml, "g/mL")
    if material.thickness_um:
        yield _("Thickness"), gauges.written(material.thickness_um)
    yield from hazard_facts(known)
    if known.where_it_belongs:
        yield _("Belongs"), "; ".join(map(translated, known.where_it_belongs))
    if known.flash_point_c is not None:
        source = _("by the supplier's sheet") if material.flash_point_c is not None else _("by what it is made of")
        yield _("Flash point"), f"{quantity(known.flash_point_c, '°C')} {source}"
    # what burns at nobody knows how many degrees needs info; of water the line would only puzzle
    elif known.is_flammable:
        yield _("Flash point"), None
    if material.composition:
        yield _("Made of"), ", ".join(map(str, material.constituents))
    elif not material.bath_use and (named := parts_by_name(material)):
        yield _("By its name alone"), ", ".join(map(str, named))


def hazard_facts(known: Hazards) -> Iterator[tuple[str, object]]:
    """What its label says, and with what it is stored; None needs info."""
    yield (
        _("Hazards"),
        None
        if known.word == NEEDS_INFO
        else ": ".join(filter(None, (translated(known.words), ", ".join(known.codes)))),
    )
    yield _("Storage group"), known.group_names or (None if known.ungrouped else "none")


def of_container(container: Container, known: Hazards, *, cups: units.Cups) -> list[tuple[str, object]]:
    material = container.material
    facts: list[tuple[str, object]] = [
        (_("Material"), format_html('<a href="{}">{}</a>', material.get_absolute_url(), material)),
        (_("Stands"), format_html('<a href="{}">{}</a>', container.place.get_absolute_url(), container.place)),
        (_("Came"), long_day(container.received_on)),
        (_("Opened"), long_day(container.opened_on) if container.opened_on else _("not yet")),
    ]
    if container.use_by_on:
        facts.append((_("Use by"), long_day(container.use_by_on)))
    if container.batch:
        facts.append((_("Batch"), container.batch))
    if container.is_away:
        said = operations.confirmed(container)
        facts.append(
            (_("They have it"), f"{said}, {long_day(said.happened_at)}" if said else _("their word is awaited"))
        )
    if material.dimension == "mass" and container.scoop_density_g_per_ml:
        cup_ml = units.parse("1 cup", "volume", cups=cups) / 1000
        facts.append((_("One level cup"), quantity(container.scoop_density_g_per_ml * cup_ml, "g", decimals=0)))
    if container.purity is not None:
        facts.append((_("Assay of this lot"), f"{digits(container.purity * 100)} %"))
    if counted := hydrates.counted(container.on_hand, material.bath_use, container.assay):
        facts.append((_("Counts in a bath as"), counted))
    return [*facts, *hazard_facts(known)]


def to_use_first(container: Container, today: date) -> Container | None:
    """The jar of the same material that a careful shop empties before this one."""
    # whoever looks at an empty jar, or at one that is away, is not about to take from it
    if not container.on_hand or container.is_away:
        return None
    first = next(iter(oldest_at_hand(container.material_id, today)), None)
    return first if first and first.pk != container.pk else None


@asked_often
def oldest_at_hand(material: int, today: date) -> QuerySet[Container]:
    """Of the jars of a material that are not past their day the one to use first."""
    standing = Container.objects.at_hand().filter(material=material).exclude(use_by_on__lt=today)
    return standing.oldest_open_first()[:1]
