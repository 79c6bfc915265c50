"""What a person collects to print, kept until it is printed: lines name kinds and keys, never copies of records."""
