"""Where each number of a growing tree lies in the arrays that the compiled rooms share.

Plain integers, so that compiled code sees constants. Real columns are float32, whole numbers int32;
pools and parameters are float64.
"""

from __future__ import annotations

# Real columns of a segment, in mm, mm2, cm2 and shares.
LENGTH, DIR_X, DIR_Y, DIR_Z, WOOD, SAPWOOD, LEAF, CONTROL, LIGHT, DEMAND, VIGOUR = range(11)
WOUND, WOUND_YEARS, GROWN, END_X, END_Y, END_Z, ABOVE = range(11, 18)
WOUND_LOSS = 18  # share of a wound's closing taken by the season of its cut and its stub
# Radius when wired in mm (0: no wire), bend that the wire holds in rad, years on, how deep it bit in mm.
WIRE_RADIUS, WIRE_ANGLE, WIRE_YEARS, BITE = range(19, 23)
REALS = 23

# Whole columns of a segment.
PARENT, ORDER, BORN, BUDS, CLONE, FLAGS, CHILDREN, MARK = range(8)
WHOLES = 8

# Bits of the flags that growth adds to those of the segment table.
CUT_END, SHORT_SHOOT, JOINED, LAYERED, DEAD, FLARE, TRUNK = 2, 4, 8, 16, 64, 128, 1
GRAFT_AXIS = 256  # the branch that a graft brings
DECAYED = 512  # a wound here stayed open too long
RINGED = 1024  # wood of a ring, lost when the layer is separated

# Pools of a tree.
RESERVE, ROOT, LITRES, SINCE_REPOT, REMOVED, ALIVE, SECTORS, LAYER_STATE, LAYER_YEARS = range(9)
GRAFT_STATE, GRAFT_YEARS, GRAFT_TAKES, GRAFT_READY, GRAFT_TRIES, LEAF_UNIT, LEAF_REFERENCE = range(9, 16)
WEATHER, ROOT_CUT, LAYER_SET, TOP_CUT, HOURS, SECOND, GRAFT_HEIGHT, GRAFT_AZIMUTH = range(16, 24)
GRAFT_UNION, RING, LAYER_PENDING, ROOTS_YEARS, LEAF_FLUSH, UNIT, WORKED, ROOTS_BITS = range(24, 32)
HEAVY_YEARS = 32  # years since a course's own heavy work
GUYED, DEFOLIATED, PINCHED, FED = range(33, 37)  # shares of this year; FED is added to a budget of 1
SPENT, ROOT_HELD = range(37, 39)  # growth lost to leaf cuts so far, and to a root cut this season
CHECKS = 39  # bits of a course's named checks that saw what they looked for
# Work done by class of the conflict table, as bits, and what conflicts cost the work that is being done.
DONE_SPRING, DONE_SUMMER, DONE_LAST, COST_LIFE, COST_ODDS, COST_SLOW = range(40, 46)
LAYER_DRAW, LAYER_CHANCE, LAYER_WEEKS, GRAFT_DRAW, GRAFT_CHANCE, GRAFT_KIND = range(46, 52)
GRAFT_NOTCHED, GUY_YEARS, DONORS, RING_MM = range(52, 56)  # donors potted on; width of a ring
LEAF_NEED = 56  # leaf that is left, or that all live tips would bear at rest
FINE = 57  # how finely shoots are cut into units: 1, less where room for segments runs short
AIM_LESS = 58  # share by which a layered top is held smaller than the tree it came from; 0: as large
TOP = 59  # height of the leaf at its last light, in mm
ROOT_YEARS = 60  # time constant of root regrowth after a lift back into the ground; 0: the taxon's own
FREE_YEARS, FREE_MM = 61, 62  # years yet for which a new leader runs free after a chop, and from where
LEAF_DEBT = 63  # reserves that leaf cuts took and that are not back
NEAR_YEARS = 64  # seasons that roots cut in the ground had to branch near the trunk; 0: never cut
POOLS = 65

