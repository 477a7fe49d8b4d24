"""The part of the invented year that is about hazards: what things are made of, suppliers' sheets, labels."""

import hashlib
from dataclasses import asdict
from datetime import date
from pathlib import Path

from django.core.files import File

from chemistry.hazards.regimes import regime_of
from studio.baths.status import status_of_baths
from studio.hazards import statements
from studio.safety import labels, operations
from studio.safety.models import PrintedLabel
from studio.shelf import composition
from studio.shelf import operations as shelf

SHEET = Path(__file__).with_name("data") / "sheet.pdf"


def say_parts(year, line) -> None:
    material = year.materials[line["material"]]
    material.composition = [asdict(each) for each in composition.read(line["parts"].replace("; ", "\n"))]
    shelf.change_material(material, by=year.signed(line))


def file_sheet(year, line) -> None:
    """The same invented page for every product."""
    sha256 = hashlib.sha256(SHEET.read_bytes()).hexdigest()
    dated_on = date.fromisoformat(line["dated_on"])
    with SHEET.open("rb") as file:
        material = year.materials[line["material"]]
        shelf.file_sheet(material, file=File(file), sha256=sha256, dated_on=dated_on, by=year.signed(line))


def copy_classes(year, line) -> None:
    regime = regime_of(year.workshop.region)
    operations.copy_classes(
        year.materials[line["material"]],
        sheet_on=date.fromisoformat(line["sheet_on"]),
        signal_word=line["signal_word"],
        pictograms=line["pictograms"].split(),
        hazards=statements.read(line["hazards"].replace("; ", "\n"), regime, letters=("H", "EUH")),
        precautions=statements.read(line["precautions"].replace(" ", "\n"), regime, letters=("P",)),
        by=year.signed(line),
    )


def print_bath_label(year, line) -> None:
    bath, by = year.bath(line), year.signed(line)
    content = labels.label_of_bath(status_of_baths([bath], by.happened_at)[0], year.workshop, elements=labels.WORKPLACE)
    label = PrintedLabel(bath=bath, size="a6", classes=content["classes"], content=content)
    operations.print_label(label, by=by)


FILES = ("made_of", "sheets", "classes", "labels")
WRITERS = {
    "made of": say_parts,
    "sheet filed": file_sheet,
    "classes copied": copy_classes,
    "label printed": print_bath_label,
}
