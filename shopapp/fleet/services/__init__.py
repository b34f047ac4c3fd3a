"""What the fleet teaches: verbs on known problems, statements drafted, checks anew."""
