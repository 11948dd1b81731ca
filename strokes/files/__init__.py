"""Files of strangers and back, bounded: letters as SVG, alphabet folders, and the open formats of ink."""
