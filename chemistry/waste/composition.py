"""What a vessel of waste is made of, as ingredients of a mixture: as far as its kinds tell, at their worst."""

from collections.abc import Iterable
from dataclasses import replace

from chemistry.bath.events import STRONGEST_G_PER_L
from chemistry.hazards import composition
from chemistry.hazards.ingredients import Ingredient, Number
from chemistry.solution.sulfate import COPPER_PER_BLUE
from chemistry.waste.streams import Stream, stream

MG_PER_G = 1000


def waste_ingredients(
    kinds: Iterable[str],
    most_copper_mg_per_l: float | None = None,
    *,
    out_of_baths: bool = False,
    most_acid_percent: Number = 0,
) -> tuple[Ingredient, ...]:
    """
    What is known to be in it; nothing where nobody can say: used cleaner, thinner, rags.

    kinds: of all that went in. most_copper_mg_per_l: the upper end of what is known. [mg/L]
    most_acid_percent: sulfuric acid by mass that came with bath, likewise. [%]
    out_of_baths: its mud, powder and sludge came out of baths that the book knows: their salts and water are beside it.

    >>> [str(each.name) for each in waste_ingredients(["rinse"], 50_000)]
    ['copper(II) sulfate pentahydrate', 'water']
    >>> [each.percent for each in waste_ingredients(["sludge", "cleaner_used"])]
    [(0, 100)]
    >>> [str(each.name) for each in waste_ingredients(["bath_mud"], out_of_baths=True)][1:]
    ['copper(II) sulfate pentahydrate', 'water']
    >>> [str(each.name) for each in waste_ingredients(["rinse"], 50_000, most_acid_percent=6)][1:]
    ['sulfuric acid, concentrated', 'water']
    """
    streams = [stream(kind) for kind in dict.fromkeys(kinds)]
    solutions, others = ([each for each in streams if each.is_copper_solution is wanted] for wanted in (True, False))
    # up to all of it: without a test nobody can say how much of a sludge is water
    found = [composition.ingredient_of(key, (0, 100)) for key in dict.fromkeys(_at_worst(others))]
    if most_acid_percent and (others or most_copper_mg_per_l is None):
        # its pH is not that of the bottle: whoever asks says what the acid makes
        found.append(replace(composition.ingredient_of("sulfuric_acid", (0, most_acid_percent), of_part=True), ph=None))
    if out_of_baths:
        beside = dict.fromkeys(key for each in others for key in each.beside)
        return (*found, *(composition.ingredient_of(key, (0, 100)) for key in beside))
    if not solutions or most_copper_mg_per_l is None:
        return tuple(found)
    strength_g_per_l = most_copper_mg_per_l / MG_PER_G / COPPER_PER_BLUE
    # the high end of a test may be more than water takes up, and past that no density is known
    percent = composition.rounded_up(composition.blue_percent(min(strength_g_per_l, STRONGEST_G_PER_L)))
    if not others:
        # as it stands: under the lid of a drum no water dries off
        return composition.bath(percent, acid_percent=most_acid_percent, dried_off=0)
    # what else was poured in may be most of it, so the salt is there and its share anything up to that of the strongest
    return (*found, composition.ingredient_of("copper_sulfate_pentahydrate", (0, percent)))


def substances_of(kinds: Iterable[str]) -> tuple[str, ...]:
    """
    Keys of the substances that are known to be in it, or may be most of it.

    kinds: of all that went in. Source: data/streams.toml; of what it says nothing, nobody can say.

    >>> substances_of(["rinse", "cathode_powder"])
    ('copper_sulfate_pentahydrate', 'water', 'copper_metal_fine')
    >>> substances_of(["solvent_spent"])
    ()
    """
    found = (
        ("copper_sulfate_pentahydrate", "water") if each.is_copper_solution else (each.at_worst, *each.beside)
        for each in map(stream, dict.fromkeys(kinds))
    )
    return tuple(dict.fromkeys(key for keys in found for key in keys if key))


def has_unknown_part(kinds: Iterable[str], most_copper_mg_per_l: float | None) -> bool:
    """
    Whether something in it is of a kind of which nobody can say what it is made of.

    >>> has_unknown_part(["rinse"], None), has_unknown_part(["rinse"], 500)
    (True, False)
    """
    return any(
        most_copper_mg_per_l is None if each.is_copper_solution else not each.at_worst for each in map(stream, kinds)
    )


def _at_worst(streams: Iterable[Stream]) -> list[str]:
    return [each.at_worst for each in streams if each.at_worst]
