"""Puts so many more materials with a summary of their own on the shelf of the book at MORDANT_DATA."""

import sys

import django

django.setup()  # before anything that holds a model

from tests.studio.safety.shop import made_of, put  # noqa: E402

MIXED = (("toluene", 20, 40), ("white_spirit", 20, 40), ("turpentine", 10, 20), ("rosin", 5, 10))

if __name__ == "__main__":
    from inventory.models import Place

    shelf = Place.objects.create(name="Long shelf")
    for number in range(int(sys.argv[1])):
        put(made_of(*MIXED, name=f"Ground {number}"), "1 kg", shelf)
