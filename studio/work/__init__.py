"""Work nobody waits for: done by workers, taken up again when one dies, tried again when it fails, then shown."""
