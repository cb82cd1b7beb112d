"""A course: steps after so many years, some only if a check sees something; plain values, checked."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringwise.futures.course_words import condition_words, look_words, operation_words, when_words
from ringwise.futures.field_words import field_words
from ringwise.futures.look_codes import LOOKS, MEASURED
from ringwise.kit.errors import FileFormatError, MissingFieldError, out_of_range, unknown_name
from ringwise.kit.show import length, litres
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _, from_data
from ringwise.operations.effect_codes import CONDITIONS, EFFECTS

MOST_YEARS = 60
HALVES = ("spring", "summer")
QUESTIONS = ("base", "graft", "lift", "chop", "leader", "clump", "repot", "twigs", "weak", "other")
BASE_RING_MM = 15.0  # upper edge of a ring at the base, above the soil: the collar pot holds the rest
CHOSEN = "chosen"  # the site of a course whose height is still to be chosen
MOST_CHECKS, MOST_STEPS, MOST_TIMES = 40, 200, 5
MOST_HEIGHT_MM, MOST_VOLUME_L = 100_000.0, 100_000.0
# What the further number of a work may be: degrees of a bend, mm of a stub, openness of a mix, seasons of
# a tie, times the usual feed. Other works read none.
EXTRAS: dict[str, tuple[float, float]] = {
    "wire": (-180.0, 180.0),
    "prune": (0.0, 100.0),
    "structural_prune": (0.0, 100.0),
    "repot": (0.0, 1.0),
    "lift": (0.0, 1.0),
    "root_rescue": (0.0, 1.0),
    "guy": (0.0, float(MOST_YEARS)),
    "feed": (0.0, 2.0),
    "fertilise": (0.0, 2.0),
}
_MOST_LEVEL = {"vigour_at_least": 5.0, "sectors_filled": 12.0}  # beyond it nothing is ever seen
_LEAST_LOOKS = {"thicker_beyond": 2}  # one pair of thicknesses is no sign; common practice


def _check_when(after_years: int, half: str, every_years: int, until_years: int) -> None:
    if half not in HALVES:
        raise unknown_name(field_words("half"), half, HALVES)
    if not 0 <= after_years <= MOST_YEARS:
        raise out_of_range(field_words("after_years"), str(after_years), _("0 to {n}").format(n=MOST_YEARS))
    if not 0 <= every_years <= MOST_YEARS:
        raise out_of_range(field_words("every_years"), str(every_years), _("1 to {n}").format(n=MOST_YEARS))
    if every_years and not after_years < until_years <= MOST_YEARS:
        accepted = _("{low} to {high}").format(low=after_years + 1, high=MOST_YEARS)
        raise out_of_range(field_words("until_years"), str(until_years), accepted)
    if until_years and not every_years:
        raise MissingFieldError(
            _("{field} is missing: {until} says how long it repeats").format(
                field=field_words("every_years"), until=field_words("until_years")
            )
        )


def _years(after_years: int, every_years: int, until_years: int) -> tuple[int, ...]:
    return tuple(range(after_years, until_years + 1, every_years)) if every_years else (after_years,)


@dataclass(frozen=True)
class Check:
    """A named look at the tree: when, at what, how often in that half-year, compared with what.

    `look` is a key of `LOOKS`; `at_least` the number of a measured look ("20 cm", "4"), else empty. It is
    seen when all its `times` looks see it. A check that repeats keeps what it saw last.
    """

    name: str
    after_years: int
    half: str
    look: str
    at_least: str = ""
    times: int = 1
    every_years: int = 0
    until_years: int = 0

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise MissingFieldError(_("a check needs a name"))
        if self.look not in LOOKS:
            raise unknown_name(field_words("look"), self.look, LOOKS)
        _check_when(self.after_years, self.half, self.every_years, self.until_years)
        least = _LEAST_LOOKS.get(self.look, 1)
        if not least <= self.times <= MOST_TIMES:
            accepted = _("{low} to {high}").format(low=least, high=MOST_TIMES)
            raise out_of_range(field_words("times"), str(self.times), accepted)
        if self.look in MEASURED and not self.at_least:
            raise MissingFieldError(
                _('{field} is missing for "{look}"').format(field=field_words("at_least"), look=self.look)
            )
        if self.at_least and self.look not in MEASURED:
            raise FileFormatError(
                _('"{look}" compares with no number; leave at_least out').format(look=self.look)
            )
        most = _MOST_LEVEL.get(self.look, math.inf)
        if not 0 <= self.level <= most or math.isinf(self.level):
            accepted = _("0 or more") if math.isinf(most) else _("0 to {n}").format(n=f"{most:g}")
            raise out_of_range(field_words("at_least"), self.at_least, accepted)

    @property
    def level(self) -> float:
        """What a measured look is compared with: mm for a length, else a plain number; 0 for others."""
        if not self.at_least:
            return 0.0
        if MEASURED[self.look]:
            return parse_quantity(self.at_least, "length", field=field_words("at_least"))
        try:
            return float(self.at_least)
        except ValueError:
            raise out_of_range(field_words("at_least"), self.at_least, _("a number")) from None

    @property
    def years(self) -> tuple[int, ...]:
        """The years in which it is made."""
        return _years(self.after_years, self.every_years, self.until_years)

    @property
    def words(self) -> str:
        """The check in words."""
        when = when_words(self.after_years, self.half, self.every_years, self.until_years)
        often = "" if self.times == 1 else " " + _("({n} times)").format(n=self.times)
        seen = look_words(self.look, self.at_least)
        return _('{when}: look whether {seen}{often} ("{name}")').format(
            when=when, seen=seen, often=often, name=from_data(self.name)
        )


@dataclass(frozen=True)
class Step:
    """One step: when, what, where, how much, on what condition.

    `half` is spring (bud swell) or summer (first leaves hard). `site` is "base", a height such as
    "22 cm", or "" where the work needs none; `clock_h` the side seen from above with the front at 6, -1 for
    none. `amount_frac` is a share of the roots, leaves or buds; 0 takes the usual. `check` names the check it
    hangs on and `wanted` whether that must have seen what it looked for.
    """

    after_years: int
    half: str
    operation: str
    site: str = ""
    amount_frac: float = 0.0
    volume_l: float = 0.0
    condition: str = "always"
    clock_h: float = -1.0
    extra: float = 0.0
    every_years: int = 0
    until_years: int = 0
    check: str = ""
    wanted: bool = True

    def __post_init__(self) -> None:
        if self.operation not in EFFECTS:
            raise unknown_name(field_words("operation"), self.operation, EFFECTS)
        if self.condition not in CONDITIONS:
            raise unknown_name(field_words("condition"), self.condition, CONDITIONS)
        _check_when(self.after_years, self.half, self.every_years, self.until_years)
        if not 0 <= self.amount_frac < 1:
            raise out_of_range(_("share of roots"), str(self.amount_frac), _("0 to below 1"))
        if not 0 <= self.volume_l <= MOST_VOLUME_L:
            most = _("0 to {n}").format(n=f"{MOST_VOLUME_L:.0f}")
            raise out_of_range(field_words("litres"), f"{self.volume_l:g}", most)
        self._check_extra()
        if self.clock_h != -1.0 and not 0 <= self.clock_h <= 12:
            raise out_of_range(field_words("clock"), f"{self.clock_h:g}", _("0 to 12, front at 6"))
        if not 0 <= self.height_mm <= MOST_HEIGHT_MM:  # one that does not read is refused here as well
            accepted = _("{low} to {high}").format(low=0, high=length(MOST_HEIGHT_MM))
            raise out_of_range(field_words("site"), self.site, accepted)

    def _check_extra(self) -> None:
        low, high = EXTRAS.get(self.operation, (0.0, 0.0))
        if not low <= self.extra <= high:
            accepted = _("{low} to {high}").format(low=f"{low:g}", high=f"{high:g}")
            if self.operation not in EXTRAS:
                accepted = _("none for this work; leave it out")
            raise out_of_range(field_words("extra"), f"{self.extra:g}", accepted)

    @property
    def height_mm(self) -> float:
        """Height of the site above the soil, 0 where the step needs none or its height is to be chosen."""
        if self.site in ("", "roots", "graft", CHOSEN):
            return 0.0
        if self.site == "base":
            return BASE_RING_MM
        return parse_quantity(self.site, "length", field=field_words("site"))

    @property
    def years(self) -> tuple[int, ...]:
        """The years in which it is done."""
        return _years(self.after_years, self.every_years, self.until_years)

    @property
    def words(self) -> str:
        """The step in words."""
        when = when_words(self.after_years, self.half, self.every_years, self.until_years)
        # The words of the operation name the base, the roots and the graft; a height is said beside them.
        where = [_site_words(self.site)] if self.site not in ("", "base", "roots", "graft") else []
        if self.volume_l > 0:
            where.append(_("into {volume}").format(volume=litres(self.volume_l * 1000.0)))
        elif self.operation == "lift":
            where.append(_("and back into the ground"))
        if self.clock_h >= 0:
            where.append(_("at {n} o'clock, front at 6").format(n=f"{self.clock_h:g}"))
        only = "" if self.condition == "always" else ", " + condition_words(self.condition)
        if self.check:
            ask = _('if "{check}" is seen') if self.wanted else _('unless "{check}" is seen')
            only += ", " + ask.format(check=from_data(self.check))
        place = f" ({', '.join(where)})" if where else ""
        return f"{when}: {operation_words(self.operation)}{place}{only}"


def _site_words(site: str) -> str:
    """A site as it is shown: a height in the user's unit, or that it is still to be chosen."""
    if site == CHOSEN:
        return from_data(site)
    return length(parse_quantity(site, "length", field=field_words("site")))


