"""The wish for what waiting for a sign is worth, and for odds after own tries."""

from __future__ import annotations

from dataclasses import dataclass

from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import MissingFieldError, at_field, out_of_range
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _

_MOST_TRIES = 100_000
_LEAST_PRIOR, _MOST_PRIOR = 0.01, 10_000.0


@dataclass(frozen=True)
class WaitWish:
    """Chances and worths as typed for `ringwise calc wait`: shares of 1 or percent."""

    p_take: str
    sensitivity: str
    specificity: str
    keep_ok: str
    keep_fail: str
    now: str
    late: str


def _share(text: str, option: str) -> float:
    with at_field(option.removeprefix("--").replace("-", "_")):
        value = parse_quantity(text, "fraction", field=option, default_unit="")
        if not 0 <= value <= 1:
            raise out_of_range(option, text.strip(), _("0 to 1"))
        return value


def calc_wait(wish: WaitWish) -> Shape:
    """What waiting for a sign that may err is worth, against acting now.

    Parameters
    ----------
    wish : WaitWish
        What was typed.

    Returns
    -------
    dict
        Keys act_now, wait, evsi, evpi, posterior_good_sign, posterior_bad_sign, break_even_late and others.

    Raises
    ------
    InputError
        One clear line for what does not read or fit.

    Examples
    --------
    >>> told = calc_wait(WaitWish(".5", ".85", ".8", "1", ".35", ".7", ".66"))
    >>> told["lines"][0]
    'waiting is right unless acting late is worth less than 0.51'
    """
    from ringwise.futures.waiting import WaitCase, worth_of_waiting

    case = WaitCase(
        take_prob=_share(wish.p_take, "--p-take"),
        sensitivity_prob=_share(wish.sensitivity, "--sensitivity"),
        specificity_prob=_share(wish.specificity, "--specificity"),
        keep_ok_frac=_share(wish.keep_ok, "--keep-ok"),
        keep_fail_frac=_share(wish.keep_fail, "--keep-fail"),
        now_frac=_share(wish.now, "--now"),
        late_frac=_share(wish.late, "--late"),
    )
    worth = worth_of_waiting(case)
    answer = {
        "act_now": worth.act_now_frac,
        "wait": worth.wait_frac,
        "evsi": worth.evsi_frac,
        "evpi": worth.evpi_frac,
        "posterior_good_sign": worth.posterior_good_sign_prob,
        "posterior_bad_sign": worth.posterior_bad_sign_prob,
        "break_even_late": worth.break_even_late_frac,
        "keep_anyway": worth.keep_anyway_frac,
        "good_sign_prob": worth.good_sign_prob,
    }
    now, wait = (show.number(each, 3) for each in (worth.act_now_frac, worth.wait_frac))
    told = [
        waiting_sentence(worth.break_even_late_frac, worth.waiting_is_right),
        _("deciding now is worth {now}, waiting for the sign {wait}").format(now=now, wait=wait),
    ]
    for words, prob in (
        (_("after a good sign it has taken: {chance}"), worth.posterior_good_sign_prob),
        (_("after a bad sign it has taken: {chance}"), worth.posterior_bad_sign_prob),
    ):
        if prob is not None:
            told.append(words.format(chance=show.chance(prob)))
    told.append(
        _("a sign that never errs would add {evpi}; worths run from 0, the worst end, to 1, the best").format(
            evpi=show.number(worth.evpi_frac, 2)
        )
    )
    return answer | {"lines": told}


def waiting_sentence(break_even_late: float | None, right: bool) -> str:
    """The break-even of waiting in one sentence.

    Parameters
    ----------
    break_even_late : float or None
        Least worth of acting late at which waiting is no worse; None where any will do.
    right : bool
        Whether waiting is no worse as things stand.

    Returns
    -------
    str
        One sentence.

    Examples
    --------
    >>> waiting_sentence(0.5053, True)
    'waiting is right unless acting late is worth less than 0.51'
    >>> waiting_sentence(0.81, False)
    'waiting is wrong unless acting late is worth more than 0.81'
    """
    if break_even_late is None:
        return _("waiting loses nothing, whatever acting late is worth")
    limit = show.number(break_even_late, 2)
    if right:
        return _("waiting is right unless acting late is worth less than {limit}").format(limit=limit)
    return _("waiting is wrong unless acting late is worth more than {limit}").format(limit=limit)


