"""Tests of the customers room."""
