"""
For each rule its edges: clause, what is known, what the rule must then say.

Written from the texts, not from the rules: at most and less than, both branches of an "or", what is left out and on
which condition, and nothing known.
"""

from fractions import Fraction

A, N, U = "applies", "does not apply", "needs info"

# what a limit lets through: below it, at it, above it
AT_LEAST, ABOVE, AT_MOST, BELOW = (N, A, A), (N, N, A), (A, A, N), (A, N, N)


def limit(clause, key, at, step, says, also=None):
    """Below, at and above a limit, over it, and not known; also: what else the rule asks for."""
    also = also or {}
    at, step = Fraction(str(at)), Fraction(str(step))
    beside = [(clause, also | {key: at + step * place}, state) for place, state in zip((-1, 0, 1), says, strict=True)]
    return [*beside, (clause, also | {key: (at - step, at + step)}, U), (clause, also, U)]


def yes(clause, key, value=True, also=None):
    """It turns on one answer: given, the other, not known."""
    also = also or {}
    return [(clause, also | {key: value}, A), (clause, also | {key: not value}, N), (clause, also, U)]


def word(clause, key, words, other, also=None):
    """It turns on a word: each of them, another, not known."""
    also = also or {}
    return [*((clause, also | {key: each}, A) for each in words), (clause, also | {key: other}, N), (clause, also, U)]


def codes(clause, key, each, other):
    """It turns on statements: each alone, others alone, some of them, none, not known."""
    return [
        *((clause, {key: [code]}, A) for code in each),
        (clause, {key: [each[0], other]}, A),
        (clause, {key: [other]}, N),
        (clause, {key: []}, N),
        (clause, {}, U),
    ]


def without(known, key):
    return {name: value for name, value in known.items() if name != key}


ALWAYS = [("holds of every waste", {}, A)]
HOME, SHOP = {"is_household": True}, {"is_household": False}
COUNTED = {"counted_as_hazardous": True}
NO_ACUTE = {"acute_month_kg": 0, "acute_spill_month_kg": 0}
SHOP_MONTH = SHOP | NO_ACUTE
SOLVENT = {"used_as_solvent": True}
WIPE = {"is_wipe": True, "used_as_solvent": True}
LIQUID = {"is_liquid": True}
DRY = {"is_liquid": False, "is_aqueous": False}
WATERY = {"is_liquid": True, "is_aqueous": True}
NO_ORGANS = {f"h{code}_percent": 0 for code in (370, 371, 335, 372, 373, 304)}
NOT_ACUTE = {
    f"h{code}_percent": 0
    for code in ("300_1", "300_2", "301", "302", "310_1", "310_2", "311", "312", "330_1", "330_2", "331", "332")
}
NO_HP4 = {"h318_percent": 0, "h315_h319_percent": 0, "h314_1a_percent": 0, "h314_percent": 0}
NO_HP3 = {"is_liquid": True, "flash_point_c": 200, "is_gas_oil": False, "h_codes": [], "kind": "rinse"}
OUTDOORS = ["soil", "storm drain", "septic tank", "open water"]
DRIES = {"route": "left to evaporate"}

# a household is left out; a business is not; nobody knows
EXCEPT_HOMES = [("not of a household", COUNTED | SHOP, A), ("a household is left out", COUNTED | HOME, N)]

# 40 CFR 261.24 Table 1, D004 to D011; D018, D035, D039 and D040; mg/L
LEACHED_METALS = {
    "tclp_arsenic": 5,
    "tclp_barium": 100,
    "tclp_cadmium": 1,
    "tclp_chromium": 5,
    "tclp_lead": 5,
    "tclp_mercury": 0.2,
    "tclp_selenium": 1,
    "tclp_silver": 5,
}
LEACHED_SOLVENTS = {"tclp_benzene": 0.5, "tclp_mek": 200, "tclp_pce": 0.7, "tclp_tce": 0.5}


def none_of(table, key):
    """Of all but one of a table, nothing."""
    return {other: 0 for other in table if other != key}


def leached(table):
    """Each of a table beside its limit, while nothing of the others came out."""
    clause, step = "261.24(a), Table 1", Fraction(1, 1000)
    return [
        line for key, most in table.items() for line in limit(clause, key, most, step, AT_LEAST, none_of(table, key))
    ]


