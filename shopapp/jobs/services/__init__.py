"""What the jobs room does: rules in small functions named by verbs."""
