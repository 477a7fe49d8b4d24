"""Which column of a list is which: by its heading in one of six languages, by what is in it, by what was picked."""

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from functools import cache

from django.utils.translation import gettext_lazy as _

from chemistry import units

LOOKED_AT = 15  # rows among which the headings are looked for
FIELDS = {
    "material": _("what it is"),
    "amount": _("amount"),
    "unit": _("unit of the amount"),
    "count": _("how many containers"),
    "size": _("what each holds"),
    "category": _("category"),
    "place": _("place"),
    "code": _("code on it"),
    "batch": _("batch"),
    "received": _("came on"),
    "opened": _("open since"),
    "use_by": _("use by"),
    "in_a_bath": _("what it is in a bath"),
    "purity": _("purity"),
    "cas": _("CAS number"),
    "reorder_at": _("reorder at"),
    "supplier": _("supplier"),
    "pack": _("pack that is sold"),
    "price": _("price of a pack"),
    "order_code": _("supplier’s number"),
    "note": _("note"),
}
# amounts are split over columns as often as not: a number and its unit, pounds and ounces
MAY_BE_SEVERAL = ("amount", "note")
# what reaches over several rows holds for each of them; an amount that does is one amount
REACHES_DOWN = ("material", "category", "place", "unit", "supplier", "cas", "in_a_bath")

# English, German, French, Spanish, Italian, Dutch; without accents and capitals
WORDS = {
    "material": "material|materials|name|item|items|what|what it is|product|article|chemical|substance|"
    "description|stuff|artikel|bezeichnung|stoff|produkt|ware|substanz|chemikalie|beschreibung|was|"
    "designation|nom|produit|matiere|materiel|libelle|nombre|producto|articulo|descripcion|nome|"
    "prodotto|materiale|articolo|naam|omschrijving|material name|what i bought|what we bought|thing|things|"
    "was gekauft|quoi|achat|ce que j ai achete",
    "amount": "amount|quantity|qty|left|on hand|stock|in stock|how much|level|weight|volume|amt|menge|bestand|"
    "vorrat|rest|gewicht|lagerbestand|quantite|qte|reste|poids|cantidad|existencias|quantita|giacenza|"
    "hoeveelheid|voorraad",
    "unit": "unit|units|uom|einheit|me|unite|unidad|unita|eenheid|u m",
    "count": "count|number|how many|no of|number of|containers|pieces|pcs|anzahl|stuckzahl|nb|nbre|nb de|numero|aantal",
    "size": "size|pack size|container size|each|each holds|holds|gebinde|gebindegrosse|packungsgrosse|grosse|"
    "inhalt|conditionnement|contenance|format|taille|contenu|tamano|envase|formato|confezione|"
    "verpakking|inhoud",
    "category": "category|group|kind|type|class|kategorie|gruppe|art|warengruppe|categorie|groupe|famille|"
    "categoria|grupo|gruppo|soort|groep",
    "place": "place|where|location|stands|storage|storage location|room|shelf|cabinet|ort|lagerort|lager|"
    "standort|platz|regal|wo|lieu|emplacement|endroit|rangement|ou|stockage|ubicacion|lugar|estante|"
    "luogo|posizione|scaffale|plaats|locatie",
    "code": "code|label|our code|kennung|behalter|etikett|repere|etiquette|codigo|codice",
    "batch": "batch|batch no|lot|lot no|lot number|charge|chargennummer|lote|lotto|partij",
    "received": "received|came|came on|bought|purchased|date received|purchase date|date|eingang|wareneingang|"
    "gekauft|gekauft am|kaufdatum|erhalten|recu|recu le|achete|achete le|date d achat|date achat|when|wann|quand|"
    "recibido|comprado|fecha|ricevuto|acquistato|ontvangen|gekocht",
    "opened": "opened|open|open since|date opened|geoffnet|geoffnet am|angebrochen|anbruch|ouvert|ouvert le|"
    "date d ouverture|abierto|aperto|geopend",
    "use_by": "use by|expires|expiry|expiry date|expiration|exp|exp date|best before|mhd|haltbar|haltbar bis|"
    "verfall|verfallsdatum|ablauf|ablaufdatum|peremption|date de peremption|a utiliser avant|dluo|"
    "caduca|caducidad|scadenza|houdbaar|houdbaar tot|tht",
    "in_a_bath": "in a bath|bath use|what it is in a bath",
    "purity": "purity|assay|reinheit|gehalt|purete|titre|pureza|purezza|zuiverheid",
    "cas": "cas|cas no|cas nr|cas number|n cas|no cas",
    "reorder_at": "reorder at|reorder level|minimum|min|min stock|minimum stock|mindestbestand|meldebestand|seuil|"
    "stock mini|stock minimum|minimo|minimale voorraad",
    "supplier": "supplier|vendor|shop|from|source|bought from|bought at|where from|where bought|store|seller|"
    "lieferant|woher|gekauft bei|handler|bezugsquelle|firma|fournisseur|"
    "magasin|achete chez|chez|d ou|proveedor|tienda|fornitore|leverancier",
    "pack": "pack|pack sold|sold as|pack that is sold|verkaufseinheit",
    "price": "price|cost|paid|price paid|bezahlt|paye|prix paye|"
    "price each|unit price|price of a pack|preis|kosten|stuckpreis|prix|prix ttc|prix ht|"
    "cout|precio|coste|prezzo|costo|prijs",
    "order_code": "order code|order no|article no|item no|sku|cat no|catalogue no|catalog no|product code|part no|"
    "suppliers number|artikelnummer|artikel nr|art nr|bestellnummer|best nr|reference|ref|"
    "code article|referencia|codice articolo",
    "note": "note|notes|remark|remarks|comment|comments|bemerkung|bemerkungen|notiz|notizen|anmerkung|hinweis|"
    "remarque|remarques|commentaire|observations|nota|notas|osservazioni|opmerking|opmerkingen",
}
FIELD_OF = {word: field for field, words in WORDS.items() for word in words.split("|")}
OF_FIGURES = ("received", "opened", "use_by", "price")
LEFT_ALONE = ("no", "nr", "n", "pos", "lfd nr", "lfd", "row", "zeile", "ligne")  # a running number is nobody's code
IN_BRACKETS = re.compile(r"[\(\[]([^)\]]*)[\)\]]")
FIGURE, WORD = re.compile(r"\d"), re.compile(r"[^\W\d_]{3}")
LOOKS_LIKE_AN_AMOUNT = re.compile(r"[~<>≈½¼¾−-]?\s*\d[\d.,'’\s]*(?:/\s*\d+)?\s*[^\W\d_]{0,12}\.?")