@dataclass(frozen=True)
class OddsWish:
    """A prior and own tries as typed for `ringwise calc odds`."""

    prior: str
    successes: int = 0
    failures: int = 0


def _prior(text: str) -> tuple[float, float]:
    parts = [part.strip() for part in text.split(",")]
    if len(parts) != 2 or not all(parts):
        raise MissingFieldError(
            _('--prior is "{text}"; write two counts divided by a comma, such as 5.92,3.19.').format(
                text=text
            )
        )
    counts = [parse_quantity(part, "fraction", field="--prior", default_unit="") for part in parts]
    for count in counts:
        if not _LEAST_PRIOR <= count <= _MOST_PRIOR:
            accepted = _("two counts from {low} to {high}").format(low=_LEAST_PRIOR, high=f"{_MOST_PRIOR:g}")
            raise out_of_range("--prior", text, accepted)
    return counts[0], counts[1]


def _band(successes_n: float, failures_n: float) -> tuple[float, float]:
    import numpy as np

    from ringwise.growth.odds import Odds, odds_quantile

    low, high = odds_quantile(Odds(successes_n, failures_n), np.array([0.05, 0.95]))
    return float(low), float(high)


def calc_odds(wish: OddsWish) -> Shape:
    """Odds after own tries: a prior in counts and what came of one's own attempts.

    Parameters
    ----------
    wish : OddsWish
        What was typed.

    Returns
    -------
    dict
        Keys mean, low, high (90 % band), two_tries, two_tries_independent, the same of the prior, and lines.

    Raises
    ------
    InputError
        One clear line for what does not read or fit.

    Examples
    --------
    >>> told = calc_odds(OddsWish("5.922,3.189", 3, 1))
    >>> round(told["mean"], 4), round(told["low"], 3), round(told["high"], 3)
    (0.6805, 0.461, 0.868)
    """
    from ringwise.growth.odds import Odds, success_in_two_prob, updated

    for option, count in (("--successes", wish.successes), ("--failures", wish.failures)):
        with at_field(option.removeprefix("--")):
            if not 0 <= count <= _MOST_TRIES:
                accepted = _("{low} to {high}").format(low=0, high=_MOST_TRIES)
                raise out_of_range(option, str(count), accepted)
    with at_field("prior"):
        prior = Odds(*_prior(wish.prior))
    after = updated(prior, successes=wish.successes, failures=wish.failures)
    low, high = _band(after.successes_n, after.failures_n)
    prior_low, prior_high = _band(prior.successes_n, prior.failures_n)
    two = success_in_two_prob(after)
    tries = wish.successes + wish.failures
    told = [
        show.chance(after.mean_prob),
        _("from {n} of {of} of your own and a prior worth {weight} tries").format(
            n=wish.successes, of=tries, weight=show.number(prior.successes_n + prior.failures_n, 2)
        ),
        _("between {low} and {high} in nine cases of ten").format(
            low=show.number(low, 2), high=show.number(high, 2)
        ),
        _("at least one of two tries on one tree, which share their chance: {chance}").format(
            chance=show.chance(two)
        ),
    ]
    return {
        "mean": after.mean_prob,
        "low": low,
        "high": high,
        "two_tries": two,
        "two_tries_independent": 1.0 - (1.0 - after.mean_prob) ** 2,
        "prior_mean": prior.mean_prob,
        "prior_low": prior_low,
        "prior_high": prior_high,
        "prior_two_tries": success_in_two_prob(prior),
        "successes_n": after.successes_n,
        "failures_n": after.failures_n,
        "lines": told,
    }
