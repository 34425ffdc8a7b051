"""Drawings bound as the bare pages of a PDF, and what independent readers make of it."""

import numpy as np
import pypdfium2
from linenleaf.chart.draw import Drawing, draw_page
from linenleaf.chart.font import build_font
from linenleaf.chart.options import Ink
from linenleaf.chart.paginate import paginate
from linenleaf.chart.plot import Plotter
from linenleaf.chart.symbols import choose
from weasyprint import HTML

from tests.pages import pages_of

PT_PER_MM = 72 / 25.4
PX_PER_MM = 20


def font_of(worked):
    return build_font(choose(worked), worked.design.key)


def bound(svgs, font, **options):
    """The drawings, one on a page of just its size."""
    plotter = Plotter(font)
    plots = {f"chart:{at}": plotter.plot(svg) for at, svg in enumerate(svgs)}
    rules = "".join(
        f"@page p{at} {{ size: {plots[name].width}mm {plots[name].height}mm; margin: 0 }}"
        f"#p{at} {{ page: p{at} }}"
        for at, name in enumerate(plots)
    )
    figures = "".join(
        f'<div id="p{at}"><img src="{name}" alt="Chart"></div>' for at, name in enumerate(plots)
    )
    page = HTML(
        string=f'<html lang="en"><title>Chart</title><style>{rules} body {{ margin: 0 }} '
        f"img {{ display: block }}</style><body>{figures}</body></html>"
    )
    options = {"pdf_variant": "pdf/ua-1", **options}
    document = page.render(cache=plots, **options)
    return document.write_pdf(finisher=plotter.finish, **options)


def chart_pages(worked, ink=Ink.COLOUR, notes=(), **how):
    """The chart pages of a chart as PDF, and how it was cut."""
    pagination = paginate(worked.width, worked.height, **how)
    drawing = Drawing(worked, ink, notes)
    svgs = [draw_page(drawing, page, pagination) for page in pagination.pages]
    return bound(svgs, font_of(worked)), pagination


def pictures(pdf):
    """Each page as an array (height, width, 3), PX_PER_MM pixels to the mm, seen by PDFium."""
    document = pypdfium2.PdfDocument(pdf)
    for page in document:
        bitmap = page.render(scale=PX_PER_MM / PT_PER_MM, rev_byteorder=True)
        yield np.asarray(bitmap.to_numpy())[..., :3].astype(int)


def texts(pdf):
    """The text of each page in the order of its content, as PDFium gives it."""
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf)]


def letters(pdf):
    """The letters of each page with their places, as PDFium gives them."""
    return [page.chars for page in pages_of(pdf)]
