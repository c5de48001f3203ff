"""Compiled loops over clock columns.

A wall is `knots` (n, m + 1) [mm], `coef` (n, m, 3), `count` (n,).
"""
