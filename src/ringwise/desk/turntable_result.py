"""What a measured turn is: the tree, its cameras, what was left out, how well it was measured."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ringwise.structure.cameras import Camera
    from ringwise.structure.measured import MeasuredTree
    from ringwise.structure.photo.refusal import Refused

Progress = Callable[[float, str], None]
READ_SHARE = 0.5  # reading the photos against the whole work, in time


@dataclass(frozen=True)
class TurnResult:
    """A measured turn: the tree in the world of the cameras, and how well it was measured."""

    measured: MeasuredTree
    cameras: tuple[Camera, ...]
    refused: tuple[Refused, ...]
    quality: dict[str, Any]

    def to_json(self) -> dict[str, Any]:
        """Plain values, as `result_from_json` reads them."""
        from ringwise.structure.cameras import cameras_to_json
        from ringwise.structure.exchange.tree_json import tree_to_json

        return {
            "tree": tree_to_json(self.measured),
            "cameras": cameras_to_json(self.cameras),
            "refused": [asdict(each) for each in self.refused],
            "quality": self.quality,
        }


def result_from_json(data: dict[str, Any]) -> TurnResult:
    """A measured turn as it was stored.

    Parameters
    ----------
    data : dict
        Of `TurnResult.to_json`.

    Returns
    -------
    TurnResult
        The same.
    """
    from ringwise.structure.cameras import cameras_from_json
    from ringwise.structure.exchange.tree_json import tree_from_json
    from ringwise.structure.photo.refusal import Refused

    return TurnResult(
        tree_from_json(data["tree"]),
        cameras_from_json(data["cameras"]),
        tuple(Refused(**each) for each in data["refused"]),
        data["quality"],
    )
