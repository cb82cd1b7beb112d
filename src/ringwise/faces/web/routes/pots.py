"""The pot room of a tree, a pot as it would be, and the pots of a season."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query

from ringwise.faces.web.contract import READS
from ringwise.faces.web.fresh import NAMED
from ringwise.faces.web.routes.named import PotQuery, TreeName
from ringwise.faces.web.shapes.pot import PotRoom, PotTried, SeasonPots
from ringwise.faces.web.wishes import Desk

router = APIRouter(prefix="/api", tags=["trees"])


@router.get(
    "/trees/{tree}/pot",
    response_model=PotRoom,
    responses=READS,
    operation_id="pot",
    dependencies=NAMED,
    summary="Pot of a tree",
)
def get_pot(desk: Desk, tree: TreeName) -> Any:
    """The cut through a tree's pot with the water by height, what can be tried, the weighings so far."""
    from ringwise.desk.pot_room import pot_room

    return desk(pot_room, tree)


@router.get(
    "/trees/{tree}/pot/tried",
    response_model=PotTried,
    responses=READS,
    operation_id="potTried",
    summary="Pot of a tree as it would be",
)
def get_tried(desk: Desk, tree: TreeName, query: Annotated[PotQuery, Query()]) -> Any:
    """The same cut with another depth, tilt or mix, and another mix or pot beside it; stores nothing."""
    from ringwise.desk.pot_room import pot_tried
    from ringwise.desk.pot_soil import Tried

    return desk(pot_tried, tree, Tried(query.depth_mm, query.tilt_deg, query.mix), query.beside)


@router.get(
    "/pots/season",
    response_model=SeasonPots,
    responses=READS,
    operation_id="seasonPots",
    dependencies=NAMED,
    summary="Pots of this season",
)
def get_season_pots(desk: Desk) -> Any:
    """The trees to repot in the order of work, the pots they go into, the mixes for them."""
    from ringwise.desk.pot_season import pot_season

    return desk(pot_season)
