"""Tests of sign-in, people and settings."""
