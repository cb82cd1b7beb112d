"""Stages of training and scores of vigour in plain words, as growers use them."""

from __future__ import annotations

from ringwise.kit.words import _


def training_words(stage: str | None) -> str:
    """What a stage of training is about, in one line.

    Parameters
    ----------
    stage : str or None
        S1 to S9, X or R.

    Returns
    -------
    str
        In the reader's language; blank where no stage is written down.

    Source
    ------
    practice: the life stages of a tree in training, common practice.

    Examples
    --------
    >>> training_words("S3")
    'in the field or a large box, for girth'
    """
    words = {
        "S1": _("seed: stratify, test, sow"),
        "S2": _("seedling: select, prick out, first line of the trunk"),
        "S3": _("in the field or a large box, for girth"),
        "S4": _("lifted: roots re-establish in box or pot"),
        "S5": _("trunk: taper and movement"),
        "S6": _("primary branches: place, angle, thickness"),
        "S7": _("secondary branches: forks and twigs"),
        "S8": _("refinement: fine twigs, small leaves, outline"),
        "S9": _("maintenance and show"),
        "X": _("set back on purpose: layer, chop or back to the ground"),
        "R": _("rest: nothing but care"),
    }
    return "" if stage is None else words.get(stage, stage)


def vigour_words(score: int) -> tuple[str, str]:
    """A score of vigour: its name and what to see.

    Parameters
    ----------
    score : int
        0 to 5.

    Returns
    -------
    (str, str)
        A word or two, and one sentence.

    Source
    ------
    practice: one glance, everyone can give it; common practice.

    Examples
    --------
    >>> vigour_words(2)[0]
    'weak'
    """
    words = (
        (_("probably dead"), _("No green under the bark where you scratch it; buds are dry and crumble.")),
        (_("dieback"), _("Twigs die back and few leaves are left: only water, light and shelter now.")),
        (
            _("weak"),
            _("Short shoots, small pale leaves, late bud break, slow drying: only care now."),
        ),
        (_("steady"), _("Shoots and leaves as usual for this tree; root work and cuts are possible.")),
        (_("strong"), _("Long shoots, full dark leaves, the pot dries fast: fit for any work.")),
        (_("rank"), _("Overlong shoots and coarse leaves; it grows more than it is trained.")),
    )
    return words[score]
