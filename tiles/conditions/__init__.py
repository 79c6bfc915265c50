"""What counts as a condition (facts.py), the stack (stack.py), the conditions line (line.py), their one writer."""
