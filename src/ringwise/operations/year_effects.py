"""What goes on by itself after a hand has done its part, compiled: ties, unions, rings, the season's end."""

from __future__ import annotations

from typing import Any

from ringwise.kit.kernels import compiled_in_place as compiled
from ringwise.operations.care_effects import keep_guyed
from ringwise.operations.conflict_effects import end_season
from ringwise.operations.graft_effects import hold_scion
from ringwise.operations.layer_effects import pass_layer


@compiled
def begin_growth(tree: Any, par: Any) -> None:
    """Before the flush of a year: ties hold, a scion has what its union lets through."""
    keep_guyed(tree[3])
    hold_scion(tree, par)


@compiled
def end_works(tree: Any) -> None:
    """After the season: rings root or wait, this season's works become last year's."""
    pass_layer(tree)
    end_season(tree[3])
