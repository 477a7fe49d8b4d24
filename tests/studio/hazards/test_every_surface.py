"""Whatever a material, a bath or a drum is, every page, paper, list and refusal says the same of it."""

import re
from contextlib import suppress
from datetime import timedelta

from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from chemistry.bath.events import Adopted
from chemistry.hazards.storage import CHOSEN, GROUPS, keep_apart, keep_unmixed
from chemistry.hazards.substances import SUBSTANCES
from chemistry.measured import Measured
from chemistry.waste.drum import poured
from chemistry.waste.streams import STREAMS
from inventory.book import Signed
from inventory.models import Material
from inventory.refusals import Refused
from studio.baths import operations as baths
from studio.baths.status import status_of_baths
from studio.bench import closing
from studio.bench.closing import Checklist
from studio.hazards.classification import classify_bath, classify_material, raised
from studio.people.roles import KEYHOLDER
from studio.safety import chemical_list, labels, overview, public_pages
from studio.safety.descriptions import room_action_items
from studio.safety.folder import Folder
from studio.safety.places import co_storage_in_places
from studio.shelf import operations as shelf
from studio.waste import content, operations, sources
from studio.waste import hazards as waste
from studio.waste import labels as drum_labels
from studio.waste.models import Drum
from studio.waste.operations import DepositRequest
from tests.factories import BathFactory, MaterialFactory, PersonFactory, PlaceFactory, WorkshopFactory, stocked
from tests.studio.conftest import sign_in
from tests.studio.safety.shop import constituent, copied
from tests.studio.waste.shop import KEYHOLDER as ALLOWED

Category = Material.Category
CODES = ("H225", "H226", "H228", "H271", "H272", "H302", "H318", "H319", "H410", "EUH066", "EUH206")
DANGER = {"H225", "H228", "H271", "H318"}
AGES_AGO = timedelta(days=20)


# what is drawn


@st.composite
def materials(draw):
    """Facts of a material, and the codes on its supplier's sheet; None where nobody copied any."""
    parts = draw(
        st.lists(
            st.tuples(st.sampled_from([*sorted(SUBSTANCES), "secret resin"]), st.integers(0, 30), st.integers(30, 50)),
            max_size=3,
            unique_by=lambda part: part[0],
        )
    )
    dimension, unit = draw(st.sampled_from([("mass", "g"), ("volume", "mL")]))
    facts = {
        "dimension": dimension,
        "shown_unit": unit,
        "composition": [constituent(*part) for part in parts],
        "flash_point_c": draw(st.none() | st.sampled_from([-30, 4, 20, 23, 60, 60.1, 95])),
        "storage_group": draw(st.just("") | st.sampled_from(sorted(group.id for group in CHOSEN))),
        "category": draw(st.sampled_from([Category.BATH, Category.SOLVENTS, Category.GROUNDS, Category.INK])),
        "density_g_per_ml": draw(st.none() | st.just(0.9)),
    }
    return facts, draw(st.none() | st.lists(st.sampled_from(CODES), max_size=3, unique=True))


tanks = st.sampled_from(["unread", "read", "dried"]), st.floats(1, 350)
regions = st.sampled_from(["eu", "gb", "us", "elsewhere"])


@st.composite
def drums(draw):
    """Its kind, other kinds poured to it, litres and copper of each, a test of the whole, a jar given up into it."""
    kinds = draw(st.lists(st.sampled_from(sorted(STREAMS)), min_size=1, max_size=3))
    copper_g = draw(st.lists(st.none() | st.floats(0, 200), min_size=3, max_size=3))
    test = draw(st.none() | st.sampled_from([("flash_point_c", 12), ("flash_point_c", 80), ("ph", 1), ("ph", 12.5)]))
    return kinds, copper_g, test, draw(st.none() | materials())


# what says it


