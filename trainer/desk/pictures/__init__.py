"""Pictures for the pages: letters and ink as SVG, replay, charts, the typeface."""
