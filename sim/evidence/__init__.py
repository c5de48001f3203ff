"""Checks against something outside, one row each; tests and page are made of them."""
