"""What all rooms' pages share: tags, forms, lists, type-ahead, history."""
