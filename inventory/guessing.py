"""What a name on a list gives away: where it belongs, what it is in a bath. Each is shown and can be changed."""

import re
from contextlib import suppress

from django.utils.translation import gettext_noop

from chemistry import locale, units
from chemistry.copper import gauges
from chemistry.hazards.substances import recognised
from inventory.headings import plain
from inventory.models import Material, Place

Category, BathUse = Material.Category, Material.BathUse

UNSORTED = gettext_noop("Unsorted")
# English, German, French; the first that is found counts, so what is named for another thing stands before it
WORDS_OF: dict[str, str] = {
    Category.PROTECTION: r"glove|handschuh|gants?\b|goggle|glasses|brille|lunettes|mask|masque|respirator|apron|"
    r"schurze|tablier|ear plug|first aid",
    Category.STOP_OUT: r"stop ?out|block ?out|shellac|schellack|gomme laque|abdeck|recouvr|petit vernis|asphalt lack",
    Category.GROUNDS: r"\bground|atzgrund|hartgrund|weichgrund|vernis|aquatint|rosin|kolophon|colophan|asphalt|bitum|"
    r"beeswax|bienenwachs|cire d abeille",
    Category.ABRASIVES: r"abrasi|sand ?paper|schleif|schmirgel|emery|steel wool|stahlwolle|laine d acier|pumice|bims|"
    r"ponce|papier de verre|polish|politur|polissage|scrub|wet and dry|micron pad",
    Category.STRAINING: r"filter|filtre|strain|sieve|sieb|tamis|funnel|trichter|entonnoir|\btrays?\b|schale|bac\b|jug|"
    r"messbecher",
    Category.TAPES: r"\btapes?\b|klebeband|kreppband|\bruban|adhesif|vinyl|klebefolie|edge protect",
    Category.SPILL: r"spill|absorb|binder|bindemittel|neutrali|\bsoda\b|\bsoude\b|bicarb|natron|litter",
    Category.CLEANERS: r"degreas|cleaner|reiniger|entfett|nettoy|degraiss|whiting|schlammkreide|blanc de meudon|soap|"
    r"seife|savon|vinegar|essig|vinaigre|citric|zitronensaure|citronensaure|acide citrique|detergent|"
    r"ammoni",
    Category.INK: r"\binks?\b|plate oil|\bhuile|"
    r"druckfarbe|farben?\b|encres?\b|tarlatan|tarlatane|\bgaze|newsprint|papier|paper|blott|"
    r"loschp|buvard|felt|filz|feutre|mousseline|muslin|linseed|leinol|huile de lin|\brags?\b|lappen|"
    r"chiffon|modifier|easy wipe",
    Category.SOLVENTS: r"solvent|losemittel|losungsmittel|solvant|thinner|verdunn|diluant|turpentin|turps|terpentin|"
    r"terebenthin|spirit|essence|acet(?:on|one)\b|alcohol|alkohol|alcool|ethanol|isoprop|propanol|xyl|"
    r"toluol|petrol|benzin",
    Category.BATH: r"vitriol|\bbath|\bbad(?:salz)?\b|\bbain\b|distilled water|deioni[sz]ed|demineral|"
    r"dest\w* wasser|eau d[ei]",
    Category.COPPER: r"copper|kupfer|cuivre|\bplates?\b|plaque|platten?\b|blech",
}
OF_CATEGORY = {category: re.compile(words) for category, words in WORDS_OF.items()}
OF_PLACE = {
    Place.Kind.FLAMMABLES: re.compile(
        r"flam|brennbar|gefahrstoff|sicherheitsschrank|safety cabinet|solvent|losemittel|solvant"
    ),
    Place.Kind.BENCH: re.compile(r"bench|table\b|tisch|werkbank|etabli|paillasse"),
    Place.Kind.TANK: re.compile(r"\btank|wanne|\bcuve|\bbecken"),
    Place.Kind.AWAY: re.compile(r"partner studio|on loan|verliehen|prete\b"),
}
COPPER_SULFATE = re.compile(
    r"(?:copper|cupric|kupfer|cuivre|cobre|rame|koper).*(?:sul[fp]|solf|vitriol)|"
    r"(?:sul[fp]|solf|vitriol).*(?:cuivre|cobre|rame)|blue\s*(?:stone|vitriol)|blaustein|"
    r"7758.9[89].[78]|10257.54.2"
)
HYDRATES = {
    BathUse.MONOHYDRATE: re.compile(r"mono ?hydrat|10257.54.2"),
    BathUse.PALE_POWDER: re.compile(r"anhydr|wasserfrei|pale|white|wei(?:ss|ß)|blanc\b|grey powder"),
    BathUse.BLUE_CRYSTALS: re.compile(r"penta|5 ?h2o|blue|blau|bleu|azul|crystal|kristall|cristaux|7758.99.8"),
}
SIDES = re.compile(r"\d+(?:[.,]\d+)?\s*[x×]\s*\d+(?:[.,]\d+)?\s*(?:mm|cm|in|inch(?:es)?|\"|″)(?!\w)", re.IGNORECASE)
PURE_WATER = re.compile(r"distil|deioni|demineral|\bdest\b|osmo|\btap water|leitungswasser|eau du robinet")


