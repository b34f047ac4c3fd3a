"""What a survey sheet asks: what the planner does not know, most valuable first, then the usual."""
