"""Who is signed in where: the framework's sessions, read by SQL that is written once."""