EDGES = {
    "generic.ask_first": ALWAYS,
    "generic.no_permission": ALWAYS,
    "generic.record": ALWAYS,
    "generic.household": yes("ours", "is_household"),
    "generic.business_at_collection": [
        *word("ours", "route", ["collection programme", "household bin"], "hauler", SHOP),
        ("ours", HOME | {"route": "collection programme"}, N),
        ("ours", {"route": "collection programme"}, U),
    ],
    "generic.product_in_use": yes("Dir. 2008/98/EC Art. 3(1): discards", "is_discarded", value=False),
    "generic.copper.water": limit("ICSC 1416: any", "cu_mg_per_l", 0.001, 0.001, (N, A, A)),
    "generic.copper.sewer": limit("any copper", "cu_mg_per_l", 0.001, 0.001, (N, A, A)),
    "generic.copper.solids": [
        ("any of the three", {"cu_mg_per_kg": 0.001}, A),
        ("any of the three", {"is_loose_powder": True}, A),
        ("any of the three", {"is_treatment_sludge": True}, A),
        ("none", {"cu_mg_per_kg": 0, "is_loose_powder": False, "is_treatment_sludge": False}, N),
        ("one not known", {"cu_mg_per_kg": 0, "is_loose_powder": False}, U),
        ("not known", {}, U),
    ],
    "generic.outdoors": word("ours", "route", OUTDOORS, "hauler"),
    "generic.drain_unknown": word("ours", "route", ["drain"], "sewer"),
    "generic.evaporate": word("ours", "route", ["left to evaporate"], "back into use"),
    "generic.flammable": [
        *limit("UN GHS Table 2.6.1: up to and with 93 °C", "flash_point_c", 93, 0.1, AT_MOST, LIQUID),
        ("a liquid", {"is_liquid": False, "flash_point_c": 20}, N),
        ("a liquid", {"flash_point_c": 20}, U),
    ],
    "generic.self_heating": word("ours", "kind", ["rags_drying_oil"], "rags_copper"),
    "generic.pressure": word("ours", "kind", ["peroxide_mix"], "bleach"),
    "generic.corrosive": [
        *limit("UN GHS 3.2.3.1.2: 2 or less", "ph", 2, 0.01, AT_MOST),
        *limit("UN GHS 3.2.3.1.2: 11.5 or more", "ph", 11.5, 0.01, AT_LEAST),
    ],
    "generic.other_metals": yes("ours", "may_hold_other_metals"),
    "generic.treatment": [
        ("either", {"treats_on_site": True}, A),
        ("either", {"is_treatment_sludge": True}, A),
        ("neither", {"treats_on_site": False, "is_treatment_sludge": False}, N),
        ("one not known", {"treats_on_site": False}, U),
        ("not known", {}, U),
    ],
    "generic.mixing": yes("ours", "mixes_wastes"),
    "generic.back_into_the_bath": [
        *yes("ours: nothing else in it", "only_copper_solution", also={"kind": "bath_spent"}),
        *yes("ours: nothing else in it", "only_copper_solution", also={"kind": "rinse"}),
        ("a bath or a rinse", {"kind": "cleaner_used", "only_copper_solution": True}, N),
        ("not known", {}, U),
    ],
    "generic.fill": limit("90 %", "container_fill_percent", 90, 0.1, AT_LEAST),
    "generic.age": limit("a year", "container_age_days", 365, 1, AT_LEAST),
    "generic.release": limit("any", "cuso4_released_24h_kg", 0.001, 0.001, (N, A, A)),
    "us.determine": ALWAYS,
    "us.household": [
        ("261.4(b)(1), both tests", HOME | {"is_usual_in_homes": True}, A),
        ("49 FR 44978, second test", HOME | {"is_usual_in_homes": False}, N),
        ("49 FR 44978, second test", HOME, U),
        ("261.4(b)(1): derived from households", SHOP | {"is_usual_in_homes": True}, N),
        ("not known", {}, U),
    ],
    "us.household.unusual": [
        ("49 FR 44978, second test", HOME | {"is_usual_in_homes": False}, A),
        ("49 FR 44978, second test", HOME | {"is_usual_in_homes": True}, N),
        ("49 FR 44978, second test", HOME, U),
        ("261.4(b)(1)", SHOP, N),
        ("not known", {}, U),
    ],
    "us.d001.liquid": [
        *limit("261.21(a)(1): less than 60 °C", "flash_point_c", 60, 0.1, BELOW, LIQUID | {"water_percent": 0}),
        ("(a)(1): a liquid", {"is_liquid": False, "flash_point_c": 20}, N),
        ("(a)(1): less than 24 % alcohol, at least 50 % water", SOLVENT | LIQUID | {"flash_point_c": 40}, U),
        *(
            (
                "(a)(1): less than 24 % alcohol by volume and at least 50 % water by weight",
                LIQUID | {"flash_point_c": 40, "water_percent": water, "alcohol_percent": alcohol},
                state,
            )
            for water, alcohol, state in [
                (50, 23.9, N),
                (50, 24, A),
                (50, 24.1, A),
                (50.1, 23.9, N),
                (49.9, 23.9, A),
                (49.9, 24, A),
                (90, 0, N),
                ((49, 51), 10, U),
                (60, (23, 25), U),
            ]
        ),
        ("not known", {}, U),
    ],
    "us.d001.oxidizer": codes("261.21(a)(4): an oxidizer", "h_codes", ["H270", "H271", "H272"], "H318"),
    "us.d001.self_heating": [
        ("261.21(a)(2): spontaneous chemical changes", {"kind": "rags_drying_oil"}, A),
        ("(a)(2): by friction", {"is_liquid": False, "is_readily_combustible": True}, A),
        ("(a)(2): is not a liquid", {"kind": "rinse", "is_liquid": True, "is_readily_combustible": True}, N),
        ("(a)(2): neither", {"kind": "rags_copper", "is_readily_combustible": False}, N),
        ("(a)(2): one not known", {"kind": "rags_solvent", "is_liquid": False}, U),
        ("not known", {}, U),
    ],
    "us.d002": [
        # (a)(1) alone decides that it applies; both that it does not
        *limit("261.22(a)(1): 2 or less", "ph", 2, 0.01, (A, A, N), WATERY | {"steel_mm_per_year": 0}),
        *limit("261.22(a)(1): 12.5 or more", "ph", 12.5, 0.01, (N, A, A), WATERY | {"steel_mm_per_year": 0}),
        *limit("261.22(a)(2): greater than 6.35 mm", "steel_mm_per_year", 6.35, 0.01, ABOVE, WATERY | {"ph": 7}),
        ("(a)(1), whatever steel does", WATERY | {"ph": 1}, A),
        ("(a)(2), whatever the pH", WATERY | {"steel_mm_per_year": 7}, A),
        ("(a)(2): spent ferric chloride at pH 2.3", WATERY | {"ph": 2.3, "kind": "ferric_spent"}, U),
        ("(a)(2): a bath at pH 4", WATERY | {"ph": 4, "kind": "bath_spent"}, U),
        ("(a)(1): aqueous, a wet sludge too", {"is_liquid": False, "is_aqueous": True, "ph": 12.6}, A),
        ("(a)(1): aqueous", {"is_liquid": True, "is_aqueous": False, "ph": 1, "steel_mm_per_year": 0}, N),
        ("(a)(2): a liquid without water as well", {"is_liquid": True, "is_aqueous": False, "ph": 7}, U),
        ("(a)(2): a liquid", DRY | {"ph": 13, "steel_mm_per_year": 9}, N),
        ("not known", {}, U),
    ],
    "us.d003": [
        ("261.23(a)(1), (6)", {"kind": "peroxide_mix"}, A),
        ("261.23(a)(1), (6)", {"kind": "peroxide_mix", "h_codes": []}, A),
        *(
            ("261.23(a)(2), (3): violent or explosive with water", {"kind": "rinse", "h_codes": [code]}, A)
            for code in ("H260", "H261")
        ),
        *(
            ("261.23(a)(6) to (8): explodes, or is an explosive", {"kind": "rinse", "h_codes": [code]}, A)
            for code in ("H200", "H201", "H202", "H203", "H240", "H241")
        ),
        ("(8) names divisions 1.1 to 1.3, not 1.4", {"kind": "rinse", "h_codes": ["H204"]}, N),
        ("none of them", {"kind": "rinse", "h_codes": ["H318", "H410"]}, N),
        ("its statements not known", {"kind": "rinse"}, U),
        ("not known", {}, U),
    ],
    "us.tc.no_copper": [
        ("Table 1 has no copper", {"cu_mg_per_l": 0.001}, A),
        ("Table 1 has no copper", {"cu_mg_per_kg": 0.001}, A),
        ("none of it", {"cu_mg_per_l": 0, "cu_mg_per_kg": 0}, N),
        ("one not known", {"cu_mg_per_l": 0}, U),
        ("not known", {}, U),
    ],
    "us.tc.other_metals": yes("261.24 Table 1, D004 to D011", "may_hold_other_metals"),
    "us.tc.leached_metals": [
        *leached(LEACHED_METALS),
        ("one at its limit, the others not known", {"tclp_lead": 5}, A),
        ("not known", {}, U),
    ],
    "us.tc.leached_solvents": [
        *leached(LEACHED_SOLVENTS),
        ("one at its limit, the others not known", {"tclp_mek": 200}, A),
        ("not known", {}, U),
    ],
    "us.tc.solvents": yes("261.24 Table 1, D018, D035, D039, D040", "may_hold_toxic_solvents"),
    "us.f006": [
        *word(
            "261.31 F006; EPA 2 May 1986",
            "process",
            ["electrolytic etching", "chemical etching"],
            "printing",
            {"is_treatment_sludge": True},
        ),
        (
            "F006 (6): not of aluminium",
            {"is_treatment_sludge": True, "process": "chemical etching of aluminium"},
            N,
        ),
        ("F006: sludges of treatment", {"is_treatment_sludge": False, "process": "chemical etching"}, N),
        ("F006: sludges of treatment", {"process": "chemical etching"}, U),
    ],
    "us.f002_f005": [
        *limit("261.31 F002, F005: ten percent or more", "f_listed_before_use_percent", 10, 0.01, AT_LEAST, SOLVENT),
        ("spent, used as solvent", {"used_as_solvent": False, "f_listed_before_use_percent": 100}, N),
        ("spent, used as solvent", {"f_listed_before_use_percent": 100}, U),
    ],
    "us.f003": [
        ("261.31 F003: only these", SOLVENT | {"f003_only_before_use": True}, A),
        *limit(
            "F003: one of these and ten percent or more of the others",
            "f_listed_before_use_percent",
            10,
            0.01,
            AT_LEAST,
            SOLVENT | {"f003_only_before_use": False, "f003_present_before_use": True},
        ),
        (
            "F003: none of these",
            SOLVENT
            | {
                "f003_only_before_use": False,
                "f003_present_before_use": False,
                "f_listed_before_use_percent": 50,
            },
            N,
        ),
        ("spent", {"used_as_solvent": False, "f003_only_before_use": True}, N),
        ("not known", SOLVENT, U),
        ("not known", {}, U),
    ],
    "us.u_listed": [
        *word(
            "261.33(f)",
            "sole_active_substance",
            [
                "acetone",
                "toluene",
                "xylene",
                "methanol",
                "methyl ethyl ketone",
                "ethyl acetate",
                "another of the U list",
            ],
            "none of these lists",
            {"is_unused_product": True},
        ),
        ("261.33(e) is the other list", {"is_unused_product": True, "sole_active_substance": "one of the P list"}, N),
        ("54 FR 31335: not once used", {"is_unused_product": False, "sole_active_substance": "toluene"}, N),
        ("54 FR 31335: not once used", {"sole_active_substance": "toluene"}, U),
    ],
    "us.p_listed": [
        *word("261.33(e)", "sole_active_substance", ["one of the P list"], "acetone", {"is_unused_product": True}),
        ("not once used", {"is_unused_product": False, "sole_active_substance": "one of the P list"}, N),
        ("not once used", {"sole_active_substance": "one of the P list"}, U),
    ],
    "us.wipes": [
        *yes("261.4(b)(18)(v): no free liquids", "drips", value=False, also=WIPE),
        ("a wipe", SOLVENT | {"is_wipe": False, "drips": False}, N),
        ("contaminated by solvent", {"is_wipe": True, "used_as_solvent": False, "drips": False}, N),
        ("contaminated by solvent", {"is_wipe": True, "drips": False}, U),
    ],
    "us.wipes.drip": [
        *yes("261.4(b)(18)(v): free liquids", "drips", also=WIPE),
        ("a wipe", SOLVENT | {"is_wipe": False, "drips": True}, N),
        ("contaminated by solvent", {"is_wipe": True, "used_as_solvent": False, "drips": True}, N),
    ],
    "us.scrap": [
        *word(
            "261.6(a)(3)(ii): recycled",
            "route",
            ["scrap dealer"],
            "household bin",
            {"is_scrap_metal": True, "is_loose_powder": False},
        ),
        ("261.1(c)(6): pieces", {"is_scrap_metal": False, "is_loose_powder": False, "route": "scrap dealer"}, N),
        ("RCRA Online 14888", {"is_scrap_metal": True, "is_loose_powder": True, "route": "scrap dealer"}, N),
        ("not known", {}, U),
    ],
    "us.scrap.powder": yes("261.1(c)(6); RCRA Online 14888", "is_loose_powder"),
    "us.month.very_small": [
        *limit("262.13 Table 1: 100 kg or less", "hazardous_month_kg", 100, 0.01, AT_MOST, SHOP_MONTH),
        *limit(
            "Table 1: 1 kg or less of acute",
            "acute_month_kg",
            1,
            0.01,
            AT_MOST,
            SHOP | {"hazardous_month_kg": 5, "acute_spill_month_kg": 0},
        ),
        *limit(
            "Table 1: 100 kg or less of spill residue",
            "acute_spill_month_kg",
            100,
            0.01,
            AT_MOST,
            SHOP | {"hazardous_month_kg": 5, "acute_month_kg": 0},
        ),
        ("261.4(b)(1)", HOME | NO_ACUTE | {"hazardous_month_kg": 5}, N),
        ("household or not", NO_ACUTE | {"hazardous_month_kg": 5}, U),
        ("acute waste is asked first", SHOP | {"hazardous_month_kg": 5}, U),
    ],
    "us.month.small": [
        *limit("Table 1: more than 100 kg", "hazardous_month_kg", 100, 0.01, ABOVE, SHOP_MONTH),
        *limit("Table 1: less than 1,000 kg", "hazardous_month_kg", 1000, 0.01, BELOW, SHOP_MONTH),
        *limit(
            "Table 1: 1 kg or less of acute",
            "acute_month_kg",
            1,
            0.01,
            AT_MOST,
            SHOP | {"hazardous_month_kg": 500, "acute_spill_month_kg": 0},
        ),
        *limit(
            "Table 1: 100 kg or less of spill residue",
            "acute_spill_month_kg",
            100,
            0.01,
            AT_MOST,
            SHOP | {"hazardous_month_kg": 500, "acute_month_kg": 0},
        ),
        ("261.4(b)(1)", HOME | NO_ACUTE | {"hazardous_month_kg": 500}, N),
        ("household or not", NO_ACUTE | {"hazardous_month_kg": 500}, U),
        ("acute waste is asked first", SHOP | {"hazardous_month_kg": 500}, U),
    ],
    "us.month.large": [
        *limit("Table 1: 1,000 kg or more", "hazardous_month_kg", 1000, 0.01, AT_LEAST, SHOP_MONTH),
        *limit(
            "Table 1: more than 1 kg of acute",
            "acute_month_kg",
            1,
            0.01,
            ABOVE,
            SHOP | {"hazardous_month_kg": 5, "acute_spill_month_kg": 0},
        ),
        *limit(
            "Table 1: more than 100 kg of spill residue",
            "acute_spill_month_kg",
            100,
            0.01,
            ABOVE,
            SHOP | {"hazardous_month_kg": 5, "acute_month_kg": 0},
        ),
        ("any of the three suffices", SHOP | {"hazardous_month_kg": 1000}, A),
        ("261.4(b)(1)", HOME | {"hazardous_month_kg": 5000}, N),
        ("household or not", {"hazardous_month_kg": 5000}, U),
        ("acute waste is asked first", SHOP | {"hazardous_month_kg": 5}, U),
    ],
    "us.month.household": yes("261.4(b)(1)", "is_household"),
    "us.month.episode": [
        *limit("262.231: exceeds the limits of its category", "hazardous_month_kg", 100, 0.01, ABOVE, SHOP),
        ("262.230: of generators", HOME | {"hazardous_month_kg": 500}, N),
        ("262.230: of generators", {"hazardous_month_kg": 500}, U),
    ],
    "us.on_site.very_small": [
        *limit(
            "262.14(a)(4): 1,000 kg or greater",
            "hazardous_on_site_kg",
            1000,
            0.01,
            AT_LEAST,
            SHOP | {"hazardous_month_kg": 100},
        ),
        *limit(
            "262.14: of a very small one",
            "hazardous_month_kg",
            100,
            0.01,
            AT_MOST,
            SHOP | {"hazardous_on_site_kg": 1000},
        ),
        ("262.14: of a very small one", SHOP | {"hazardous_on_site_kg": 1000}, U),
        ("261.4(b)(1)", HOME | {"hazardous_month_kg": 5, "hazardous_on_site_kg": 1000}, N),
        ("household or not", {"hazardous_month_kg": 5, "hazardous_on_site_kg": 1000}, U),
    ],
    "us.on_site.small": [
        *limit(
            "262.16(b)(1): never exceeds 6,000 kg",
            "hazardous_on_site_kg",
            6000,
            0.01,
            ABOVE,
            SHOP | {"hazardous_month_kg": 500},
        ),
        *limit("262.16: a small one", "hazardous_month_kg", 100, 0.01, ABOVE, SHOP | {"hazardous_on_site_kg": 7000}),
        *limit("262.16: a small one", "hazardous_month_kg", 1000, 0.01, BELOW, SHOP | {"hazardous_on_site_kg": 7000}),
        ("261.4(b)(1)", HOME | {"hazardous_month_kg": 500, "hazardous_on_site_kg": 7000}, N),
        ("household or not", {"hazardous_month_kg": 500, "hazardous_on_site_kg": 7000}, U),
    ],
    "us.container": [
        *EXCEPT_HOMES,
        ("262.16(b)(2): hazardous waste", SHOP | {"counted_as_hazardous": False}, N),
        ("household or not", COUNTED, U),
        ("nobody decided", SHOP, U),
    ],
    "us.point_of_use": [
        *yes("262.15(a): at or near the point of generation", "at_point_of_use", also=SHOP),
        ("261.4(b)(1)", HOME | {"at_point_of_use": True}, N),
        ("household or not", {"at_point_of_use": True}, U),
    ],
    "us.age": [
        *limit(
            "30 days before 180: ours", "container_age_days", 150, 1, AT_LEAST, SHOP | {"hazardous_month_kg": 100.01}
        ),
        *limit(
            "262.16(b): of more than 100 kg a month",
            "hazardous_month_kg",
            100,
            0.01,
            ABOVE,
            SHOP | {"container_age_days": 150, "is_wipe": False},
        ),
        ("261.4(b)(18)(ii): or wipes", SHOP | WIPE | {"container_age_days": 150, "hazardous_month_kg": 5}, A),
        (
            "261.4(b)(18)(ii): of solvent",
            SHOP | {"is_wipe": True, "used_as_solvent": False, "container_age_days": 150, "hazardous_month_kg": 5},
            N,
        ),
        ("261.4(b)(1)", HOME | WIPE | {"container_age_days": 150}, N),
        ("household or not", WIPE | {"container_age_days": 150}, U),
    ],
    "us.consolidate": [
        *limit("262.14(a)(5): a very small one", "hazardous_month_kg", 100, 0.01, AT_MOST, SHOP | COUNTED),
        ("hazardous waste", SHOP | {"counted_as_hazardous": False, "hazardous_month_kg": 5}, N),
        ("261.4(b)(1)", HOME | COUNTED | {"hazardous_month_kg": 5}, N),
        ("household or not", COUNTED | {"hazardous_month_kg": 5}, U),
    ],
    "us.land_disposal": [
        *limit("268.1(e)(1): a very small one is left out", "hazardous_month_kg", 100, 0.01, ABOVE, SHOP | COUNTED),
        ("hazardous waste", SHOP | {"counted_as_hazardous": False, "hazardous_month_kg": 500}, N),
        ("261.4(b)(1)", HOME | COUNTED | {"hazardous_month_kg": 500}, N),
        ("household or not", COUNTED | {"hazardous_month_kg": 500}, U),
    ],
    "us.shipping": [
        *EXCEPT_HOMES,
        ("hazardous waste", SHOP | {"counted_as_hazardous": False}, N),
        ("household or not", COUNTED, U),
        ("nobody decided", SHOP, U),
    ],
    "us.universal": word("273.9: spray cans, lamps, batteries", "kind", ["empties"], "rinse"),
    "us.used_oil": word("279.1", "kind", ["rags_drying_oil", "solvent_spent", "ground_scrap"], "rinse"),
    "us.sewer.ph": [
        *limit("403.5(b)(2): lower than 5.0", "ph", 5, 0.01, BELOW, LIQUID),
        ("a discharge", {"is_liquid": False, "ph": 1}, N),
        ("a discharge", {"ph": 1}, U),
    ],
    "us.sewer.flash": [
        *limit("403.5(b)(1): less than 60 °C", "flash_point_c", 60, 0.1, BELOW, LIQUID),
        ("a discharge", {"is_liquid": False, "flash_point_c": 1}, N),
        ("a discharge", {"flash_point_c": 1}, U),
    ],
    "us.sewer.copper": limit("a town's limit, above it", "cu_mg_per_l", 0.06, 0.001, ABOVE),
    "us.sewer.hazardous": [
        *word("403.12(p)(1)", "route", ["sewer", "drain"], "hauler", SHOP | COUNTED),
        ("hazardous waste", SHOP | {"counted_as_hazardous": False, "route": "sewer"}, N),
        ("403.3: of a non-domestic source", HOME | COUNTED | {"route": "sewer"}, N),
        ("household or not", COUNTED | {"route": "sewer"}, U),
    ],
    "us.outdoors": word("Clean Water Act s. 301, 311", "route", OUTDOORS, "laundry"),
    "us.release": limit("302.6(a): equal to or exceeding 10 lb", "cuso4_released_24h_kg", 4.54, 0.01, AT_LEAST),
    "us.evaporate": [
        *word("RCRA s. 1004(34)", "route", ["left to evaporate"], "hauler", SHOP | COUNTED),
        ("hazardous waste", SHOP | DRIES | {"counted_as_hazardous": False}, N),
        ("261.4(b)(1)", HOME | DRIES | COUNTED, N),
        ("household or not", DRIES | COUNTED, U),
    ],
    "us.treatment": [
        *yes("270.1(c)", "treats_on_site", also=SHOP | COUNTED),
        ("hazardous waste", SHOP | {"treats_on_site": True, "counted_as_hazardous": False}, N),
        ("261.4(b)(1)", HOME | {"treats_on_site": True}, N),
        ("nobody decided", SHOP | {"treats_on_site": True}, U),
        ("household or not", COUNTED | {"treats_on_site": True}, U),
    ],
    "us.record": [
        *EXCEPT_HOMES,
        ("262.40: hazardous waste", SHOP | {"counted_as_hazardous": False}, N),
        ("household or not", COUNTED, U),
        ("nobody decided", SHOP, U),
    ],
    "us-ca.copper.soluble": [
        *limit("66261.24(a)(2): equals or exceeds", "cu_mg_per_l", 25, 0.01, AT_LEAST, {"us_state": "CA"}),
        ("of one state", {"us_state": "OR", "cu_mg_per_l": 1000}, N),
        ("of one state", {"cu_mg_per_l": 1000}, U),
    ],
    "us-ca.copper.total": [
        *limit(
            "66261.24(a)(2): equals or exceeds",
            "cu_mg_per_kg",
            2500,
            0.01,
            AT_LEAST,
            {"us_state": "CA", "is_scrap_metal": False},
        ),
        ("note: elemental metal only if powdered", {"us_state": "CA", "is_scrap_metal": True, "cu_mg_per_kg": 1e6}, N),
        ("note: elemental metal only if powdered", {"us_state": "CA", "cu_mg_per_kg": 2500}, U),
        ("of one state", {"us_state": "OR", "is_scrap_metal": False, "cu_mg_per_kg": 2500}, N),
    ],
    "eu.list_of_waste": ALWAYS,
    "eu.list_of_waste.peroxide": word("Decision 2000/532/EC, 16 09 03*", "kind", ["peroxide_mix"], "bleach"),
    "eu.household": yes("Dir. 2008/98/EC Art. 20", "is_household"),
    "eu.hp1": codes(
        "HP 1", "h_codes", ["H200", "H201", "H202", "H203", "H204", "H240", "H241"], "H205"
    ),  # H205 is HP 15
    "eu.hp2": [
        *(("HP 2, Table 1", {"h_codes": [code], "kind": "rinse"}, A) for code in ("H270", "H271", "H272")),
        ("HP 2: contains one of these", {"kind": "peroxide_mix"}, A),
        ("HP 2, Table 1", {"h_codes": ["H225"], "kind": "rinse"}, N),
        ("HP 2", {"h_codes": []}, U),
        ("not known", {}, U),
    ],
    "eu.hp3": [
        *limit(
            "HP 3, first indent: below 60 °C",
            "flash_point_c",
            60,
            0.1,
            BELOW,
            LIQUID | {"is_gas_oil": False, "h_codes": [], "kind": "solvent_spent"},
        ),
        *limit(
            "HP 3, first indent: gas oil to 75 °C",
            "flash_point_c",
            75,
            0.1,
            AT_MOST,
            LIQUID | {"is_gas_oil": True, "h_codes": [], "kind": "solvent_spent"},
        ),
        *limit(
            "HP 3, first indent: gas oil above 55 °C",
            "flash_point_c",
            55,
            0.1,
            (A, A, A),
            LIQUID | {"is_gas_oil": True, "h_codes": [], "kind": "solvent_spent"},
        )[:3],
        ("gas oil or not", LIQUID | {"flash_point_c": 65, "h_codes": [], "kind": "solvent_spent"}, U),
        ("first indent: a liquid", NO_HP3 | {"is_liquid": False, "flash_point_c": 20}, U),
        ("third indent: a solid", NO_HP3 | {"is_liquid": False, "is_readily_combustible": True}, A),
        ("third indent: a solid", NO_HP3 | {"is_liquid": False, "is_readily_combustible": False}, N),
        ("third indent: a solid", NO_HP3 | {"is_readily_combustible": True}, N),
        ("sixth indent: self-heating", {"kind": "rags_drying_oil"}, A),
        *(
            (f"HP 3, {code}", NO_HP3 | {"h_codes": [code]}, A)
            for code in ["H220", "H221", "H222", "H223", "H228", "H242", "H250", "H251", "H252", "H260", "H261"]
        ),
        # H226 goes to and with 60 °C: the flash point decides
        ("HP 3, H226", NO_HP3 | {"h_codes": ["H226"]}, N),
        ("none of them", NO_HP3, N),
        ("not known", LIQUID | {"flash_point_c": 200, "is_gas_oil": False, "kind": "rinse"}, U),
        ("not known", {}, U),
    ],
    "eu.hp4": [
        *limit("HP 4: H318, 10 % or more", "h318_percent", 10, 0.01, AT_LEAST, without(NO_HP4, "h318_percent")),
        *limit(
            "HP 4: H315 and H319, 20 % or more",
            "h315_h319_percent",
            20,
            0.01,
            AT_LEAST,
            without(NO_HP4, "h315_h319_percent"),
        ),
        *limit(
            "HP 4: H314 1A, 1 % or more",
            "h314_1a_percent",
            1,
            0.01,
            AT_LEAST,
            without(NO_HP4, "h314_1a_percent") | {"h314_percent": 4},
        ),
        *limit(
            "HP 8 goes before it, from 5 %",
            "h314_percent",
            5,
            0.01,
            BELOW,
            NO_HP4 | {"h314_1a_percent": 4, "h318_percent": 10},
        )[:4],
        ("HP 8 goes before it, from 5 %", NO_HP4 | {"h318_percent": 20, "h314_percent": 5}, N),
        ("below 5 % it does not", NO_HP4 | {"h318_percent": 20, "h314_percent": 4.99}, A),
        ("H314 not known", {"h318_percent": 20}, U),
        ("not known", {}, U),
    ],
    "eu.hp8": limit("HP 8: 5 % or more", "h314_percent", 5, 0.01, AT_LEAST),
    "eu.hp8.ph": [
        *limit("WM3 C8: pH of 2 or less", "ph", 2, 0.01, AT_MOST),
        *limit("WM3 C8: or 11.5 or more", "ph", 11.5, 0.01, AT_LEAST),
    ],
    "eu.hp5": [
        *(
            row
            for key, at in [
                ("h370_percent", 1),
                ("h371_percent", 10),
                ("h335_percent", 20),
                ("h372_percent", 1),
                ("h373_percent", 10),
            ]
            for row in limit("HP 5, Table 4", key, at, 0.01, AT_LEAST, without(NO_ORGANS, key))
        ),
        *limit(
            "HP 5: H304, 10 % or more",
            "h304_percent",
            10,
            0.01,
            AT_LEAST,
            without(NO_ORGANS, "h304_percent") | {"viscosity_40c_mm2_per_s": 1},
        ),
        *limit(
            "HP 5: viscosity does not exceed 20.5 mm²/s",
            "viscosity_40c_mm2_per_s",
            20.5,
            0.01,
            AT_MOST,
            NO_ORGANS | {"h304_percent": 10},
        ),
        ("not known", {}, U),
    ],
    "eu.hp6": [
        row
        for key, at in [
            ("h300_1_percent", 0.1),
            ("h300_2_percent", 0.25),
            ("h301_percent", 5),
            ("h302_percent", 25),
            ("h310_1_percent", 0.25),
            ("h310_2_percent", 2.5),
            ("h311_percent", 15),
            ("h312_percent", 55),
            ("h330_1_percent", 0.1),
            ("h330_2_percent", 0.5),
            ("h331_percent", 3.5),
            ("h332_percent", 22.5),
        ]
        for row in limit("HP 6, Table 5", key, at, 0.01, AT_LEAST, without(NOT_ACUTE, key))
    ],
    "eu.hp7": [
        *limit("HP 7, Table 6: H350", "h350_percent", 0.1, 0.01, AT_LEAST, {"h351_percent": 0}),
        *limit("HP 7, Table 6: H351", "h351_percent", 1, 0.01, AT_LEAST, {"h350_percent": 0}),
    ],
    "eu.hp10": [
        *limit("HP 10, Table 7: H360", "h360_percent", 0.3, 0.01, AT_LEAST, {"h361_percent": 0}),
        *limit("HP 10, Table 7: H361", "h361_percent", 3, 0.01, AT_LEAST, {"h360_percent": 0}),
    ],
    "eu.hp11": [
        *limit("HP 11, Table 8: H340", "h340_percent", 0.1, 0.01, AT_LEAST, {"h341_percent": 0}),
        *limit("HP 11, Table 8: H341", "h341_percent", 1, 0.01, AT_LEAST, {"h340_percent": 0}),
    ],
    "eu.hp12": codes("HP 12", "euh_codes", ["EUH029", "EUH031", "EUH032"], "EUH066"),
    "eu.hp13": [
        *limit("HP 13: H317, 10 % or more", "h317_percent", 10, 0.01, AT_LEAST, {"h334_percent": 0}),
        *limit("HP 13: H334, 10 % or more", "h334_percent", 10, 0.01, AT_LEAST, {"h317_percent": 0}),
    ],
    "eu.hp14.acute": limit("2017/997: H400, 25 % or more", "h400_percent", 25, 0.01, AT_LEAST),
    "eu.hp14.chronic": limit("2017/997: weighted, 25 % or more", "chronic_aquatic_index", 25, 0.01, AT_LEAST),
    "eu.hp14.all_chronic": limit("2017/997: H410 to H413", "h410_to_h413_percent", 25, 0.01, AT_LEAST),
    "eu.hp14.ozone": codes("2017/997: H420", "h_codes", ["H420"], "H410"),
    "eu.hp15": [
        *(("HP 15, Table 9", {"euh_codes": [code], "h_codes": []}, A) for code in ("EUH001", "EUH019", "EUH044")),
        ("HP 15, Table 9: H205", {"h_codes": ["H205"]}, A),
        ("HP 15, Table 9", {"euh_codes": ["EUH066"], "h_codes": ["H204"]}, N),
        ("one not known", {"euh_codes": []}, U),
        ("not known", {}, U),
    ],
    "eu.sewer.copper": limit("any copper", "cu_mg_per_l", 0.001, 0.001, (N, A, A)),
    "eu.landfill.copper": limit(
        "2003/33/EC Annex 2.4.1, L/S 10: 100 mg/kg", "leached_cu_mg_per_kg", 100, Fraction(1, 1000), ABOVE
    ),
    "eu.mixing": yes("Dir. 2008/98/EC Art. 18(1): thinning is mixing", "mixes_wastes"),
    "eu.record": [
        *EXCEPT_HOMES,
        ("Art. 35(1): producers of hazardous waste", SHOP | {"counted_as_hazardous": False}, N),
        ("Art. 20: household or not", COUNTED, U),
        ("nobody decided", SHOP, U),
    ],
    "gb.method": ALWAYS,
    "gb.household": yes("2005 Regulations reg. 12", "is_household"),
    "gb.consignment": [
        *EXCEPT_HOMES,
        ("hazardous waste", SHOP | {"counted_as_hazardous": False}, N),
        ("household or not", COUNTED, U),
        ("nobody decided", SHOP, U),
    ],
    "gb.record": [
        *EXCEPT_HOMES,
        ("hazardous waste", SHOP | {"counted_as_hazardous": False}, N),
        ("household or not", COUNTED, U),
        ("nobody decided", SHOP, U),
    ],
    "gb.sewer": [
        *yes("Water Industry Act 1991 s. 118", "is_liquid", also=SHOP),
        ("s. 141: not domestic sewage", HOME | LIQUID, N),
        ("household or not", LIQUID, U),
    ],
}
