"""Statements: what is known of what works with what, entered, checked, told in words."""
