"""What if: compare, odds, remedies, search, recommend."""