# Parameters of a future: one number each, drawn once.
P_PIPE, P_EXPONENT, P_SAPWOOD, P_POT, P_REFERENCE_L, P_VIGOUR, P_MEMORY, P_WEATHER, P_BUDGET = range(9)
P_CONTROL, P_LATERAL, P_THRESHOLD, P_DECAY, P_RELEASE, P_RELEASE_VIGOUR, P_EPICORMIC, P_SHED = range(9, 17)
P_SHED_CHANCE, P_EXTINCTION, P_CAPACITY, P_UNITS, P_WOOD, P_ROOT, P_RESERVE, P_RECOVERY = range(17, 25)
P_RING, P_FLOOR, P_BOUND, P_BOUND_FLOOR, P_TWIG, P_TIPS, P_UNIT, P_OPPOSITE, P_ROOT_YEARS = range(25, 34)
P_INTERVAL, P_FRACTION, P_CLASS, P_LAYER, P_SEVERED, P_SECTOR, P_UNION, P_CLOSURE, P_WIDTH = range(34, 43)
P_GROWTH, P_DECAY_YEARS, P_ALIVE, P_EXCESS, P_SEASON, P_WEAK, P_ROT_LOSS = range(43, 50)
P_STEADY, P_ROOM, P_ROOT_WEEKS, P_ROOT_SD, P_SEASON_WEEKS, P_UNION_YEARS = range(50, 56)
P_UNION_SD, P_SENSITIVITY, P_SPECIFICITY, P_POT_BOUND, P_THICK, P_GRADE = range(56, 62)
P_AIM_HEIGHT, P_AIM_SPREAD, P_HOURS, P_AIM_TIPS, P_UNION_SHARE = range(62, 67)
P_WIDTH_REFERENCE, P_GROWTH_REFERENCE, P_GRAFT_NOW, P_GENTLE = range(67, 71)
P_SEASON_SUMMER, P_SEASON_AUTUMN, P_SEASON_WINTER, P_STUB, P_GUYED, P_LEAF_CUT = range(71, 77)
P_LEAF_RESERVE, P_LEAF_GROWTH, P_LEAF_SIZE, P_PINCH, P_WIRE_GAP, P_ROT = range(77, 83)
P_FIELD, P_STRETCH, P_HELD_WEEKS, P_WEEKS = range(83, 87)
# Effects of a hand, from the table of operations.
P_SCAR, P_WEAK_RESERVE, P_GENTLE_SHARE, P_LAYER_ROOTS, P_RING_THIN, P_RING_THICK, P_RING_LIMIT = range(87, 94)
P_RING_MOST, P_HEAVY_REST, P_THICK_MM, P_UNROOTED, P_LIFT_SHARE, P_FIELD_SHARE, P_PARTIAL = range(94, 101)
P_PINCH_CONTROL, P_FEED, P_BEND, P_MIX_YEARS, P_MIX_LIFE, P_RESCUE_GAIN, P_SPLIT_LOSS = range(101, 108)
P_THREAD, P_GRAFT_WOOD, P_GRAFT_UNITS, P_UNION_FIRST, P_UNION_RATE, P_SLIP, P_WEAK_UNION = range(108, 115)
P_LATE, P_NOTCH_SIGN, P_NOTCH_DELAY, P_ROOT_GRAFT_YEARS, P_THREAD_HOLE, P_HEAD_SHARE = range(115, 121)
P_FEED_LEAST, P_FEED_MOST = 121, 122
# Growth, continued.
P_STRETCH_UNITS, P_COMPENSATION, P_SURPLUS, P_CUT_RESERVE, P_LEAF_BACK, P_ACROTONY, P_NET = range(123, 130)
P_LEAFY, P_FED_LEAF, P_SHOOT_MOST, P_OUTWARD, P_UPWARD, P_SWAY = range(130, 136)
P_LIFT_YEARS = 136
P_FREE_YEARS, P_TALL_POT, P_TALL_FIELD, P_HEAD_TO = range(137, 141)  # of a leader after a chop
P_COARSEST, P_AXIS, P_CONTROL_LEAST, P_CONTROL_MOST, P_SNAG = range(141, 146)
P_SIDE_SWAY, P_NEARER, P_EPICORMIC_WIDER = range(146, 149)
# Effects of a hand, continued.
P_ROOT_PRUNE, P_NEAR_MOST, P_NEAR_YEARS, P_PLACE_TURN, P_PLACE_RISE, P_CLUMP_FOOT = range(149, 155)
P_HELD_TWIG, P_HELD_INNER, P_KEEP_INNER, P_KEEP_OUTER, P_HELD_DOME, P_ROUTINE = range(155, 161)
P_COLLAR, P_FULL_LESS, P_THIN_LOW, P_THIN_OLD, P_LEGGY, P_HANGS, P_INWARD_FROM = range(161, 168)
P_INWARD_NEAR, P_FREE_TO, P_NEAR_CUT = range(168, 171)
PARAMETERS = 171

# States of a graft, in order.
NONE, PRESSED, CALLUS, BRIDGED, SEVERABLE = range(5)
SEVERED_WEAK, ESTABLISHED, SLIPPED, GRAFT_DEAD, ABANDONED = range(5, 10)
INCOMPATIBLE = 10  # an established branch that the stock gives up years later

# States of a layer.
NO_LAYER, SET, ROOTED, SEPARATED, FAILED = range(5)
