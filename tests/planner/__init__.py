"""Tests of the planner on the shop's records."""
