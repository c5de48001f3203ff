"""The hole as geometry: axes, circles, wall, one layer laid, stock, solids."""
