"""Tests of parts and shelves."""
