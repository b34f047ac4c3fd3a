"""What every tote takes along, whatever the job."""

# What every tote takes along (common practice, no source).
ALWAYS_IN_THE_TOTE = {
    "fuses": "A spare of each fuse value",
    "caps": "Port caps",
    "labels": "Label stock",
    "cable": "A spare patch cable, 5 ft (1.5 m)",
    "terminator": "A spare terminator",
    "cards": "Update cards, made ready",
}
