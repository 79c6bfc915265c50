"""What a result's card shows, made ready in Python: a template's variables are dear by the hundred."""
