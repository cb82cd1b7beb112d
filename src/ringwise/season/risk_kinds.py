"""The names of what the weather may do after a work, in the order in which they are told."""

from __future__ import annotations

CORE_FROST, CORE_ALARM, BENCH_FROST = "core_frost", "core_alarm", "bench_frost"  # on freshly cut roots
CORE_UNTIL_LEAF, CORE_REST, CORE_SETTLED = "core_until_leaf", "core_rest", "core_settled"
TENDER_FROST, LEAF_FROST = "tender_frost", "leaf_frost"
HEAT, CORE_HEAT, WIND = "heat", "core_heat", "wind"
# The first that is likely enough goes into a window's sentence.
KINDS = (
    CORE_FROST,
    CORE_ALARM,
    BENCH_FROST,
    TENDER_FROST,
    CORE_SETTLED,
    CORE_HEAT,
    HEAT,
    WIND,
    CORE_UNTIL_LEAF,
    CORE_REST,
    LEAF_FROST,
)
