"""Every key that a quote can carry, so that the words for them can be checked to be complete in each language.

The comment beside each key names the values that come with it.
"""

from typing import Final

ROLE_KEYS: Final = ("closest_light", "least_cost", "most_saving", "quickest", "brightest")

REASON_KEYS: Final = (
    "closest_light",  # percent: delivered light after / before, whole number
    "closest_light_there",  # spot: (key of engine.light.spots, ft off); now, then: fc maintained, at the place that keeps least
    "light_there",  # the same, of an option that is offered for another reason
    "meets_level",  # level: fc that was asked for, reached at every place that counts
    "least_cost",  # unit_price: Decimal; saves: Decimal against the first option, each
    "most_saving",  # input_watts: float; watts_less: float against the first option
    "quickest",  # pieces: int on hand
    "brightest",  # percent
    "brightest_there",  # spot, now, then: as closest_light_there
    "asked_watts",  # led_watts: float
    "asked_lumens",  # led_lumens: float
    "in_stock",  # pieces: int, qty: int
    "rebate_listed",
    "dark_sky",
    "full_cutoff",
)

CONCERN_KEYS: Final = (
    "partial_stock",  # pieces: int, qty: int, lead_time_days: int
    "not_in_stock",  # lead_time_days: int
    "not_rebate_listed",
    "less_light",  # percent
    "more_light",  # percent
    "less_light_there",  # percent, at the place that keeps least
    "more_light_there",  # percent, at the place that keeps least
    "finish_to_choose",  # finishes: tuple[str]
    "cct_to_choose",  # ccts: tuple[int]
    "control_separate",  # controls: tuple[str]: asked for and not built in
    "mount_not_listed",  # mount: str
    "height_outside_usual",  # height_ft, low_ft, high_ft
)

PASSED_OVER_KEYS: Final = (
    "kind",  # kind: offered kind; wanted: "luminaire" | "retrofit"
    "voltage",  # wanted, offered
    "wet_rating",  # wanted, offered
    "optic",  # wanted, offered
    "dark_sky",
    "cct",  # wanted, offered
    "cri",  # wanted, offered
    "finish",  # wanted, offered
    "mount",  # wanted, offered
    "size",  # wanted, offered
    "lamp_feet",  # wanted, offered
    "replaces_source",  # wanted, offered
    "emergency_backup",
    "led_watts",  # wanted, offered
    "led_lumens",  # wanted, offered
    "too_dim",  # percent of the present delivered light
    "too_bright",  # percent
    "too_dim_there",  # spot, now, then: as closest_light_there, at the place that keeps least
    "too_bright_there",  # the same
    "draws_as_much",  # input_watts, existing
    "behind_another",  # part_number: fits as well, but another is better on every count or nearer the light
)

PROBLEM_KEYS: Final = (
    "family_unknown",
    "nothing_fits",  # family: str, nearest: str part number or "", lacks: str a PASSED_OVER key
    "already_led",
    "needs_person",  # family: exit or emergency equipment
    "light_unknown",  # neither lamp nor watts nor an LED asked for, and the family has no usual lamp
)

STOP_KEYS: Final = (
    "hazardous_location",
    "danger",  # shock, fire, smoke, sparks, damaged or flooded equipment
    "person_wanted",
    "over_600_volts",
    "live_work",
)

NOTE_KEYS: Final = (
    "freight_not_included",
    "sales_tax_not_included",
    "lift_included",  # cost: Decimal
    "demand_zero_at_night",  # the demand charge is billed by day; these lights burn at night
    "demand_not_said",  # a demand charge was not said, so none is counted
    "rebate_not_listed",
    "rebate_low_efficacy",  # efficacy: float lm/W; least: float lm/W
    "rebate_nothing_saved",  # basis: str
    "rebate_needs_present_light",  # basis: str
    "rebate_above_cost",  # rebate: Decimal before the cap; cost: Decimal
    "rebate_share_capped",  # share: float of cost; rebate: Decimal before the cap
    "rebate_account_capped",  # cap: Decimal; rebate: Decimal before the cap
    "rebate_approval_first",
    "rebate_tax_not_considered",
    "never_pays_back",
    "over_budget",  # budget: Decimal; cost: Decimal
    "payback_over_limit",  # limit: float years; years: float
    "payback_within_limit",  # limit: float years; years: float
    "some_lines_left_out",  # count: int lines without an offer, not in the totals
    "place_unknown",  # place: str
    "place_disagrees",  # what: str
    "demand_not_at_night",  # charges: tuple[str]: lit only when the billed peak is past, so nothing is saved
    "demand_peak_assumed",  # hours: tuple[int, int]: when the building is taken to peak
    "demand_partly_met",  # charges: tuple[str]: lit in a part of the billed hours
    "last_block_assumed",  # the site's use is not known: savings are priced at the last block
    "fixed_charges_ignored",  # with a tariff
    "controls_overlap",  # controls: tuple[str]: savings multiply, they do not add up
    "control_sets_hours",  # control: str: a photocell or timer is counted in the hours, not as a saving on top
    "motion_on_egress",  # motion control where a way out must stay lit: ask
    "hvac_not_counted",  # cooling and heating change: given beside, not counted in the payback
)

