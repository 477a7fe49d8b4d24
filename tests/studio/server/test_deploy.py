"""What the recipes for containers promise each other and the book."""

import re

import yaml

from studio.server.bootstrap import ROOT

DEPLOY = ROOT / ".deploy"
COMPOSE = yaml.safe_load((DEPLOY / "compose.yaml").read_text())
BOOKS = {name: told for name, told in COMPOSE["services"].items() if told["image"] == "mordant"}
SETTINGS = re.findall(r"^\| `(\w+)` \|", (ROOT / "README.md").read_text(), re.MULTILINE)


def mounted(book):
    return dict(mount.split(":")[1::-1] for mount in book["volumes"])


def test_each_book_writes_only_where_the_image_lets_it():
    [made] = re.findall(r"--mode=700 (.+)$", (DEPLOY / "Containerfile").read_text(), re.MULTILINE)

    for name, book in BOOKS.items():
        assert book["read_only"] and book["cap_drop"] == ["ALL"], name
        assert mounted(book).keys() <= set(made.split()), name
        assert set(mounted(book).values()) <= COMPOSE["volumes"].keys(), name


def test_each_setting_of_a_book_is_one_that_the_readme_lists():
    for name, book in BOOKS.items():
        assert book["environment"].keys() <= set(SETTINGS), name


def test_nodes_of_a_workshop_share_all_but_their_own_folder_and_workshops_share_nothing():
    workshops = {}
    for book in BOOKS.values():
        workshops.setdefault(book["environment"]["DATABASE_URL"], []).append(book)
    assert sorted(map(len, workshops.values())) == [1, 2]
    used = [set().union(*(mounted(book).values() for book in books)) for books in workshops.values()]
    assert not set.intersection(*used)
    for first, *others in workshops.values():
        assert first["environment"]["MORDANT_BACKUPS"] in mounted(first)
        for other in others:
            assert other["environment"] == first["environment"]
            shared = {place for place, volume in mounted(other).items() if mounted(first).get(place) == volume}
            assert shared == mounted(first).keys() - {"/data"}


def test_the_proxy_knows_each_node_and_no_other():
    known = set(re.findall(r"^    server \w+ ([\w-]+):8000", (DEPLOY / "haproxy.cfg").read_text(), re.MULTILINE))

    assert known == BOOKS.keys() == set(COMPOSE["services"]["proxy"]["depends_on"])
