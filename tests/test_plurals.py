"""A sentence with a number that counts things has a form for one thing and a form for more."""

import re
from collections.abc import Iterator

from tests.invented_language import marked, of_the_sums

PLACE = r"(?:%\(\w+\)[.\d]*[a-z]|%[sd]|\{\w*\})(?:</\w+>)*"
COUNTED = re.compile(rf"{PLACE}\s(?:(?P<which>[a-z’-]+)\s)?(?P<things>[a-z’-]+s|people)\b")
# so are places named that hold how many there are
HOW_MANY = re.compile(r"%\((?:number|count|n|rest)\)[sd](?:</\w+>)*\s(?P<then>[a-z’]+)")
# what may follow a name and counts nothing
DOES = "comes corrects counts covers does ends falls gains goes hangs has holds ice is knows lets needs offers reaches"
DOES += " runs says sells sends speaks stands stays take takes tells waits was weighs"
NO_THINGS = {*DOES.split(), *("across", "always", "as", "its", "less", "plus", "this", "us")}
# what stands between a name or an amount and a word that it does not count
BETWEEN = (
    "a about after an and at before by every for from in of off on once or out than that the to under until when with"
)
BETWEEN_TOO = {*BETWEEN.split(), *DOES.split()}
A_FACTOR = "counts as %(times)s times its weight"


def counting(sentence: str) -> Iterator[str]:
    """
    Where a number stands before the things that it counts.

    >>> list(counting("%(drum)s holds %(number)s more lines of %(days)s days, %(name)s of things, %(n)s apply"))
    ['%(number)s more lines', '%(days)s days', '%(n)s apply']
    """
    tidy = " ".join(sentence.split()).replace(A_FACTOR, "")
    found = [
        each for each in COUNTED.finditer(tidy) if each["things"] not in NO_THINGS and each["which"] not in BETWEEN_TOO
    ]
    yield from (each[0] for each in found)
    numbers = {each.start() for each in found}
    yield from (
        each[0] for each in HOW_MANY.finditer(tidy) if each.start() not in numbers and each["then"] not in BETWEEN_TOO
    )


def test_whatever_counts_has_a_form_for_one():
    sentences = [words for words, _ in marked()]
    with_forms = {form for forms in sentences if isinstance(forms, tuple) for form in forms}
    single = {words for words in (*sentences, *of_the_sums()) if isinstance(words, str)} - with_forms
    bare = {sentence: found for sentence in single if (found := list(counting(sentence)))}

    assert len(with_forms) > 100 and bare == {}
