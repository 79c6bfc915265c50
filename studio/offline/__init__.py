"""Pages that open without a network: kept on the phone for the one who is signed in there, and for nobody else."""
