"""What a course does and looks at, in plain words for the grower."""

from __future__ import annotations

from collections.abc import Mapping

from ringwise.kit.errors import unknown_name
from ringwise.kit.words import _, counted


def operation_words(operation: str) -> str:
    """An operation of a course in plain words.

    Parameters
    ----------
    operation : str
        Its key.

    Returns
    -------
    str
        Words for the grower.

    Raises
    ------
    UnknownNameError
        If there is no such operation.

    Source
    ------
    own.

    Examples
    --------
    >>> operation_words("repot")
    'repot'
    """
    return _known(_cuts() | _roots() | _layers_and_grafts(), operation, _("operation of a course"))


def _known(words: Mapping[str, str], key: str, field: str) -> str:
    if key not in words:
        raise unknown_name(field, key, words)
    return words[key]


def _cuts() -> dict[str, str]:
    return {
        "rest": _("leave in peace"),
        "prune": _("remove the wood above"),
        "structural_prune": _("cut a branch out"),
        "chop": _("cut the trunk"),
        "head_back": _("head the branches back"),
        "cut_back": _("cut back to two nodes"),
        "pinch": _("pinch the tips"),
        "partial_defoliation": _("take part of the leaves"),
        "full_defoliation": _("take all leaves"),
        "wire": _("wire"),
        "unwire": _("take the wire off"),
        "guy": _("guy the trunk"),
        "unguy": _("take the guys off"),
    }


def _roots() -> dict[str, str]:
    return {
        "repot": _("repot"),
        "lift": _("lift from the ground"),
        "field_plant": _("plant in the ground"),
        "root_prune_in_ground": _("cut the roots in the ground"),
        "root_rescue": _("rescue the roots: dead roots and sour soil only"),
        "split_clump": _("split the clump"),
        "feed": _("feed"),
        "fertilise": _("feed"),
    }


def _layers_and_grafts() -> dict[str, str]:
    return {
        "ground_layer": _("ring the base for a ground layer"),
        "air_layer": _("ring the trunk for an air layer"),
        "separate_layer": _("separate the layer"),
        "root_graft": _("graft a seedling root into each empty sector"),
        "approach_graft": _("set an approach graft"),
        "thread_graft": _("set a thread graft"),
        "check_graft": _("measure the graft on both sides"),
        "notch_graft": _("notch the donor at the joint"),
        "sever_graft": _("sever the graft"),
        "abandon_graft": _("take the donor off"),
    }


def condition_words(condition: str) -> str:
    """A condition in plain words.

    Parameters
    ----------
    condition : str
        Its key.

    Returns
    -------
    str
        Words for the grower, starting with "if" where there is one.

    Raises
    ------
    UnknownNameError
        If there is no such condition.

    Source
    ------
    own.

    Examples
    --------
    >>> condition_words("rooted")
    'if roots are seen'
    """
    words = {
        "always": "",
        "rooted": _("if roots are seen"),
        "not_rooted": _("if no roots are seen"),
        "taken": _("if thicker beyond the joint than before it at two checks"),
        "not_taken": _("if not thicker beyond the joint at two checks"),
        "sectors_empty": _("if a sector is still empty"),
        "not_severed": _("if it has not been severed"),
    }
    return _known(words, condition, _("condition of a step"))


def look_words(look: str, level: str) -> str:
    """What a check looks at, in plain words.

    Parameters
    ----------
    look : str
        Its key.
    level : str
        What a measured look is compared with, as it was written; else empty.

    Returns
    -------
    str
        Words that follow "look whether".

    Raises
    ------
    UnknownNameError
        If there is no such look.

    Source
    ------
    own.

    Examples
    --------
    >>> look_words("girth_at_least", "20 cm")
    'the girth above the flare is 20 cm or more'
    """
    words = {
        "rooted": _("roots are seen at the ring"),
        "thicker_beyond": _("the donor is thicker beyond the joint than before it"),
        "flushed": _("the severed graft flushes"),
        "wilted": _("the severed graft wilts"),
        "severed": _("the graft stands on the stock alone"),
        "sectors_empty": _("a root sector is still empty"),
        "sectors_filled": _("at least {level} root sectors are filled"),
        "wound_closed": _("every wound is closed"),
        "green_below": _("a live shoot stands below the ring"),
        "vigour_at_least": _("the vigour is {level} or better"),
        "girth_at_least": _("the girth above the flare is {level} or more"),
        "height_at_least": _("the height is {level} or more"),
        "tips_at_least": _("there are {level} tips or more"),
    }
    return _known(words, look, _("look of a check")).format(level=level)


def when_words(after_years: int, half: str, every_years: int, until_years: int) -> str:
    """When something is done, in words.

    Parameters
    ----------
    after_years : int
        Years from now, 0 for now.
    half : str
        "spring" or "summer".
    every_years, until_years : int
        How it repeats; 0 where it does not.

    Returns
    -------
    str
        Such as "after 2 years, at bud swell".

    Source
    ------
    own.

    Examples
    --------
    >>> when_words(0, "spring", 0, 0)
    'now, at bud swell'
    """
    when = counted("after {n} year", "after {n} years", after_years) if after_years else _("now")
    words = [when, _("at bud swell") if half == "spring" else _("when the first leaves are hard")]
    if every_years == 1:
        words.append(_("then every year until year {last}").format(last=until_years))
    elif every_years:
        often = _("then every {n} years until year {last}")
        words.append(often.format(n=every_years, last=until_years))
    return ", ".join(words)