def said(found):
    """What one who asks the classifier itself is told."""
    return {
        "word": found.word,
        "codes": frozenset(found.codes),
        "burns": found.is_flammable,
        "groups": frozenset(found.storage_groups),
        "unknown": found.is_unknown,
    }


def in_words(words):
    """The word of a list, and whether it says that some of it may be anything."""
    word, comma, _ = words.partition(", and needs info")
    return {"word": word, "unknown": bool(comma) or word == "needs info"}


def on_page(html):
    """The word and the codes of a summary, as somebody reads them."""
    codes = frozenset(re.findall(r'class="statement">((?:EUH|H)\w+)<', html))
    signal = re.search(r'class="signal">(\w+)<', html)
    if signal:
        word = signal[1].title()
    elif codes:
        word = "no signal word"
    else:
        known = {"<b>Not classified</b>": "not classified", "<b>Solid piece</b>": "solid piece"}
        word = next((word for sign, word in known.items() if sign in html), "needs info")
    return {"word": word, "codes": codes, "unknown": word == "needs info" or "Some of it may be anything" in html}


def on_label(carried):
    codes = frozenset(code for code, _ in (*carried["hazards"], *carried["environment"]))
    unsigned = "no signal word" if carried["is_classified"] else "needs info" if carried["needs_info"] else ""
    harmless = "solid piece" if carried["is_article"] else "not classified"
    word = carried["signal_word"] or unsigned or harmless
    return {"word": word, "codes": codes, "unknown": carried["is_unknown"]}


def on_shelf(html):
    """What the page of a material or of a jar says among its facts."""
    facts = dict(re.findall(r"<dt>(.*?)</dt>\s*<dd>(.*?)</dd>", html, re.DOTALL))
    word, _, codes = re.sub(r"<[^>]+>", "", facts["Hazards"]).strip().partition(": ")
    names = {group.name: group.id for group in GROUPS.values()}
    stored = re.sub(r"<[^>]+>", "", facts["Storage group"]).strip()
    groups = frozenset(names[name] for name in stored.split("; ") if name in names)
    return in_words(word) | {"codes": frozenset(filter(None, codes.split(", "))), "groups": groups}


def in_place(co_storage, name):
    [thing] = [each for each in co_storage.things if each.name == name]
    return said(thing.hazards)


def clashing(clashes, name):
    """The pairs of groups for which something is named."""
    return {clash.reason.pair for clash in clashes if name in {thing.name for thing in (*clash.ones, *clash.others)}}


