"""What the trees of the futures page stand in."""

from __future__ import annotations

from dataclasses import replace

from futures_sample import sample_view

from ringwise.faces.reports.futures_page import futures_page
from ringwise.futures.view import Cell


def test_the_stump_of_a_layer_keeps_its_pot() -> None:
    view = sample_view()

    def with_stump(cell: Cell) -> Cell:
        if cell.course != "A" or not cell.after_years:
            return cell
        return replace(cell, trees=tuple(replace(tree, second=tree.silhouette) for tree in cell.trees))

    def figures(page: str) -> tuple[str, str]:
        first = page.index('id="c0y20-t"')
        stump = page.index('id="c0y20s-t"') if 'id="c0y20s-t"' in page else len(page)
        return page[first:stump].split("</svg>")[0], page[stump:].split("</svg>")[0]

    assert view.pot is not None
    top, stump = figures(futures_page(replace(view, cells=tuple(with_stump(cell) for cell in view.cells))))
    assert 'class="pot"' not in top
    assert 'class="pot"' in stump
    assert 'class="pot"' in figures(futures_page(view))[0]
