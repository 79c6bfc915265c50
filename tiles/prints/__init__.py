"""What hangs on the wall: cards and labels in real millimetres. Text fits or says so, never cut silently."""