class EverySurface(TestCase):
    def setup_example(self):
        super().setup_example()
        cache.clear()
        self.person = PersonFactory(role=KEYHOLDER)
        self.client = Client()
        sign_in(self.client, self.person)
        self.place = PlaceFactory()
        self.by = Signed(done_by=self.person, happened_at=timezone.now() - AGES_AGO)

    def in_region(self, region):
        self.workshop = WorkshopFactory(region=region)

    def get(self, name, *args, **asked):
        return self.client.get(reverse(name, args=args), asked).content.decode()

    def listed(self, name):
        [place] = chemical_list.listed(self.workshop)
        return place, next(line for line in place.lines if line.name == name)

    def assert_alike(self, surfaces):
        """Whatever two of them both tell, they tell alike."""
        for told in ("word", "codes", "burns", "groups", "unknown"):
            answers = {name: answer[told] for name, answer in surfaces.items() if told in answer}
            assert len(set(answers.values())) <= 1, (told, answers)

    def stock(self, drawn):
        facts, codes = drawn
        jar = stocked("500 g" if facts["dimension"] == "mass" else "500 mL", **facts)
        type(jar).objects.filter(pk=jar.pk).update(place=self.place)
        jar.place = self.place
        if codes is not None:
            word = "Danger" if DANGER & set(codes) else "Warning" if codes else ""
            copied(jar.material, *((code, f"Words of {code}.") for code in codes), signal_word=word)
        return jar

    @settings(max_examples=15)
    @given(drawn=materials(), region=regions)
    def test_of_a_material(self, drawn, region):
        self.in_region(region)
        jar = self.stock(drawn)
        material, name = jar.material, str(jar.material)
        place, line = self.listed(name)
        here = self.client.get(self.place.get_absolute_url()).context["here"]
        row = next(row for row in overview.rows(self.workshop) if row.material == material)
        opened = next(page for page in public_pages.materials(self.workshop) if page.name == name)
        surfaces = {
            "classifier": said(classify_material(material, region)),
            "label": on_label(
                labels.label_of_material(material, self.workshop, elements=labels.WORKPLACE, container=jar)
            ),
            "summary": on_page(self.get("safety:open_material", material.pk)),
            "page behind the jar's code": on_page(self.get("safety:open_container", jar.code)),
            "paper": {"codes": frozenset(row.hazards.codes)},
            "page of the material": on_shelf(self.client.get(material.get_absolute_url()).content.decode()),
            "page of the jar": on_shelf(self.client.get(jar.get_absolute_url()).content.decode()),
            "page of the place": in_place(here, name)
            | {"burns": bool(here.flammables.litres or here.flammables.unmeasured)},
            "co-storage": in_place(co_storage_in_places(self.workshop)[0], name),
            "chemical list": {
                "word": line.hazards.word,
                "codes": frozenset(line.hazards.codes),
                "groups": frozenset(line.groups),
                "burns": bool(line.category),
            },
            "its litres": {"burns": place.has_flammables},
            "folder": said(Folder(self.workshop).places[0].lines[0].hazards),
            "safety": said(row.hazards),
            "public list": in_words(opened.word),
            "moving": {"groups": self.box_of_the_only_jar()},
        }

        self.assert_alike(surfaces)
        self.assert_parted_as(surfaces["classifier"], name)
        self.assert_refused_as(surfaces["classifier"], jar)

    def box_of_the_only_jar(self):
        lines = [line.key for part in closing.parts(Checklist.MOVING, [], timezone.localdate()) for line in part.lines]
        [box] = [key.removeprefix("group-") for key in lines if key.startswith("group-")]
        return frozenset() if box == "unknown" else frozenset(group for group in GROUPS if group in box.split("-"))

    def assert_refused_as(self, known, jar):
        """Every drum refuses it for each group that must not meet what the drum holds, and asks about the unknown."""
        for kind in ("peroxide_mix", "cleaner_used", "bath_spent", "solvent_spent"):
            into = self.drum(kind)
            objections = list(waste.objections(kind, into=content.content_of_drum(into), jar=jar.material))
            apart = {each.why for each in keep_unmixed(known["groups"], STREAMS[kind].storage_groups) if each.refused}
            assert apart <= {each.why for each in objections if each.refused}
            if not known["groups"] and known["word"] != "not classified":
                assert any(not each.refused for each in objections)

    def assert_parted_as(self, known, name):
        """Place page, co-storage page and bench name it beside whatever must not stand beside it."""
        for group in ("oxidiser", "bleach", "base"):
            other = MaterialFactory(name=f"Something of {group}", storage_group=group)
            shelf.receive(other, amount=1000, place=self.place, by=self.by)
        reasons = {
            each.pair for group in known["groups"] for each in keep_apart([group], ["oxidiser", "bleach", "base"])
        }
        here = self.client.get(self.place.get_absolute_url()).context["here"]
        elsewhere = co_storage_in_places(self.workshop)[0]
        asked = " ".join(ask.sentence for ask in room_action_items(self.workshop))

        assert clashing(here.clashes, name) == clashing(elsewhere.clashes, name)
        if len(known["groups"]) == 1 and not known["groups"] & {"oxidiser", "bleach", "base"}:
            assert clashing(here.clashes, name) == reasons
            assert (name in asked) == bool(reasons)

    @settings(max_examples=8)
    @given(how=tanks[0], strength_g_per_l=tanks[1], region=regions)
    def test_of_a_bath(self, how, strength_g_per_l, region):
        self.in_region(region)
        bath = BathFactory(name="Upright tank", place=self.place)
        if how != "unread":
            known = Adopted(
                day=0, volume_l=10, volume_sd_l=0.1, strength_g_per_l=strength_g_per_l, strength_sd_g_per_l=5
            )
            baths.adopt(bath, known, lid_on=how == "read", by=self.by)
        [status] = status_of_baths([bath])
        known = classify_bath(status, region)
        _, line = self.listed("Upright tank")
        surfaces = {
            "classifier": said(known.now),
            "summary": on_page(self.get("safety:open_bath", bath.pk)),
            "page of the place": in_place(self.client.get(self.place.get_absolute_url()).context["here"], str(bath)),
            "co-storage": in_place(co_storage_in_places(self.workshop)[0], str(bath)),
            "chemical list": said(line.hazards) | {"groups": frozenset(line.groups)},
            "folder": said(Folder(self.workshop).places[0].lines[0].hazards),
            "public list": in_words(public_pages.baths(self.workshop)[0].word),
        }

        self.assert_alike(surfaces)
        label = labels.label_of_bath(status, self.workshop, elements=labels.WORKPLACE)
        assert not raised(known.now.every_class, over=label["classes"])
        assert on_label(label) == {name: said(known.dried)[name] for name in ("word", "codes", "unknown")}

    @settings(max_examples=12)
    @given(drawn=drums(), region=regions)
    def test_of_a_drum(self, drawn, region):
        self.in_region(region)
        kinds, copper_g, test, given_up = drawn
        drum = self.drum(kinds[0], "W1")
        for kind, grams in zip(kinds, copper_g, strict=False):
            brought = Measured(grams, 1, "g") if grams is not None else None
            put = DepositRequest(drum=drum, kind=kind, litres=poured(3), copper_g=brought, allowance=ALLOWED)
            self.if_it_may(lambda put=put: operations.deposit(put, by=self.by))
        if given_up:
            jar = self.stock(given_up)
            put = DepositRequest(drum=drum, kind=kinds[0], allowance=ALLOWED)
            self.if_it_may(lambda: sources.discard(jar, amount=jar.on_hand, into=put, by=self.by))
        held = content.content_of_drum(drum)
        if test and held.deposits:
            result = operations.TestResult(quantity=test[0], low=test[1], high=test[1], how="lab")
            operations.record_test(drum, result=result, by=self.by)
            held = content.content_of_drum(drum)
        opened = next(page for page in public_pages.drums(self.workshop) if page.name.startswith("W1"))
        surfaces = {
            "classifier": said(waste.classify_drum(held, region)),
            "label": said(drum_labels.drum_label(held, region=region).hazards),
            "page behind its code": on_page(self.get("safety:open_drum", drum.pk)),
            "page of the place": in_place(self.client.get(self.place.get_absolute_url()).context["here"], "drum W1"),
            "co-storage": in_place(co_storage_in_places(self.workshop)[0], "drum W1"),
            "public list": in_words(opened.word),
        }

        self.assert_alike(surfaces)
        for group in (group.id for group in CHOSEN):
            jar = MaterialFactory.build(name="A jar", storage_group=group, pk=0)
            refused = {each.why for each in waste.objections(kinds[0], into=held, jar=jar) if each.refused}
            apart = keep_unmixed([group], surfaces["label"]["groups"])
            assert {each.why for each in apart if each.refused} <= refused

    def drum(self, kind, name=""):
        vessel = STREAMS[kind].vessels[0]
        made = Drum(
            name=name or f"for {kind}", kind=kind, place=self.place, vessel=vessel, capacity_l=60, is_vented=True
        )
        return operations.start_drum(made, by=self.by, allowance=ALLOWED).drums.get()

    def if_it_may(self, act):
        """What is refused stays out."""
        with suppress(Refused):
            act()
