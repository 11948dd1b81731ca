"""What scenes, pages and pictures draw with: canvas, coverage, type, colors, letters and arrows."""
