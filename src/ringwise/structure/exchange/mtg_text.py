"""Reading MTG text: which entities there are, how they hang together, and the features of each.

Read are the header sections CODE, CLASSES and FEATURES, and of the coding section names with /, < and +,
the column rule (one column to the right goes on from what stands above on the left) and ^ (goes on from
what stands above in the same column). Aliases, shorthands (<<, ++) and repeated observations (*) are
refused, since they carry no sizes of their own or more than one.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from ringwise.kit.errors import FileFormatError
from ringwise.kit.words import _

SECTIONS = ("CODE", "CLASSES", "DESCRIPTION", "FEATURES", "MTG")
_TOKEN = re.compile(r"(<<|\+\+|<\.<|\+\.\+|[/<+])([A-Za-z_]+)(\d*)")


@dataclass
class Entity:
    """A named part of the plant; `bearer` is the finest part that it grows from, by `<` or `+`."""

    scale: int
    index: str
    bearer: int  # place in the list of finest parts, -1 where it grows from none
    relation: str
    own: int = -1  # its place in that list, where it is a finest part itself
    named: dict[tuple[str, str], Entity] = field(default_factory=dict)


@dataclass
class Part:
    """One finest part: what it grows from, how, its index as written, its features and its line."""

    bearer: int
    relation: str
    index: str
    line: int
    features: dict[str, str] = field(default_factory=dict)


@dataclass
class MtgText:
    """The finest parts in the order they are named, and the features of the whole plant."""

    parts: list[Part]
    plant: dict[str, str]
    features: tuple[str, ...]


def _wrong(line: int, text: str) -> FileFormatError:
    return FileFormatError(text, where=_("line {line}").format(line=line))


def read_mtg(text: str) -> MtgText:
    """The parts of a plant from MTG text.

    Parameters
    ----------
    text : str
        A coding file, FORM-A.

    Returns
    -------
    MtgText
        Parts at the finest scale, each after the one it grows from.

    Raises
    ------
    FileFormatError
        Naming the line and what is not read there.

    Source
    ------
    godin_caraglio1998: the format as its public description gives it.

    Examples
    --------
    >>> head = "CODE:\\tFORM-A\\nCLASSES:\\nSYMBOL\\tSCALE\\n$\\t0\\nP\\t1\\nS\\t2\\nFEATURES:\\n"
    >>> code = "len\\tREAL\\nMTG:\\nENTITY-CODE\\t\\tlen\\n/P1\\n^/S1\\t\\t4\\n^<S2\\t\\t3\\n\\t+S3\\t2\\n"
    >>> [(part.bearer, part.relation, part.features["len"]) for part in read_mtg(head + code).parts]
    [(-1, '/', '4'), (0, '<', '3'), (1, '+', '2')]
    """
    sections = _sections(text)
    form = " ".join(cell for _number, cells in sections.get("CODE", []) for cell in cells if cell)
    if "FORM-A" not in form:
        raise FileFormatError(_("CODE: FORM-A is wanted; other codings are not read"))
    scales = _scales(sections.get("CLASSES", []))
    names = tuple(cells[0] for _number, cells in sections.get("FEATURES", []) if cells[0] not in {"", "NAME"})
    coding = sections.get("MTG", [])
    if not coding:
        raise FileFormatError(_("the section MTG is missing or blank"))
    return _Coding(scales, names, coding[0][1]).read(coding[1:])


def _sections(text: str) -> dict[str, list[tuple[int, list[str]]]]:
    """Lines of each section, as cells without comments, with their numbers."""
    found: dict[str, list[tuple[int, list[str]]]] = {}
    current = ""
    for number, line in enumerate(text.removeprefix("\ufeff").splitlines(), 1):
        cells = [cell.split("#")[0].rstrip() if "#" in cell else cell.rstrip() for cell in line.split("\t")]
        if not any(cell.strip() for cell in cells):
            continue
        head = re.match(r"([A-Z]+)\s*:?\s*(.*)", cells[0].strip())
        if head and head.group(1) in SECTIONS and (":" in cells[0] or head.group(1) == "CLASSES"):
            current = head.group(1)
            found[current] = []
            rest = [head.group(2), *cells[1:]]
            if current == "CODE" and any(rest):
                found[current].append((number, rest))
            continue
        if current:
            if current != "MTG":
                cells = " ".join(cells).split()
            found[current].append((number, cells))
    return found


def _scales(lines: list[tuple[int, list[str]]]) -> dict[str, int]:
    scales = {}
    for number, cells in lines:
        if cells[0] == "SYMBOL":
            continue
        if len(cells) < 2 or not cells[1].isdigit():
            raise _wrong(number, _("a class and its scale are wanted"))
        scales[cells[0]] = int(cells[1])
    if len(scales) < 2:
        raise FileFormatError(_("the section CLASSES names no class"))
    return scales


class _Coding:
    """The coding section while it is read."""

    def __init__(self, scales: dict[str, int], names: tuple[str, ...], header: list[str]) -> None:
        self.scales, self.names = scales, names
        self.finest = max(scales.values())
        self.wide = next((at for at, cell in enumerate(header) if cell.strip() in names), len(header))
        self.header = [cell.strip() for cell in header[self.wide :]]
        self.parts: list[Part] = []
        self.plant: dict[str, str] = {}

    def read(self, lines: list[tuple[int, list[str]]]) -> MtgText:
        whole = Entity(0, "", -1, "/")
        latest: dict[int, Entity] = {-1: whole}
        for number, cells in lines:
            entity = None
            for column, cell in enumerate(cells[: self.wide]):
                code = cell.strip()
                if not code:
                    continue
                start = latest.get(column if code.startswith("^") else column - 1)
                if start is None:
                    start = whole if column == 0 else None
                if start is None:
                    raise _wrong(number, _("nothing stands above that this could go on from"))
                entity = latest[column] = self._walk(number, code.removeprefix("^"), start)
                for deeper in [each for each in latest if each > column]:
                    del latest[deeper]
            if entity is None:
                raise _wrong(number, _("features without an entity"))
            self._features(entity, cells[self.wide :])
        return MtgText(self.parts, self.plant, self.names)

    def _walk(self, number: int, code: str, entity: Entity) -> Entity:
        at = 0
        while at < len(code):
            token = _TOKEN.match(code, at)
            if token is None or len(token.group(1)) > 1:
                raise _wrong(
                    number, _('"{code}" is not read; names with /, < and + are').format(code=code[at:])
                )
            relation, symbol, index = token.groups()
            if symbol not in self.scales:
                raise _wrong(number, _('class "{symbol}" is not declared').format(symbol=symbol))
            entity = self._named(number, entity, relation, symbol, index)
            at = token.end()
        return entity

    def _named(self, number: int, before: Entity, relation: str, symbol: str, index: str) -> Entity:
        key = (relation, symbol + index)
        if key in before.named:
            return before.named[key]
        scale = self.scales[symbol]
        bearer = before.own if before.own >= 0 else before.bearer
        if relation == "/":
            link = before.relation if before.own < 0 else "/"
        else:
            link = relation
            if bearer < 0 and before.scale > 0 and scale == self.finest:
                raise _wrong(number, _("it grows from no part that was named"))
        entity = Entity(scale, index, bearer, link)
        if scale == self.finest:
            if link == "/" and self.parts:
                raise _wrong(number, _("it is joined to the plant neither by < nor by +; one tree is wanted"))
            entity.own = len(self.parts)
            self.parts.append(Part(bearer, link, index, number))
        before.named[key] = entity
        return entity

    def _features(self, entity: Entity, cells: list[str]) -> None:
        named = zip(self.header, cells, strict=False)
        features = {name: cell.strip() for name, cell in named if name and cell.strip()}
        if entity.own >= 0:
            self.parts[entity.own].features.update(features)
        elif entity.scale <= 1:
            self.plant.update(features)