def size_in(name: str) -> str:
    """
    The sides of a plate, where its name tells them; empty for anything else.

    >>> size_in("Cuivre 1 mm 20x30 cm"), size_in("Copper plate 6 x 9 in"), size_in("Paper 50x65 cm"), size_in("Cuivre")
    ('20x30 cm', '6 x 9 in', '', '')
    """
    sides = SIDES.search(name)
    return sides[0] if sides and category_of(name) == Category.COPPER else ""


# "6x8 in" are sides, and what is thicker is no sheet
A_THICKNESS = re.compile(
    r"(?<![\w.,x×*])(?:(?:B&S|AWG|SWG) ?(?:gauge|ga\.?)? ?\d{1,2}\b|\d{1,2} ?(?:gauge|ga\.?)? ?(?:B&S|AWG|SWG)\b"
    r"|\d*[.,]?\d+ ?(?:mm|mils?|thou|µm|um|in|inch|oz(?: ?/ ?ft[2²]?)?|[\"″])(?![\w²/]))",
    re.IGNORECASE,
)
THICKEST_UM = 3500


@locale.override(locale.Locale())
def thickness_um(name: str, category: str) -> int | None:
    """
    How thick a sheet is, where its name says so.

    >>> [thickness_um(name, Category.COPPER) for name in ("Copper 1 mm", "Kupferblech 0,8mm 20x30 cm", "Plate 6x8 in")]
    [1000, 800, None]
    >>> [thickness_um(name, Category.COPPER) for name in ("Copper, 18 ga B&S", "20 oz copper", '0.040" sheet 12x18 in')]
    [1024, 681, 1016]
    """
    if category != Category.COPPER:
        return None
    for found in A_THICKNESS.findall(SIDES.sub(" ", name)):
        with suppress(units.NotUnderstood):
            if 0 < (thick := gauges.thickness_um(found)) <= THICKEST_UM:
                return thick
    return None


def category_of(name: str, said: str = "") -> str:
    """
    Where it belongs. said: what its list calls the category; a list's own word is worth more than a name's.

    >>> [str(category_of(name)) for name in ("Nitrile gloves", "Terpentinersatz", "Vernis mou", "Kupferblech", "?")]
    ['Gloves, eyes and lungs', 'Solvents and thinners', 'Grounds', 'Copper sheet and plates', 'Unsorted']
    >>> str(category_of("Black 55", "Encres")), str(category_of("Tape", "grounds"))
    ('Ink, wiping and post', 'Grounds')
    """
    for category in Category.values:
        if plain(said) == plain(category):
            return category
    for words in filter(None, (plain(said), plain(name))):
        if COPPER_SULFATE.search(words):
            return Category.BATH
        found = next((category for category, of_it in OF_CATEGORY.items() if of_it.search(words)), "")
        if found:
            return found
    known = recognised(name)
    groups = known.substance.hazards.storage_groups if known else None
    return Category.SOLVENTS if groups and "flammable" in groups.value else UNSORTED


def kind_of_place(name: str) -> str:
    """
    >>> str(kind_of_place("Flammables cab.")), str(kind_of_place("Werkbank links")), str(kind_of_place("Rack 3"))
    ('flammables cabinet', 'bench', 'shelf')
    """
    return next((kind for kind, words in OF_PLACE.items() if words.search(plain(name))), Place.Kind.SHELF)


def sounds_like_copper_sulfate(name: str) -> bool:
    """
    Whether a supplier's name leaves open the one question that matters to a bath.

    >>> names = ("Cupric sulphate", "Bluestone", "Kupfersulfat", "Sulfate de cuivre", "Copper sheet")
    >>> [sounds_like_copper_sulfate(name) for name in names]
    [True, True, True, True, False]
    """
    return bool(COPPER_SULFATE.search(plain(name)))


def bath_use_of(name: str, cas: str = "") -> str | None:
    """
    What it is in a bath; None for copper sulfate of which nothing tells the hydrate.

    The number of the dry salt tells nothing: it stands on packs of blue crystals too.

    >>> [bath_use_of(name) for name in ("Bluestone", "Kupfersulfat wasserfrei", "Copper sulphate", "Tape")]
    [Material.BathUse.BLUE_CRYSTALS, Material.BathUse.PALE_POWDER, None, Material.BathUse.NONE]
    """
    words = plain(f"{name} {cas}")
    if COPPER_SULFATE.search(words):
        return next((use for use, told in HYDRATES.items() if told.search(words)), None)
    known = recognised(name)
    is_water = (known and known.substance.key == "water") or re.search(r"wasser|\bwater|\beau\b", words)
    return BathUse.WATER if is_water and PURE_WATER.search(words) else BathUse.NONE
