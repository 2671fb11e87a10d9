"""Tables of materials, cups and threads, each row with its source."""
