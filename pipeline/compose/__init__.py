"""From a design to the worked chart: motifs, borders, repeats and lettering in their places."""
