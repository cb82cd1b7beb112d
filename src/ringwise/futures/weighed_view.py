"""What the page and the terminal show of a weighed turning: plain values and sentences, nothing computed."""

from __future__ import annotations

from dataclasses import dataclass

from ringwise.kit.ranged import Ranged


@dataclass(frozen=True)
class WishMet:
    """One measure aimed at: its range in words, weight, and the share met today and by each course."""

    label: str
    range_words: str
    weight_frac: float
    today_frac: float
    by_course: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class CourseMet:
    """Share of the aims one course meets: over all years that count, and in each horizon; dots of futures."""

    course: str
    band: Ranged
    dots: tuple[float, ...]
    by_year: tuple[tuple[int, Ranged], ...]
    until_words: str
    first_rank_frac: float
    most_regret_frac: float
    regret_now_frac: float


@dataclass(frozen=True)
class PairMet:
    """Two courses future by future: how often the first meets more of the aims, told in words too."""

    first: str
    second: str
    first_better_frac: float
    words: str


@dataclass(frozen=True)
class WeighedView:
    """A turning weighed by the grower's aims; `turns` say what would change the preference, and where.

    `waits` and `knowing` say what waiting and finding out are worth; `verdict` is the one paragraph.
    """

    title: str
    time_words: str
    today_frac: float
    wishes: tuple[WishMet, ...]
    courses: tuple[CourseMet, ...]
    pairs: tuple[PairMet, ...]
    turns: tuple[str, ...]
    waits: tuple[str, ...]
    knowing: str
    verdict: str
    sunk: str = ""
    parts: tuple[str, ...] = ()  # the verdict's sentences by what they are about, the answer first
