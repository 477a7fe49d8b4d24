"""For each rule a waste it speaks of, one it does not, and one of which too little is known; limits on both sides."""

NO_H314 = {"h314_percent": 0, "h314_1a_percent": 0}
NO_ORGANS = {f"h{code}_percent": 0 for code in (370, 371, 335, 372, 373, 304)}
NOT_ACUTE = {
    f"h{code}_percent": 0
    for code in ("300_1", "300_2", "301", "302", "310_1", "310_2", "311", "312", "330_1", "330_2", "331", "332")
}
SOLVENT = {"used_as_solvent": True}
WIPE = {"is_wipe": True, "used_as_solvent": True}

# rule: (it applies, it does not apply, it needs info)
EXAMPLES = {
    "generic.product_in_use": ({"is_discarded": False}, {"is_discarded": True}, {}),
    "generic.copper.water": ({"cu_mg_per_l": 0.001}, {"cu_mg_per_l": 0}, {"cu_mg_per_l": (0, 0.001)}),
    "generic.copper.sewer": ({"cu_mg_per_l": 0.001}, {"cu_mg_per_l": 0}, {"ph": 7}),
    "generic.copper.solids": (
        {"is_treatment_sludge": True},
        {"cu_mg_per_kg": 0, "is_loose_powder": False, "is_treatment_sludge": False},
        {"cu_mg_per_kg": 0, "is_loose_powder": False},
    ),
    "generic.outdoors": ({"route": "septic tank"}, {"route": "hauler"}, {}),
    "generic.drain_unknown": ({"route": "drain"}, {"route": "sewer"}, {}),
    "generic.evaporate": ({"route": "left to evaporate"}, {"route": "hauler"}, {}),
    "generic.flammable": (
        {"is_liquid": True, "flash_point_c": 93},
        {"is_liquid": True, "flash_point_c": 93.1},
        {"is_liquid": True, "flash_point_c": (60, 500)},
    ),
    "generic.self_heating": ({"kind": "rags_drying_oil"}, {"kind": "rags_copper"}, {}),
    "generic.pressure": ({"kind": "peroxide_mix"}, {"kind": "rinse"}, {}),
    "generic.corrosive": ({"ph": 2}, {"ph": 2.01}, {"ph": (1.9, 2.1)}),
    "generic.other_metals": ({"may_hold_other_metals": True}, {"may_hold_other_metals": False}, {}),
    "generic.treatment": (
        {"treats_on_site": True},
        {"treats_on_site": False, "is_treatment_sludge": False},
        {"treats_on_site": False},
    ),
    "generic.mixing": ({"mixes_wastes": True}, {"mixes_wastes": False}, {}),
    "generic.back_into_the_bath": (
        {"kind": "rinse", "only_copper_solution": True},
        {"kind": "rinse", "only_copper_solution": False},
        {"kind": "rinse"},
    ),
    "generic.fill": ({"container_fill_percent": 90}, {"container_fill_percent": 89.9}, {}),
    "generic.age": ({"container_age_days": 365}, {"container_age_days": 364}, {}),
    "generic.release": ({"cuso4_released_24h_kg": 0.001}, {"cuso4_released_24h_kg": 0}, {}),
    "us.d001.liquid": (
        {"is_liquid": True, "flash_point_c": 59.9, "water_percent": 90, "alcohol_percent": 24},
        {"is_liquid": True, "flash_point_c": 60},
        {"is_liquid": True, "flash_point_c": 59.9, "water_percent": 50},
    ),
    "us.d001.oxidizer": ({"h_codes": ["H272"]}, {"h_codes": ["H318"]}, {}),
    "us.d001.self_heating": ({"kind": "rags_drying_oil"}, {"kind": "rags_solvent"}, {}),
    "us.d002": ({"is_liquid": True, "ph": 12.5}, {"is_liquid": True, "ph": 12.49}, {"is_liquid": True}),
    "us.d003": ({"kind": "peroxide_mix"}, {"kind": "bleach"}, {}),
    "us.tc.no_copper": ({"cu_mg_per_kg": 1}, {"cu_mg_per_l": 0, "cu_mg_per_kg": 0}, {"cu_mg_per_l": 0}),
    "us.tc.other_metals": ({"may_hold_other_metals": True}, {"may_hold_other_metals": False}, {}),
    "us.f006": (
        {"is_treatment_sludge": True, "process": "electrolytic etching"},
        {"is_treatment_sludge": True, "process": "printing"},
        {"is_treatment_sludge": True},
    ),
    "us.f002_f005": (
        SOLVENT | {"f_listed_before_use_percent": 10},
        SOLVENT | {"f_listed_before_use_percent": 9.99},
        {"f_listed_before_use_percent": 10},
    ),
    "us.f003": (
        SOLVENT | {"f003_only_before_use": True},
        SOLVENT | {"f003_only_before_use": False, "f003_present_before_use": False},
        SOLVENT | {"f003_only_before_use": False, "f003_present_before_use": True},
    ),
    "us.wipes": (WIPE | {"drips": False}, WIPE | {"drips": True}, WIPE),
    "us.wipes.drip": (WIPE | {"drips": True}, {"is_wipe": False}, WIPE),
    "us.scrap": (
        {"is_scrap_metal": True, "is_loose_powder": False, "route": "scrap dealer"},
        {"is_loose_powder": True},
        {"is_scrap_metal": True, "is_loose_powder": False},
    ),
    "us.scrap.powder": ({"is_loose_powder": True}, {"is_loose_powder": False}, {}),
    "us.month.very_small": ({"hazardous_month_kg": 100}, {"hazardous_month_kg": 100.01}, {}),
    "us.month.small": (
        {"hazardous_month_kg": 100.01},
        {"hazardous_month_kg": 1000},
        {"hazardous_month_kg": (100, 200)},
    ),
    "us.month.large": ({"hazardous_month_kg": 1000}, {"hazardous_month_kg": 999.99}, {}),
    "us.on_site.very_small": (
        {"hazardous_month_kg": 100, "hazardous_on_site_kg": 1000.1},
        {"hazardous_month_kg": 100, "hazardous_on_site_kg": 1000},
        {"hazardous_on_site_kg": 1000.1},
    ),
    "us.on_site.small": (
        {"hazardous_month_kg": 500, "hazardous_on_site_kg": 6000.1},
        {"hazardous_month_kg": 500, "hazardous_on_site_kg": 6000},
        {"hazardous_month_kg": 500},
    ),
    "us.container": ({"counted_as_hazardous": True}, {"counted_as_hazardous": False}, {}),
    "us.point_of_use": ({"at_point_of_use": True}, {"at_point_of_use": False}, {}),
    "us.age": (
        {"container_age_days": 150, "hazardous_month_kg": 101},
        {"container_age_days": 149},
        {"container_age_days": 150, "hazardous_month_kg": 100},
    ),
    "us.sewer.ph": ({"is_liquid": True, "ph": 4.99}, {"is_liquid": True, "ph": 5}, {"is_liquid": True}),
    "us.sewer.flash": (
        {"is_liquid": True, "flash_point_c": 59.9},
        {"is_liquid": True, "flash_point_c": 60},
        {"is_liquid": True},
    ),
    "us.sewer.copper": ({"cu_mg_per_l": 0.061}, {"cu_mg_per_l": 0.06}, {"cu_mg_per_l": (0.05, 0.07)}),
    "us.sewer.hazardous": (
        {"counted_as_hazardous": True, "route": "sewer"},
        {"counted_as_hazardous": True, "route": "hauler"},
        {"route": "drain"},
    ),
    "us.outdoors": ({"route": "storm drain"}, {"route": "laundry"}, {}),
    "us.release": ({"cuso4_released_24h_kg": 4.54}, {"cuso4_released_24h_kg": 4.53}, {}),
    "us.evaporate": (
        {"route": "left to evaporate", "counted_as_hazardous": True},
        {"route": "back into use"},
        {"route": "left to evaporate"},
    ),
    "us.treatment": (
        {"treats_on_site": True, "counted_as_hazardous": True},
        {"treats_on_site": True, "counted_as_hazardous": False},
        {"treats_on_site": True},
    ),
    "us.record": ({"counted_as_hazardous": True}, {"counted_as_hazardous": False}, {}),
    "us-ca.copper.soluble": (
        {"us_state": "CA", "cu_mg_per_l": 25},
        {"us_state": "CA", "cu_mg_per_l": 24.9},
        {"cu_mg_per_l": 25},
    ),
    "us-ca.copper.total": (
        {"us_state": "CA", "cu_mg_per_kg": 2500, "is_scrap_metal": False},
        {"us_state": "CA", "cu_mg_per_kg": 2499.9, "is_scrap_metal": False},
        {"us_state": "CA", "cu_mg_per_kg": 2500},
    ),
    "eu.hp2": ({"h_codes": ["H272", "H318"]}, {"h_codes": []}, {}),
    "eu.hp3": (
        {"is_liquid": True, "flash_point_c": 59.9},
        {"is_liquid": True, "flash_point_c": 60},
        {"flash_point_c": 59.9},
    ),
    "eu.hp4": (
        {"h318_percent": 10},
        {"h318_percent": 9.99, "h315_h319_percent": 19.99} | NO_H314,
        {"h318_percent": 9.99, "h315_h319_percent": 19.99},
    ),
    "eu.hp8": ({"h314_percent": 5}, {"h314_percent": 4.99}, {}),
    "eu.hp8.ph": ({"ph": 11.5}, {"ph": 11.49}, {}),
    "eu.hp5": ({"h373_percent": 10}, NO_ORGANS, {"h373_percent": 9.99}),
    "eu.hp6": ({"h302_percent": 25}, NOT_ACUTE, {"h302_percent": 24.99}),
    "eu.hp7": ({"h351_percent": 1}, {"h350_percent": 0.09, "h351_percent": 0.99}, {"h350_percent": 0.09}),
    "eu.hp10": ({"h361_percent": 3}, {"h360_percent": 0.29, "h361_percent": 2.99}, {"h361_percent": 2.99}),
    "eu.hp11": ({"h341_percent": 1}, {"h340_percent": 0.09, "h341_percent": 0.99}, {"h341_percent": 0.99}),
    "eu.hp12": ({"euh_codes": ["EUH031"]}, {"euh_codes": ["EUH066"]}, {}),
    "eu.hp13": ({"h317_percent": 10}, {"h317_percent": 9.99, "h334_percent": 9.99}, {"h317_percent": 9.99}),
    "eu.hp14.acute": ({"h400_percent": 25}, {"h400_percent": 24.99}, {"h400_percent": (20, 30)}),
    "eu.hp14.chronic": ({"chronic_aquatic_index": 25}, {"chronic_aquatic_index": 24.99}, {}),
    "eu.hp14.all_chronic": ({"h410_to_h413_percent": 25}, {"h410_to_h413_percent": 24.99}, {}),
    "eu.hp15": ({"euh_codes": ["EUH019"]}, {"euh_codes": []}, {}),
    "eu.sewer.copper": ({"cu_mg_per_l": 0.01}, {"cu_mg_per_l": 0}, {}),
    "eu.mixing": ({"mixes_wastes": True}, {"mixes_wastes": False}, {}),
    "eu.record": ({"counted_as_hazardous": True}, {"counted_as_hazardous": False}, {}),
    "gb.consignment": ({"counted_as_hazardous": True}, {"counted_as_hazardous": False}, {}),
    "gb.record": ({"counted_as_hazardous": True}, {"counted_as_hazardous": False}, {}),
    "gb.sewer": ({"is_liquid": True}, {"is_liquid": False}, {}),
}
