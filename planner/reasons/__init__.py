"""Reasons: why a plan is as it is, what if it were otherwise, does it work, what could tip it."""
