"""Tests of the catalogue."""