LAYOUT_KEYS: Final = (
    "room_light",  # count, average, least
    "room_count",  # count, rows, columns, level, average, least
    "room_count_one_row",  # count, level, average, least
    "room_at_spacing",  # spacing, average
    "room_uneven",  # heights
    "room_bays",  # along, across
    "room_capacity",  # count, level, area, side
    "room_spacing",  # spacing, level, heights
    "lot_light",  # poles, heads, average, least
    "lot_count",  # poles, heads, count, level, measure, average, least
    "lot_bays",  # along, across
    "lot_even",
    "lot_one_row",  # along
    "lot_at_spacing",  # spacing, least, heads
    "lot_spacing",  # spacing, heights, level, heads
    "wall_count",  # count, run, spacing, level, out
    "wall_spacing",  # spacing, heights, level, out
    "wall_light",  # spacing, least, average, out
    "row_count",  # count, run, spacing, level, out
    "row_spacing",  # spacing, heights, level, out
    "row_light",  # spacing, least, average, out
    "level_out",  # out, level
    "reach",  # level, ahead
    "reach_both",  # level, ahead, side
    "not_reached",  # level
    "too_many",  # level
    "you_have",  # count
    "asked_held",  # level, value, measure
    "asked_close",  # level, value, measure
    "asked_missed",  # level, value, measure
    "usual_held",  # level, value
    "usual_missed",  # level, value
    "out_held",  # level, value
    "out_missed",  # level, value
    "guide_below",  # range, value
    "guide_within",  # range, value
    "guide_above",  # range, value
    "compare_average_less",  # now, then, percent
    "compare_average_alike",  # now, then, percent
    "compare_average_more",  # now, then, percent
    "compare_least_less",  # now, then, percent
    "compare_least_alike",  # now, then, percent
    "compare_least_more",  # now, then, percent
    "compare_level_out_less",  # now, then, percent
    "compare_level_out_alike",  # now, then, percent
    "compare_level_out_more",  # now, then, percent
    "compare_reach_less",  # now, then, percent, level
    "compare_reach_alike",  # now, then, percent, level
    "compare_reach_more",  # now, then, percent, level
    "line_ahead",  # out, ground, upright, eye
    "line_behind",  # out, ground, upright, eye
    "line_within",  # homes, business
    "line_between",  # homes, business
    "line_over",  # homes, business
    "line_now",  # ground, upright
    "up_0",  # rating
    "up_1",  # rating
    "up_2",  # rating
    "up_3",  # rating
    "up_unknown",
    "glare_low",  # rating
    "glare_medium",  # rating
    "glare_high",  # rating
    "back_low",  # rating
    "back_medium",  # rating
    "back_high",  # rating
)
"""Sentences of a simple layout (`engine.light.layout_shape.Say`); levels in fc, lengths in ft, areas in ft2."""

CAUTION_KEYS: Final = (
    "licensed_work", "listed_equipment", "retrofit_kit", "lockout", "voltage_check", "ballast_disconnect", "grounding",
    "wet_location", "hazardous_location", "egress", "height", "overhead_lines", "pcb", "mercury", "other_waste",
    "asbestos_lead", "pole_structure", "light_level_not_designed", "glare_trespass", "energy_code", "open_rated_mh",
    "savings_are_estimates", "no_wiring_advice",
)  # fmt: skip
