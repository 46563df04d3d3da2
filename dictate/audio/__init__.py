"""Sound in: files, their levels; always 16 kHz mono chunks with their start in seconds."""
