"""The part of the invented year that is about cathodes: hung, and stripped of their copper."""

from chemistry import units
from studio.cathodes import operations, sheets
from studio.cathodes.models import Cathode, Sheet


def hang(year, line) -> None:
    figures = ("facing_cm2", "bare_g", "bare_half_width_g", "strip_at_um", "gap_mm", "most_loss_percent")
    sheet = Sheet(**{name: float(line[name]) for name in figures})
    operations.hang_new(Cathode(name=line["name"]), sheet=sheet, bath=year.bath(line), by=year.signed(line))


def say_copper(year, line) -> None:
    """By the piece, or all of it."""
    if line["size"]:
        said = sheets.of_a_piece(*units.parse_sides(line["size"]), thickness_mm=float(line["thickness_mm"]))
    else:
        said = sheets.by_share(100)
    operations.say_copper(year.materials[line["material"]], said=said, by=year.signed(line))


FILES = ("cathodes", "strips", "copper")
WRITERS = {"cathode hung": hang, "copper in it": say_copper}
