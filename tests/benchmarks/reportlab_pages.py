"""The yardstick: the chart pages of a booklet drawn by hand with reportlab.

Run as a process of its own:  python reportlab_pages.py PAGES.json GRID.npy FONT.ttf OUT.pdf

It is told the colours, the characters of the symbol font and which cells stand on which page, and
draws for each page the coloured cells as runs, the symbols as rows of text (light ones on dark
cells), the grid, the heavy lines, the numbers and the page number. There is no notation, no check,
no count, no key and no accessibility in it: only ink.
"""

import json
import sys
from pathlib import Path

import numpy as np
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen import canvas

MM = 72 / 25.4


def main(pages_file: str, grid_file: str, font_file: str, out: str) -> None:
    job = json.loads(Path(pages_file).read_text("utf-8"))
    grid = np.load(grid_file)
    pdfmetrics.registerFont(TTFont("Symbols", font_file))
    width, height = job["paper"][0] * MM, job["paper"][1] * MM
    left, top = job["corner"][0] * MM, height - job["corner"][1] * MM
    cell = job["cell"] * MM
    colours = [tuple(each) for each in job["colours"]]  # by key index, 0 is bare
    characters = np.array(job["characters"])
    light = job["light"]
    page = canvas.Canvas(out, pagesize=(width, height), pageCompression=1)
    for number, (x0, y0, x1, y1) in enumerate(job["pages"], 1):
        part = grid[y0:y1, x0:x1]
        rows, columns = part.shape
        for index in np.unique(part):
            if index == 0:
                continue
            page.setFillColorRGB(*colours[index])
            path = page.beginPath()
            mask = np.zeros((rows, columns + 2), dtype=np.int8)
            mask[:, 1:-1] = part == index
            change = np.diff(mask, axis=1)
            row, start = np.nonzero(change == 1)
            stop = np.nonzero(change == -1)[1]
            for r, s, e in zip(row.tolist(), start.tolist(), stop.tolist(), strict=True):
                path.rect(left + s * cell, top - (r + 1) * cell, (e - s) * cell, cell)
            page.drawPath(path, stroke=0, fill=1)
        for r in range(rows):
            line = part[r]
            is_light = np.array(light)[line]
            edges = np.flatnonzero(np.diff(is_light)) + 1
            text = page.beginText(left, top - (r + 1) * cell)
            text.setFont("Symbols", cell)
            for run in np.split(np.arange(columns), edges):
                text.setFillGray(1 if is_light[run[0]] else 0)
                text.textOut("".join(characters[line[run]]))
            page.drawText(text)
        page.setStrokeGray(0.6)
        page.setLineWidth(0.25)
        page.grid(
            [left + c * cell for c in range(columns + 1)],
            [top - r * cell for r in range(rows + 1)],
        )
        page.setStrokeGray(0)
        page.setLineWidth(0.9)
        page.setFillGray(0)
        page.setFont("Helvetica", 7)
        for c in range(columns + 1):
            if (x0 + c) % 10 == 0:
                page.line(left + c * cell, top, left + c * cell, top - rows * cell)
                page.drawCentredString(left + c * cell, top + 3, str(x0 + c))
                page.drawCentredString(left + c * cell, top - rows * cell - 9, str(x0 + c))
        for r in range(rows + 1):
            if (y0 + r) % 10 == 0:
                page.line(left, top - r * cell, left + columns * cell, top - r * cell)
                page.drawRightString(left - 3, top - r * cell - 2.5, str(y0 + r))
                page.drawString(left + columns * cell + 3, top - r * cell - 2.5, str(y0 + r))
        page.drawRightString(width - 40, 30, str(number))
        page.showPage()
    page.save()


if __name__ == "__main__":
    main(*sys.argv[1:])
