"""Results kept by what they were made from; one made from anything else is never served."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, is_dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from ringwise.desk.engine import engine_version
from ringwise.kit.reading import current_reading
from ringwise.kit.tables import load_table

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace


def _plain(value: object) -> object:
    if is_dataclass(value) and not isinstance(value, type):
        return asdict(value)
    if isinstance(value, date):
        return value.isoformat()
    if hasattr(value, "tolist"):
        return value.tolist()
    if isinstance(value, set | frozenset):
        return sorted(value)
    raise TypeError(f"{type(value).__name__} cannot be part of a result's key")


def result_key(
    kind: str,
    inputs: Mapping[str, Any],
    tables: Sequence[tuple[str, str]],
    seed: int,
    *,
    worded: bool = False,
) -> str:
    """The SHA-256 of everything a result is made from.

    Parameters
    ----------
    kind : str
        Such as "futures".
    inputs : mapping
        Values, dates and dataclasses that the computation reads.
    tables : sequence of (package, name)
        Parameter tables that it reads; their content is part of the key.
    seed : int
        Of its random draws.
    worded : bool
        Whether the result holds words or amounts for people: then language and units are part of the key.

    Returns
    -------
    str
        64 hexadecimal digits.

    Examples
    --------
    >>> a = result_key("x", {"day": date(2027, 3, 7)}, [], 1)
    >>> a == result_key("x", {"day": date(2027, 3, 7)}, [], 1), a == result_key("x", {}, [], 1)
    (True, False)
    """
    parts: dict[str, object] = {
        "kind": kind,
        "inputs": inputs,
        "tables": [(p, n, load_table(p, n).fingerprint) for p, n in sorted(tables)],
        "engine": engine_version(),
        "seed": seed,
    }
    if worded:
        parts["reading"] = current_reading()
    text = json.dumps(parts, sort_keys=True, default=_plain, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def kept(workspace: Workspace, kind: str, key: str, compute: Callable[[], dict[str, Any]]) -> dict[str, Any]:
    """The stored result with this key, or the computed one, which is then stored.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    kind, key : str
        From `result_key`.
    compute : callable
        Makes the result, as plain JSON values.

    Returns
    -------
    dict
        The result.
    """
    from ringwise.desk import clock

    stored = workspace.store.result_get(key)
    if stored is not None:
        found: dict[str, Any] = json.loads(stored)
        return found
    made = compute()
    workspace.store.result_put(
        key,
        kind,
        json.dumps(made, ensure_ascii=False, allow_nan=False),
        made=clock.now(),
        engine_version=engine_version(),
        seed=workspace.seed,
    )
    return made
