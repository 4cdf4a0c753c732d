"""Jobs as people write them in mail, each with the slots that a reading should give. Invented people and places."""

from typing import Any

Job = tuple[str, dict[str, Any], list[dict[str, Any]]]
D2D = "dusk_to_dawn"

JOBS: dict[str, Job] = {
    "lot": (
        "We have 14 400W metal halide shoebox heads on 25 ft poles, 480V, bronze.\nWhat would LED save us at 11 cents a kWh, dusk to dawn?",
        {"rate_per_kwh": 0.11, "schedule": D2D},
        [
            {
                "qty": 14,
                "family": "area",
                "source": "MH",
                "watts": 400,
                "height_ft": 25,
                "voltage": 480,
                "finish": "bronze",
            }
        ],
    ),
    "packs": (
        "Please price a replacement for twelve 250W wallpacks at 20 ft. They run dusk-to-dawn and we pay $0.11/kWh.",
        {"rate_per_kwh": 0.11, "schedule": D2D},
        [{"qty": 12, "family": "wall_pack", "watts": 250, "height_ft": 20}],
    ),
    "bays": (
        "Need a quote on 36 high bays, 400W MH, 24 ft mounting height, 277V. Two shifts, 5 days a week. Rate is 9.5 cents.",
        {"rate_per_kwh": 0.095, "schedule": {"hours_per_day": 16, "days_per_week": 5}},
        [{"qty": 36, "family": "high_bay", "source": "MH", "watts": 400, "height_ft": 24, "voltage": 277}],
    ),
    "troffers": (
        "Our office has 120 2x4 troffers with 4 F32T8 lamps each, lights on 7am to 6pm Mon-Fri. Power is 13 cents.",
        {"rate_per_kwh": 0.13, "schedule": {"hours_per_day": 11, "days_per_week": 5}},
        [
            {
                "qty": 120,
                "family": "troffer",
                "size": "2x4",
                "lamps": 4,
                "source": "T8",
                "watts": 32,
                "lamp_feet": 4,
            }
        ],
    ),
    "garage": (
        "Parking garage, level 1 and 2: 88 garage lights, 150W HPS, on 24/7. We pay 0.14 per kWh and want payback inside 3 years.",
        {"rate_per_kwh": 0.14, "schedule": "always_on", "payback_limit_years": 3},
        [{"qty": 88, "family": "garage", "source": "HPS", "watts": 150}],
    ),
    "street": (
        "Looking for LED cobra heads to replace 45 150W HPS street lights at 30 ft, type III, 3000K, with photocells.",
        {},
        [
            {
                "qty": 45,
                "family": "street",
                "source": "HPS",
                "watts": 150,
                "height_ft": 30,
                "optic": "type_III",
                "cct_k": 3000,
                "controls": ["photocell"],
            }
        ],
    ),
    "canopy": (
        "Can you quote 8 canopy lights for the loading dock? They are 175W metal halide, 14 ft up, 120V.",
        {},
        [{"qty": 8, "family": "canopy", "source": "MH", "watts": 175, "height_ft": 14, "voltage": 120}],
    ),
    "bollards": (
        "20 bollards along the walk, 70W MH, all black. All night. What do LED ones run?",
        {"schedule": D2D},
        [{"qty": 20, "family": "bollard", "source": "MH", "watts": 70, "finish": "black"}],
    ),
    "two": (
        "Two types to price:\n- 10 wall packs, 175W MH, 15 ft up\n- 6 floods, 400W HPS, 20 ft up",
        {},
        [
            {"qty": 10, "family": "wall_pack", "source": "MH", "watts": 175, "height_ft": 15},
            {"qty": 6, "family": "flood", "source": "HPS", "watts": 400, "height_ft": 20},
        ],
    ),
    "strips": (
        "We want to get rid of 64 8 ft strips, 2 F96T12 lamps each, in the stock room. 12 hours a day, 6 days.",
        {"schedule": {"hours_per_day": 12, "days_per_week": 6}},
        [{"qty": 64, "family": "strip", "source": "T12", "lamps": 2, "lamp_feet": 8}],
    ),
    "cans": (
        "30 recessed cans with 26W CFL in the lobby, looking for 3500K and dimming.",
        {},
        [
            {
                "qty": 30,
                "family": "downlight",
                "source": "CFL",
                "watts": 26,
                "cct_k": 3500,
                "controls": ["dimming"],
                "mount": "recessed",
            }
        ],
    ),
    "posts": (
        "16 acorn post tops, 100W HPS, on 12' poles, green. Need them by 12/15.",
        {"needed_by": "12/15"},
        [
            {
                "qty": 16,
                "family": "post_top",
                "source": "HPS",
                "watts": 100,
                "height_ft": 12,
                "finish": "green",
            }
        ],
    ),
    "packs_es": (
        "Necesito cotizar 10 wallpacks de 175W a 15 pies, toda la noche. Pagamos 12 centavos el kWh.",
        {"rate_per_kwh": 0.12, "schedule": D2D},
        [{"qty": 10, "family": "wall_pack", "watts": 175, "height_ft": 15}],
    ),
    "campanas_es": (
        "Tenemos 24 campanas de 400W aditivos metálicos a 8 metros de altura, dos turnos, 6 días a la semana. ¿Cuánto ahorraríamos con LED?",
        {"schedule": {"hours_per_day": 16, "days_per_week": 6}, "metric": True},
        [{"qty": 24, "family": "high_bay", "source": "MH", "watts": 400, "height_ft": 26.25}],
    ),
    "reflectores_es": (
        "Buenas tardes, quiero precio de 6 reflectores de 1000W halógeno a 9 metros para la cancha.",
        {"metric": True},
        [{"qty": 6, "family": "flood", "source": "HAL", "watts": 1000, "height_ft": 29.53}],
    ),
    "lot_es": (
        "Favor de cotizar el cambio de 18 lámparas de estacionamiento, sodio 250W, en postes de 25 pies, 277V, bronce.",
        {},
        [
            {
                "qty": 18,
                "family": "area",
                "source": "HPS",
                "watts": 250,
                "height_ft": 25,
                "voltage": 277,
                "finish": "bronze",
            }
        ],
    ),
    "short": (
        "how much for 6 250w hps wall packs",
        {},
        [{"qty": 6, "family": "wall_pack", "source": "HPS", "watts": 250}],
    ),
    "school": (
        "We are budgeting for the gym: 20 400W MH high bays at 28 ft. Runs about 3,000 hours a year.",
        {"schedule": {"hours_per_year": 3000}},
        [{"qty": 20, "family": "high_bay", "source": "MH", "watts": 400, "height_ft": 28}],
    ),
    "rebate": (
        "24 wall packs, 100W MH, 12 ft. The utility pays $40 each. Labor is 65 a light.",
        {"rebate_per_luminaire": 40, "labor_per_luminaire": 65},
        [{"qty": 24, "family": "wall_pack", "source": "MH", "watts": 100, "height_ft": 12}],
    ),
    "tubes": (
        "We have 200 troffers 2x4 with 3 F32T8 and want LED tubes, keep the housings.",
        {},
        [
            {
                "qty": 200,
                "family": "troffer",
                "size": "2x4",
                "lamps": 3,
                "source": "T8",
                "watts": 32,
                "lamp_feet": 4,
                "keep_housing": True,
            }
        ],
    ),
    "barn": (
        "5 barn lights, 175W mercury vapor, 22 ft up, dusk till dawn.",
        {"schedule": D2D},
        [{"qty": 5, "family": "security", "source": "MV", "watts": 175, "height_ft": 22}],
    ),
    "lowbay": (
        "15 low bays 250W MH at 16', 120-277V, 10 hours a day.",
        {"schedule": {"hours_per_day": 10}},
        [
            {
                "qty": 15,
                "family": "low_bay",
                "source": "MH",
                "watts": 250,
                "height_ft": 16,
                "voltage": "120-277",
            }
        ],
    ),
}
"""Short name -> text, job slots, line slots."""

TABLE_ROWS = [
    ("Qty", "Type", "Lamp", "Mounting height", "Voltage"),
    ("12", "Wall pack", "250W MH", "18 ft", "277"),
    ("30", "Troffer 2x4", "4 x F32T8", "", "277"),
    ("8", "Shoebox", "400W MH", "25 ft", "480"),
]
TABLE_LINES = [
    {"qty": 12, "family": "wall_pack", "source": "MH", "watts": 250, "height_ft": 18, "voltage": 277},
    {
        "qty": 30,
        "family": "troffer",
        "size": "2x4",
        "lamps": 4,
        "source": "T8",
        "watts": 32,
        "lamp_feet": 4,
        "voltage": 277,
    },
    {"qty": 8, "family": "area", "source": "MH", "watts": 400, "height_ft": 25, "voltage": 480},
]
