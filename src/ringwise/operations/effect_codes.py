"""Codes of the effects that a course can ask for, plain integers for compiled code."""

from __future__ import annotations

REST, PRUNE, CHOP, REPOT, LIFT, GROUND_LAYER, AIR_LAYER, SEPARATE, ROOT_GRAFT = range(9)
APPROACH_GRAFT, CHECK_GRAFT, SEVER_GRAFT, ABANDON_GRAFT, CUT_BACK = range(9, 14)
HEAD_BACK, PINCH, PARTIAL_DEFOLIATION, FULL_DEFOLIATION, FIELD_PLANT, THREAD_GRAFT = range(14, 20)
NOTCH_GRAFT, SPLIT_CLUMP, WIRE, UNWIRE, GUY, UNGUY, FEED, ROOT_RESCUE, ROOT_PRUNE = range(20, 29)

# Names as in the registry where it has them; the last two are other names of prune and feed.
EFFECTS: dict[str, int] = {
    "rest": REST,
    "prune": PRUNE,
    "chop": CHOP,
    "repot": REPOT,
    "lift": LIFT,
    "ground_layer": GROUND_LAYER,
    "air_layer": AIR_LAYER,
    "separate_layer": SEPARATE,
    "root_graft": ROOT_GRAFT,
    "approach_graft": APPROACH_GRAFT,
    "check_graft": CHECK_GRAFT,
    "sever_graft": SEVER_GRAFT,
    "abandon_graft": ABANDON_GRAFT,
    "cut_back": CUT_BACK,
    "head_back": HEAD_BACK,
    "pinch": PINCH,
    "partial_defoliation": PARTIAL_DEFOLIATION,
    "full_defoliation": FULL_DEFOLIATION,
    "field_plant": FIELD_PLANT,
    "thread_graft": THREAD_GRAFT,
    "notch_graft": NOTCH_GRAFT,
    "split_clump": SPLIT_CLUMP,
    "wire": WIRE,
    "unwire": UNWIRE,
    "guy": GUY,
    "unguy": UNGUY,
    "feed": FEED,
    "root_rescue": ROOT_RESCUE,
    "root_prune_in_ground": ROOT_PRUNE,
    "structural_prune": PRUNE,
    "fertilise": FEED,
}

# Work after which a season's rest from roots and layers is due.
HEAVY = frozenset(
    {CHOP, REPOT, LIFT, GROUND_LAYER, AIR_LAYER, SEPARATE, ROOT_GRAFT, FIELD_PLANT, SPLIT_CLUMP, ROOT_RESCUE}
)

# When a step is taken: always, or by what is seen at that time.
ALWAYS, ROOTED, NOT_ROOTED, TAKEN, NOT_TAKEN, SECTORS_EMPTY, NOT_SEVERED = range(7)
CONDITIONS: dict[str, int] = {
    "always": ALWAYS,
    "rooted": ROOTED,
    "not_rooted": NOT_ROOTED,
    "taken": TAKEN,
    "not_taken": NOT_TAKEN,
    "sectors_empty": SECTORS_EMPTY,
    "not_severed": NOT_SEVERED,
}
