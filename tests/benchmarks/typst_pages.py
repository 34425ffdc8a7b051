"""A second yardstick: the chart pages of a booklet set by Typst from generated source.

    python typst_pages.py write PAGES.json GRID.npy OUT.typ FACE runs     writes the source
    python typst_pages.py write PAGES.json GRID.npy OUT.typ FACE table    the plain way
    python typst_pages.py set OUT.typ FOLDER OUT.pdf                      FOLDER holds the font

The pages are those of `reportlab_pages.py`. `runs` places by hand: runs of one colour as
rectangles, symbols as rows of text, the grid, the heavy lines, the numbers. `table` is what the
typesetter offers for this: a table of cells, each with its colour and its symbol, no numbers.
"""

import json
import sys
from itertools import pairwise
from pathlib import Path

import numpy as np

HEAD = """#set page(width: 210mm, height: 297mm, margin: 0mm)
#set text(size: 7pt)
#let c = {cell}mm
#let x0 = {left}mm
#let y0 = {top}mm
#let fills = ({fills})
#let run(k, x, y, n) = place(dx: x0 + x * c, dy: y0 + y * c,
  rect(width: n * c, height: c, fill: fills.at(k)))
#let light(x, y, words) = place(dx: x0 + x * c, dy: y0 + y * c,
  text(font: "{face}", size: c, fill: white, top-edge: "ascender", bottom-edge: "descender", words))
#let dark(x, y, words) = place(dx: x0 + x * c, dy: y0 + y * c,
  text(font: "{face}", size: c, fill: black, top-edge: "ascender", bottom-edge: "descender", words))
#let thin = 0.25pt + luma(60%)
#let rule(x, y, dx, dy, stroke) = place(dx: x0 + x * c, dy: y0 + y * c,
  line(end: (dx * c, dy * c), stroke: stroke))
#let number(x, y, dx, dy, n) = place(dx: x0 + x * c + dx, dy: y0 + y * c + dy, [#n])
"""


TABLE = """#set page(width: 210mm, height: 297mm, margin: (left: {left}mm, top: {top}mm, rest: 0mm))
#set text(font: "{face}", size: {cell}mm, top-edge: "ascender", bottom-edge: "descender")
#let fills = ({fills})
#let cell(k, ink, word) = table.cell(fill: fills.at(k), text(fill: ink, word))
"""


def write(pages_file: str, grid_file: str, out: str, face: str, way: str) -> None:
    job = json.loads(Path(pages_file).read_text("utf-8"))
    grid = np.load(grid_file)
    fills = ", ".join(
        f"rgb({r * 100:.1f}%, {g * 100:.1f}%, {b * 100:.1f}%)" for r, g, b in job["colours"]
    )
    left, top = job["corner"]
    head = HEAD if way == "runs" else TABLE
    lines = [head.format(cell=job["cell"], left=left, top=top, fills=fills, face=face)]
    characters, light = np.array(job["characters"]), np.array(job["light"])
    for number, (x0, y0, x1, y1) in enumerate(job["pages"]):
        if number:
            lines.append("#pagebreak()")
        part = grid[y0:y1, x0:x1]
        if way == "runs":
            lines += page(part, x0, y0, characters, light)
        else:
            lines.append(table(part, job["cell"], characters, light))
    Path(out).write_text("\n".join(lines), "utf-8")


def table(part: np.ndarray, cell: float, characters: np.ndarray, light: np.ndarray) -> str:
    cells = ",\n".join(
        ", ".join(
            f'cell({k}, {"white" if light[k] else "black"}, "{quoted(characters[k])}")' for k in row
        )
        for row in part.tolist()
    )
    return (
        f"#table(columns: ({cell}mm,) * {part.shape[1]}, rows: {cell}mm, inset: 0pt, "
        f"align: center, stroke: 0.25pt + luma(60%), {cells})"
    )


def quoted(words: str) -> str:
    return words.replace("\\", "\\\\").replace('"', '\\"')


def page(part: np.ndarray, x0: int, y0: int, characters: np.ndarray, light: np.ndarray) -> list:
    rows, columns = part.shape
    lines = []
    for r, row in enumerate(part):
        edges = [0, *(np.flatnonzero(np.diff(row)) + 1).tolist(), columns]
        lines += [f"#run({row[s]}, {s}, {r}, {e - s})" for s, e in pairwise(edges) if row[s]]
    for r, row in enumerate(part):
        edges = [0, *(np.flatnonzero(np.diff(light[row])) + 1).tolist(), columns]
        for s, e in pairwise(edges):
            words = quoted("".join(characters[row[s:e]]))
            lines.append(f'#{"light" if light[row[s]] else "dark"}({s}, {r}, "{words}")')
    for c in range(columns + 1):
        tens = (x0 + c) % 10 == 0
        lines.append(f"#rule({c}, 0, 0, {rows}, {'0.9pt' if tens else 'thin'})")
        if tens:
            lines.append(f"#number({c}, 0, -4pt, -10pt, {x0 + c})")
            lines.append(f"#number({c}, {rows}, -4pt, 3pt, {x0 + c})")
    for r in range(rows + 1):
        tens = (y0 + r) % 10 == 0
        lines.append(f"#rule(0, {r}, {columns}, 0, {'0.9pt' if tens else 'thin'})")
        if tens:
            lines.append(f"#number(0, {r}, -14pt, -3pt, {y0 + r})")
            lines.append(f"#number({columns}, {r}, 3pt, -3pt, {y0 + r})")
    return lines


def main() -> None:
    match sys.argv[1:]:
        case ["write", pages, grid, out, face, way]:
            write(pages, grid, out, face, way)
        case ["set", source, fonts, out]:
            import typst  # noqa: PLC0415 - only one of the two needs it

            typst.compile(source, output=out, font_paths=[fonts], ignore_system_fonts=True)


if __name__ == "__main__":
    main()
