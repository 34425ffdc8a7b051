"""What a photograph is too poor for, told plainly."""
from __future__ import annotations
def on_lattice(lattice): return ()
def on_cells(view, lattice, colours, spoilt): return ()