@dataclass(frozen=True)
class Course:
    """A possible way on: key, title, a sentence, steps in order, what decisions it closes, its checks.

    `reason` is the grower's own for work that a rule would put off, such as a ring above a pending graft;
    `height_mm` is a height that was chosen for it, told in its title and words as {height}.
    """

    key: str
    title: str
    words: str
    steps: tuple[Step, ...] = ()
    question: str = "other"
    closes: str = ""
    checks: tuple[Check, ...] = ()
    reason: str = ""
    height_mm: float = 0.0

    def __post_init__(self) -> None:
        names = [each.name for each in self.checks]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice is not None:
            raise FileFormatError(_('the check "{name}" is there twice').format(name=twice), where=self.key)
        if len(names) > MOST_CHECKS:
            raise out_of_range(_("checks of a course"), str(len(names)), _("0 to {n}").format(n=MOST_CHECKS))
        if len(self.steps) > MOST_STEPS:
            most = _("0 to {n}").format(n=MOST_STEPS)
            raise out_of_range(_("steps of a course"), str(len(self.steps)), most)
        hung = {step.check for step in self.steps if step.check}
        for step in self.steps:
            if step.check:
                self._check_order(step)
        unused = next((name for name in names if name not in hung), None)
        if unused is not None:
            text = _('no step hangs on the check "{name}"; use it with if or unless, or leave it out')
            raise FileFormatError(text.format(name=unused), where=self.key)

    def _check_order(self, step: Step) -> None:
        check = next((each for each in self.checks if each.name == step.check), None)
        if check is None:
            names = [each.name for each in self.checks]
            raise unknown_name(_("check that a step hangs on"), step.check, names)
        if _moment(check) > _moment(step):
            text = _('"{work}" after {n} years hangs on the check "{name}", which is made later')
            work = operation_words(step.operation)
            raise FileFormatError(text.format(work=work, n=step.after_years, name=step.check), where=self.key)

    @property
    def told(self) -> tuple[str, str]:
        """Title and words in the user's language."""
        height = length(self.height_mm) if self.height_mm else _("a chosen height")
        title, words = from_data(self.title), from_data(self.words)
        return title.replace("{height}", height), words.replace("{height}", height)

    @property
    def chosen(self) -> bool:
        """Whether a height is still to be chosen."""
        return any(step.site == CHOSEN for step in self.steps)

    @property
    def lines(self) -> tuple[str, ...]:
        """Checks and steps in words, in the order of time; checks come before steps of their half-year."""
        rows: list[Check | Step] = sorted([*self.checks, *self.steps], key=_moment)
        return tuple(row.words for row in rows)


def _moment(row: Check | Step) -> tuple[int, int]:
    return row.after_years, HALVES.index(row.half)