def plain(text: str) -> str:
    """
    As headings and names are compared: without capitals, accents and marks.

    >>> plain("Menge_(kg)"), plain("Qté"), plain("Use-by")
    ('menge kg', 'qte', 'use by')
    """
    letters = unicodedata.normalize("NFKD", text.casefold().replace("ß", "ss"))
    return " ".join(
        re.sub(r"[^\w]|_", " ", "".join(each for each in letters if not unicodedata.combining(each))).split()
    )


@cache
def unit_named(heading: str) -> str:
    """
    The unit that a heading names for the numbers below it; empty where it names none.

    >>> unit_named("Menge (kg)"), unit_named("lb"), unit_named("Stock"), unit_named("Left [L]")
    ('kg', 'lb', '', 'L')
    """
    inside = IN_BRACKETS.search(heading)
    named = inside[1].strip() if inside else heading.strip()
    # pieces are what a bare number means anyway, and "can" or "pot" head other things than amounts
    measured = ("mass", "volume", "area", "length")
    return named if any(units.folded(named) in units.units_by_name(each) for each in measured) else ""


def field_named(heading: str) -> str:
    """
    >>> field_named("Bezeichnung"), field_named("Menge (kg)"), field_named("lb"), field_named("Date of purchase")
    ('material', 'amount', 'amount', 'received')
    """
    words = plain(IN_BRACKETS.sub("", heading)) or plain(heading)
    if words in FIELD_OF or words in LEFT_ALONE:
        return FIELD_OF.get(words, "")
    if unit_named(heading):
        return "amount"
    # the longest of those it holds, because "order code" is no code
    held = [each for each in FIELD_OF if len(each) > 2 and re.search(rf"\b{each}\b", words)]
    return FIELD_OF[max(held, key=len)] if held else ""


def heading_row(rows: Sequence[tuple[int, list[str]]], remembered: Mapping[str, str]) -> int:
    """The number of the row that heads the columns; nought where none does."""
    known = {
        number: sum(bool(remembered.get(plain(cell)) or field_named(cell)) for cell in cells if cell)
        for number, cells in rows[:LOOKED_AT]
    }
    best = max(known, key=lambda number: (known[number], -number), default=0)
    if known.get(best, 0) >= 2:
        return best
    # in a language nobody told the book: several words in a row, and below them figures
    for (number, cells), (_below, under) in zip(rows[:LOOKED_AT], rows[1:], strict=False):
        filled = [cell for cell in cells if cell]
        if len(filled) >= 2 and not any(map(str.isdigit, "".join(filled))) and any(map(str.isdigit, "".join(under))):
            return number
    return 0


def guess(head: Sequence[str], rows: Iterable[Sequence[str]], remembered: Mapping[str, str]) -> list[str]:
    """
    Which field each column holds; empty for what is left out.

    remembered: what was picked before, by heading.
    """
    columns = [remembered.get(plain(cell), field_named(cell)) if cell else "" for cell in head]
    below = [[row[at] for row in rows if at < len(row) and row[at]] for at in range(len(columns))] if rows else []
    for at, cells in enumerate(below):
        # a heading that speaks of buying heads things as often as days
        is_picked = plain(head[at]) in remembered
        if columns[at] in OF_FIGURES and not is_picked and cells and share(FIGURE.search, cells) < 0.3:
            columns[at] = ""
    for at, field in enumerate(columns):
        twice = field and field in columns[:at] and not (field in MAY_BE_SEVERAL and unit_named(head[at]))
        if twice and plain(head[at]) not in remembered:
            columns[at] = ""
    free = [at for at, field in enumerate(columns) if not field and below and below[at]]
    figures = {at: share(LOOKS_LIKE_AN_AMOUNT.fullmatch, below[at]) for at in free}
    worded = [at for at in free if figures[at] < 0.2 and share(WORD.search, below[at]) > 0.5]
    if "material" not in columns and worded:
        columns[max(worded, key=lambda at: (len(set(below[at])), -at))] = "material"
    free = [at for at in free if plain(head[at]) not in LEFT_ALONE]
    has_amounts = {"amount", "count", "size"} & set(columns)
    if not has_amounts and (measured := [at for at in free if figures[at] > 0.6 and not columns[at]]):
        columns[measured[0]] = "amount"
    return columns


def share(test: object, cells: Sequence[str]) -> float:
    return sum(bool(test(cell)) for cell in cells) / len(cells) if callable(test) else 0.0
