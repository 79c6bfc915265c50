"""What the studio's standard asks for and has never fired: cones by bodies by coats, and the pairs they meet in."""
